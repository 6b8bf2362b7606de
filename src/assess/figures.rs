//! Every figure of a view as data: value, uncertainty, what contributes most to it, how it was worked out.

use super::judge::at;
use crate::figure::{AnyView, Computed, Entry, Measure, Primitives, ShownAs, What, catalogue};
use crate::finding::At;
use crate::outcome::Unavailable;
use crate::quantity::unit::Unit;
use crate::source::Place;
use crate::working::Working;
use std::collections::BTreeMap;

/// How many contributions a figure names.
const MOST_NAMED: usize = 3;

/// Less than this share of the largest is what rounding leaves of a canceled input.
const RESIDUE: f64 = 1e-9;

/// One figure at one place.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct FigureValue {
    /// The figure's name.
    pub figure: &'static str,
    /// Where it holds.
    pub at: At,
    /// The value in SI units, or why there is none.
    pub value: Result<f64, Unavailable>,
    /// Its expanded uncertainty; none where nothing it stands on has any.
    pub expanded: Option<f64>,
    /// How it is shown.
    pub shown_as: ShownAs,
    /// Whether it is of each step alike, so that its step is not told by its name.
    pub is_of_any_step: bool,
    /// The unit it is shown in, where its readings suggest one.
    pub unit: Option<Unit>,
    /// What was read.
    pub subject: Place,
    /// What contributes most to its uncertainty, largest first.
    pub contributions: Vec<Contribution>,
    /// How it was worked out.
    pub working: Option<Working>,
}

/// A source of error of a figure.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Contribution {
    /// What it is.
    pub what: What,
    /// Its share of the variance, from 0 to 1.
    pub share: f64,
    /// Where it stands; a default of ours stands nowhere.
    pub place: Option<Place>,
}

/// Every figure of a view whose name is wanted.
pub(super) fn of(
    view: AnyView<'_>,
    coverage_factor: f64,
    is_wanted: &dyn Fn(&str) -> bool,
) -> Vec<FigureValue> {
    let mut values = Vec::new();
    for entry in catalogue::FIGURES
        .iter()
        .filter(|entry| is_wanted(entry.id))
    {
        let Some(computed) = entry.compute(view) else {
            continue; // The figure belongs to the other stratum.
        };
        let members = 0..computed.members().len();
        values
            .extend(members.map(|member| value(entry, &*computed, member, view, coverage_factor)));
    }
    values
}

fn value(
    entry: &Entry,
    computed: &dyn Computed,
    member: usize,
    view: AnyView<'_>,
    coverage_factor: f64,
) -> FigureValue {
    let view = view.view();
    let measure = computed.measure(member);
    let uncertainty = measure.map_or(0.0, |measure| {
        measure.standard_uncertainty(view.primitives())
    });
    let expanded = coverage_factor * uncertainty;
    let contributions = measure.map(|measure| contributions(measure, view.primitives()));
    let of = &computed.members()[member];
    FigureValue {
        figure: entry.id,
        at: at(view, &of.key),
        value: of.value.clone(),
        expanded: (0.0 < expanded).then_some(expanded),
        shown_as: entry.shown_as,
        is_of_any_step: entry.step.is_none(),
        unit: computed.units(member).0,
        subject: of.subject,
        contributions: contributions.unwrap_or_default(),
        working: computed.working(member),
    }
}

/// The largest contributions, those of one kind at one place together.
pub fn contributions(measure: &Measure, primitives: &Primitives) -> Vec<Contribution> {
    // In the order of the primitives, which is that of the record.
    let mut ranked: Vec<((Option<Place>, What), f64)> = Vec::new();
    let mut places: BTreeMap<(Option<Place>, What), usize> = BTreeMap::new();
    for &(id, sensitivity) in measure.parts() {
        let primitive = primitives.get(id);
        let contribution = sensitivity * primitive.uncertainty;
        let of = (primitive.place, primitive.what);
        let place = *places.entry(of).or_insert(ranked.len());
        match ranked.get_mut(place) {
            Some((_, variance)) => *variance += contribution * contribution,
            None => ranked.push((of, contribution * contribution)),
        }
    }
    let whole: f64 = ranked.iter().map(|(_, variance)| variance).sum();
    ranked.sort_by(|one, other| other.1.total_cmp(&one.1));
    let largest = ranked.first().map_or(0.0, |(_, variance)| *variance);
    ranked.retain(|(_, variance)| largest * RESIDUE < *variance);
    ranked.truncate(MOST_NAMED);
    let shares = ranked
        .into_iter()
        .map(|((place, what), variance)| Contribution {
            what,
            share: variance / whole,
            place,
        });
    shares.collect()
}

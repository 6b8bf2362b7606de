//! Every figure of a tree as a table: value, uncertainty, and what contributes most to it.

use super::listing::Listing;
use super::places::Places;
use super::reading::{ReadFile, Reader, Tree};
use super::shard::{self, Context, Viewer};
use super::{Part, Settings};
use crate::diagnostic::Diagnostic;
use crate::figure::{
    AnyView, Computed, Entry, Measure, Primitives, ShownAs, Standing, View, Visit, What, catalogue,
};
use crate::history::{Failing, Timeline};
use crate::outcome::{Stage, Step};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::report::{Contribution, FigureRow, FigureTable};
use crate::source::Place;
use crate::wording::facts;
use crate::words::phrases;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// How many contributions a row names.
const MOST_NAMED: usize = 3;

/// Less than this share of the largest is what rounding leaves of a cancelled input.
const RESIDUE: f64 = 1e-9;

/// Every figure of the machines of a tree.
pub fn figures(listing: &Listing, read: &ReadFile<'_>, settings: &Settings) -> FigureTable {
    let tree = Tree::of(listing);
    let reader = Reader::new(read, &tree);
    let mut whole = Part::default();
    let context = Context::read(&reader, settings, &mut whole);
    let parts: Vec<(Part, Vec<FigureRow>)> = tree
        .machines
        .par_iter()
        .map(|machine| {
            let mut part = Part::default();
            let mut rows = Rows {
                reader: &reader,
                coverage_factor: context.coverage_factor,
                selected: &settings.selected,
                places: Places::new(&reader),
                made: Vec::new(),
            };
            shard::each_view(&reader, machine, &context, &mut part, &mut rows);
            (part, rows.made)
        })
        .collect();
    let mut rows = Vec::new();
    for (part, of_machine) in parts {
        whole.add(part);
        rows.extend(of_machine);
    }
    whole.failures.sort();
    FigureTable {
        rows,
        unreadable: whole.counts.unreadable,
        failures: whole.failures,
    }
}

/// Makes rows of the figures of what it sees.
struct Rows<'r> {
    reader: &'r Reader<'r>,
    coverage_factor: f64,
    selected: &'r [String],
    places: Places<'r>,
    made: Vec<FigureRow>,
}

impl Viewer for Rows<'_> {
    fn visit(&mut self, visit: &Visit<'_>, _: &[Diagnostic], _: &mut Part) -> Vec<Failing> {
        self.all(AnyView::Readings(visit));
        Vec::new()
    }

    fn standing(&mut self, standing: &Standing<'_>, _: &Timeline<'_>, _: &mut Part) {
        self.all(AnyView::State(standing));
    }
}

impl Rows<'_> {
    fn all(&mut self, of: AnyView<'_>) {
        for entry in catalogue::FIGURES {
            let Some(computed) = entry.compute(of) else {
                continue; // The figure belongs to the other stratum.
            };
            for (at, member) in computed.members().iter().enumerate() {
                let path = self.reader.tree.path(member.subject.file);
                if super::is_selected(path, self.selected) {
                    let row = self.row(entry, &*computed, at, of.view());
                    self.made.push(row);
                }
            }
        }
    }

    fn row(
        &mut self,
        entry: &Entry,
        computed: &dyn Computed,
        at: usize,
        view: &dyn View,
    ) -> FigureRow {
        let member = &computed.members()[at];
        let key = &member.key;
        let primitives = view.primitives();
        let (unit, scale) = shown_in(entry.shown_as, computed.units(at).0);
        let measure = computed.measure(at);
        let u = measure.map_or(0.0, |measure| measure.standard_uncertainty(primitives));
        let expanded = scale(self.coverage_factor * u);
        FigureRow {
            figure: entry.id,
            machine: view.subject().id.to_owned(),
            date: key.record.map(|_| view.day(key)),
            setup: view
                .setup_name(key)
                .map(|name| phrases::name(name).into_owned()),
            stage: key.stage.map(|stage| match stage {
                Stage::AsFound => "as found",
                Stage::AsLeft => "as left",
            }),
            part: part(entry, facts::fact(&view.part(key)), key.step),
            value: match &member.value {
                Ok(value) => Ok(scale(*value)),
                Err(unavailable) => Err(unavailable.because.clone()),
            },
            expanded: (0.0 < expanded).then_some(expanded),
            unit,
            place: self.places.at(member.subject),
            contributions: measure
                .map(|measure| self.contributions(measure, primitives))
                .unwrap_or_default(),
        }
    }

    /// The largest contributions, those of one kind at one place together.
    fn contributions(&mut self, measure: &Measure, primitives: &Primitives) -> Vec<Contribution> {
        let mut variance_by: BTreeMap<(Option<Place>, What), f64> = BTreeMap::new();
        for &(id, sensitivity) in measure.parts() {
            let primitive = primitives.get(id);
            let contribution = sensitivity * primitive.uncertainty;
            *variance_by
                .entry((primitive.place, primitive.what))
                .or_default() += contribution * contribution;
        }
        let whole: f64 = variance_by.values().sum();
        let mut ranked: Vec<_> = variance_by.into_iter().collect();
        ranked.sort_by(|one, other| other.1.total_cmp(&one.1).then(one.0.cmp(&other.0)));
        let largest = ranked.first().map_or(0.0, |(_, variance)| *variance);
        ranked.retain(|(_, variance)| largest * RESIDUE < *variance);
        ranked.truncate(MOST_NAMED);
        ranked
            .into_iter()
            .map(|((place, what), variance)| Contribution {
                what: what.words(),
                share: variance / whole,
                place: place.map(|place| self.places.at(place)),
            })
            .collect()
    }
}

/// The part in words; a figure of any step says of which.
fn part(entry: &Entry, part: String, step: Option<Step>) -> String {
    match step {
        Some(step) if entry.step.is_none() && part == WHOLE => step.test().to_owned(),
        Some(_) | None => part,
    }
}

/// The words for the whole of a test or machine.
const WHOLE: &str = "boom";

/// The unit a figure is shown in, and what makes a value in SI units one in it.
fn shown_in(shown_as: ShownAs, unit: Option<Unit>) -> (String, impl Fn(f64) -> f64) {
    let (name, factor, unit) = match shown_as {
        ShownAs::Percent => ("%".to_owned(), 100.0, None),
        ShownAs::Count => (String::new(), 1.0, None),
        ShownAs::Days => ("days".to_owned(), 1.0 / 86_400.0, None),
        ShownAs::Seconds => ("s".to_owned(), 1.0, None),
        ShownAs::Hours => ("h".to_owned(), 1.0 / 3_600.0, None),
        ShownAs::Length => ("m".to_owned(), 1.0, None),
        ShownAs::Measured => (
            unit.map_or_else(String::new, |unit| unit.to_string()),
            1.0,
            unit,
        ),
    };
    let scale = move |value: f64| match unit {
        Some(unit) => Quantity::in_unit(value, unit),
        None => value * factor,
    };
    (name, scale)
}

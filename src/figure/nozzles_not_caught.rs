//! How many nozzles a catch leaves out.
//!
//! A catch of nozzles that were fitted one by one leaves out none by saying nothing of the others: the
//! last whole catch still tells of them.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::{Catch, CaughtNozzle};
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::words;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "nozzles-not-caught",
        title: "how many nozzles of the boom were not caught",
        formula: "nozzles of the boom - nozzles caught",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |_, _| Some("not caught".to_owned()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[("nozzles", nozzles), ("of-nozzles", of_nozzles)],
    },
};

/// A nozzle whose reading cannot be read was caught: a finding of its own tells of it.
fn missing<'c>(
    visit: &Visit<'_>,
    catch: &'c Catch,
) -> impl Iterator<Item = &'c CaughtNozzle> + use<'c> {
    let is_of_fitted = is_of_fitted(visit, catch);
    catch.nozzles.iter().filter(move |nozzle| {
        let is_said = nozzle.place.is_some();
        nozzle.readings.is_empty() && !nozzle.unreadable && (is_said || !is_of_fitted)
    })
}

/// Whether it catches nozzles that were fitted since the last whole catch.
fn is_of_fitted(visit: &Visit<'_>, catch: &Catch) -> bool {
    let is_whole = catch.nozzles.iter().all(|one| !one.readings.is_empty());
    if is_whole {
        return false; // As most are.
    }
    let fitted = visit.fitted();
    let mut caught = catch.nozzles.iter().filter(|one| !one.readings.is_empty());
    caught.any(|one| fitted.contains(&one.nozzle.number))
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .catch
        .each()
        .map(|(stage, catch)| {
            let key = visit.key(Step::Catch, Some(stage), Part::Whole);
            let count = u32::try_from(missing(visit, catch).count()).unwrap_or(u32::MAX);
            let place = missing(visit, catch).find_map(|nozzle| nozzle.place);
            Member::new(key, N::whole(count), place.unwrap_or(catch.place))
        })
        .collect()
}

fn nozzles(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let catch = visit.catch.at(key.stage?)?;
    let layout = visit.subject.layout.as_ref()?;
    let names: Vec<String> = missing(visit, catch)
        .map(|nozzle| layout.nozzle_in_words(nozzle.nozzle))
        .collect();
    let named = if names.len() > 3 { 2 } else { names.len() };
    let more = names.len() - named;
    Some(words::phrases::list_and_more(&names[..named], more, "and"))
}

fn of_nozzles(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let catch = visit.catch.at(key.stage?)?;
    Some(words::phrases::plural(catch.nozzles.len(), "nozzle"))
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let catch = visit.catch.at(key.stage?)?;
    let (all, missing) = (catch.nozzles.len(), missing(visit, catch).count());
    Some(format!(
        "{all} on the boom - {} caught = {missing}",
        all - missing
    ))
}

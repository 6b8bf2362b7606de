//! How far the mean of each section is off the mean of the boom.

use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::nozzle_flow::{self, Flows};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::source::Place;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "section-mean-off",
        title: "how far the mean flow of a section's nozzles is off the mean of the boom",
        formula: "mean(q of the section) / mean(q) - 1; plugged nozzles are left out",
        source: "our choice",
        shown_as: ShownAs::Percent,
        family: Family::Section,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |_, _| Some("first of the section".to_owned()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[],
    },
};

/// The flows of the nozzles of one section that pass anything, and where the first of them stands.
fn of_section<N: Number>(flows: &Flows<'_, N>, section: u16) -> (Vec<N>, Option<Place>) {
    let passing = flows
        .passing()
        .filter(|(nozzle, _)| nozzle.nozzle.section == section);
    let place = passing.clone().find_map(|(nozzle, _)| nozzle.place);
    (passing.map(|(_, flow)| flow.clone()).collect(), place)
}

/// A boom of one section has no members: its mean is the boom's.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let sections = visit.subject.machine.boom.sections.len();
    if sections < 2 {
        return Vec::new();
    }
    let mut members = Vec::new();
    for (stage, catch) in visit.catch.each() {
        let flows = Flows::<N>::of(visit, catch);
        let Some(mean) = flows.mean() else {
            members.push(nozzle_flow::no_flows(visit, stage, catch));
            continue;
        };
        for section in (0_u16..).take(sections) {
            let (own, place) = of_section(&flows, section);
            if own.is_empty() {
                continue; // None of its nozzles was caught, or all are plugged: other rules tell.
            }
            let key = visit.key(Step::Catch, Some(stage), Part::Section(section));
            let off = N::mean(&own).off(&mean);
            members.push(Member::new(key, off, place.unwrap_or(catch.place)));
        }
    }
    members
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let catch = visit.catch.at(key.stage?)?;
    let Part::Section(section) = key.part else {
        return None;
    };
    let flows = nozzle_flow::measured(visit, catch);
    let mean = flows.mean()?;
    let (own, _) = of_section(&flows, section);
    let section = f64::mean(&own);
    Some(format!(
        "{} (mean of {}) / {} (mean of {}) - 1 = {}",
        nozzle_flow::as_caught(catch, section)?,
        own.len(),
        nozzle_flow::as_caught(catch, mean)?,
        flows.passing().count(),
        percent(section / mean - 1.0),
    ))
}

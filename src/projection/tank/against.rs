//! What speaks against the actual rate of a setup.

use super::Making;
use crate::assess::StepStanding;
use crate::diagnostic::Severity;
use crate::figure::about::SETUP_SUM_OFF;
use crate::finding::Finding;
use crate::projection::places::Places;
use crate::projection::standing::unread;
use crate::source::Place;
use crate::tank_mix::{Refusal, Unknown};
use crate::tree::{FilePlace, place_of};
use jiff::civil::Date;

impl Making<'_> {
    /// What speaks against the actual rate of a setup.
    pub(super) fn against(
        &self,
        setup: &str,
        steps: &[&StepStanding],
        places: &mut Places<'_>,
    ) -> Vec<Refusal> {
        let mut against = Vec::new();
        for step in steps {
            if let Some(told) = self.told(step, places)
                && told.state.forbids_spraying()
            {
                against.push(Refusal::NotReady(told));
            }
        }
        if let Some(place) = unread(self.assessment) {
            let at = places.at(place);
            against.push(Refusal::NotKnown(Unknown::Unread(at)));
        }
        let unsure = &self.assessment.unsure;
        if !unsure.steps.is_empty() {
            against.push(Refusal::NotKnown(Unknown::Unsaid {
                steps: unsure.steps.iter().map(|step| step.test()).collect(),
                keys: unsure.says_nothing_of.clone(),
            }));
        }
        if let Some(place) = self.error_since(steps) {
            let at = places.at(place);
            against.push(Refusal::NotKnown(Unknown::ErrorSince(at)));
        }
        if let Some(place) = self.sum_off(setup) {
            against.push(Refusal::SumOff(places.at(place)));
        }
        against
    }

    /// The first error in what a record says since the tests that the card stands on: it may undo one of them.
    fn error_since(&self, steps: &[&StepStanding]) -> Option<Place> {
        let done = steps.iter().filter_map(|step| Some(step.done?.day));
        let since = done.min().unwrap_or(Date::MIN);
        let is_since = |path: &str| match place_of(path) {
            Some(FilePlace::Calibration { .. } | FilePlace::Service { .. }) => {
                day_of(path).is_none_or(|day| since <= day && day <= self.context.today)
            }
            _ => false,
        };
        let mut errors = self
            .assessment
            .findings
            .iter()
            .filter_map(|finding| match finding {
                Finding::Fault(fault) if fault.severity() == Severity::Error => {
                    Some(fault.primary().place)
                }
                Finding::Fault(_)
                | Finding::Judged(_)
                | Finding::Explained(_)
                | Finding::Weak(_) => None,
            });
        errors.find(|place| is_since(self.reader.tree.path(place.file)))
    }

    /// Where a setup stands whose own values do not fit each other.
    fn sum_off(&self, setup: &str) -> Option<Place> {
        let all = self.assessment.findings.iter();
        let mut judged = all.flat_map(|finding| {
            let (own, held) = match finding {
                Finding::Judged(judged) => (Some(&**judged), judged.held.as_slice()),
                Finding::Explained(explained) => (None, explained.held.as_slice()),
                Finding::Fault(_) | Finding::Weak(_) => (None, [].as_slice()),
            };
            own.into_iter().chain(held)
        });
        let found = judged.find(|judged| {
            let is_own = judged.at.setup.as_deref() == Some(setup);
            judged.figure == SETUP_SUM_OFF && is_own && Severity::Note < judged.severity
        });
        found.map(|judged| judged.subject)
    }
}

/// The day that the name of a record tells; none where it tells none.
fn day_of(path: &str) -> Option<Date> {
    let name = path.rsplit('/').next()?;
    name.get(..10)?.parse().ok()
}

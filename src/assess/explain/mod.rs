//! Explaining a visit: which one thing, not as written or not as it should be, its findings follow from.
//!
//! A cause is a mend. What it holds back is what is gone once the visit is judged again with the mend applied, and nothing
//! else. Nothing here decides how a step stands or how much a finding weighs.

mod amount;
mod compared;
mod errors;
mod gathered;
mod holding;
mod last_catch;
mod machine_file;
mod mended;
mod named;
mod suspected;
mod values;

pub use compared::{CAUSE, CROSS_CHECK, Compared, Line};
pub(super) use last_catch::LastCatch;
pub(super) use machine_file::OfMachine;
pub(super) use mended::still_told;

use super::context::Context;
use super::judge::at;
use crate::cause::{self, Cause, CauseSet};
use crate::figure::Visit;
use crate::figure::about::READINGS_REPEATED;
use crate::finding::{Explained, Judged};
use crate::outcome::{Part, Stage};
use crate::procedure::Step;
use crate::record::Mends;
use crate::source::{FileId, Place};
use gathered::Gathered;
use holding::{is_open, shared_out};
use jiff::civil::Date;
use mended::Again;
use std::borrow::Cow;
use std::collections::BTreeMap;
use suspected::Naming;

/// A boom with more nozzles is not explained: the work grows with the square of their number (our choice).
const LARGEST_BOOM: usize = 60;

/// So many of a machine's latest visits are explained; what rules find in older ones is told rule by rule (our choice).
pub(super) const LATEST_VISITS: usize = 30;

/// What a visit is explained with.
pub(super) struct Explaining<'a> {
    pub(super) context: &'a Context,
    pub(super) visit: &'a Visit<'a>,
    /// The last good catch of the tips that are fitted.
    pub(super) last: Option<&'a LastCatch>,
    pub(super) latest_days: &'a BTreeMap<FileId, Date>,
    /// Whether every cause is compared, even where there is nothing to explain.
    pub(super) compares: bool,
}

/// What explains a visit, and what nothing explains.
pub(super) struct Outcome {
    pub(super) explained: Vec<Explained>,
    pub(super) standing: Vec<Judged>,
    /// Every cause beside the others, where that is asked for.
    pub(super) compared: Vec<Compared>,
}

impl Explaining<'_> {
    /// Takes out of the findings of a visit those that a cause explains.
    pub(super) fn explain(&self, told: Vec<Judged>) -> Outcome {
        let flat = || {
            told.iter()
                .flat_map(|one| std::iter::once(one).chain(&one.held))
        };
        if !self.compares && !flat().any(is_open) {
            return Outcome::nothing(told);
        }
        let layout = self.visit.subject.layout.as_ref();
        if layout.is_some_and(|layout| LARGEST_BOOM < layout.nozzles().len()) {
            return Outcome::nothing(told);
        }
        let of_found = |step: Step| {
            flat().any(|one| {
                let is_found = one.key.stage == Some(Stage::AsFound);
                is_open(one) && is_found && one.key.step == Some(step)
            })
        };
        let Some(mut gathered) = Gathered::of_visit(self.visit, self.last, of_found) else {
            return Outcome::nothing(told);
        };
        let repeated = flat().find(|one| one.figure == READINGS_REPEATED);
        gathered.readings.known.chance_of_copy = repeated.map(|one| 1.0 / one.value);
        let causes = self.causes();
        let Some(explanation) = cause::explain(&gathered.readings, &causes) else {
            return Outcome::nothing(told);
        };
        let naming = Naming {
            subject: &self.visit.subject,
            gathered: &gathered,
            causes: &causes,
            fallback: readings_of(self.visit),
            coverage_factor: self.context.coverage_factor,
        };
        let mut compared = Vec::new();
        if self.compares {
            let key = self.visit.key(Step::Catch, None, Part::Whole);
            compared = naming.compared(&at(self.visit, &key), &explanation.first);
        }
        if explanation.causes.is_empty() || !flat().any(is_open) {
            return Outcome {
                compared,
                ..Outcome::nothing(told)
            };
        }
        let again = Again {
            context: self.context,
            visit: self.visit,
            latest_days: self.latest_days,
        };
        let still_told = |mends: &Mends| again.judged(mends);
        let all = told.into_iter().flat_map(Judged::flattened).collect();
        let shared = shared_out(all, &explanation.causes, &gathered, &still_told);
        let (explained, standing) = naming.all(shared);
        Outcome {
            explained,
            standing,
            compared,
        }
    }

    /// The causes there are, without those that somebody looked for at the machine and did not find.
    fn causes(&self) -> Cow<'_, CauseSet> {
        let causes = &self.context.group.causes;
        let confirmed = &self.visit.calibration.confirmed;
        let is_ruled_out = |cause: &Cause| {
            let mut entries = confirmed.iter();
            cause.told && entries.any(|entry| entry.what.value == cause.id)
        };
        if confirmed.is_empty() {
            return Cow::Borrowed(causes);
        }
        let left = causes.causes().iter().filter(|cause| !is_ruled_out(cause));
        Cow::Owned(CauseSet::of(left.cloned().collect()))
    }
}

/// Where the readings of a visit stand: its catch, or else its meter test or its speed test.
fn readings_of(visit: &Visit<'_>) -> Option<Place> {
    let catch = visit.catch.left.as_ref().map(|catch| catch.place);
    let meter = visit.flow.each().last().map(|(_, meter)| meter.place);
    let course = visit.speed.each().last().map(|(_, course)| course.place);
    catch.or(meter).or(course)
}

impl Outcome {
    fn nothing(standing: Vec<Judged>) -> Self {
        Self {
            explained: Vec::new(),
            standing,
            compared: Vec::new(),
        }
    }
}

/// Whether a catch has nothing over a limit, so that the next one can be held against it.
pub(super) fn is_good_catch(told: &[Judged]) -> bool {
    let all = told
        .iter()
        .flat_map(|one| std::iter::once(one).chain(&one.held));
    let mut of_catch = all.filter(|one| one.key.step == Some(Step::Catch));
    !of_catch.any(is_open)
}

//! What an assessment shows of a machine: how it is today, what its visits caught, and the sums of its setups.

use crate::assess::{Context, judged_each};
use crate::figure::about::SETUP_SUM_OFF;
use crate::figure::planned::CaughtAverage;
use crate::figure::{AnyView, Measure, Visit, mean_off_rated};
use crate::finding::Judged;
use crate::record::Machine;
use crate::record::calibration::CatchTest;
use crate::source::FileId;

/// What was seen.
#[derive(Debug, Default)]
pub(super) struct Seen {
    /// The machine on the day; none where its file tells nothing.
    pub(super) machine: Option<Machine>,
    /// Its place among the group's machines.
    pub(super) index: u32,
    /// The sums of its setups.
    pub(super) sums: Vec<Judged>,
    catches: Vec<SeenCatch>,
}

/// The catch of one visit.
#[derive(Debug)]
struct SeenCatch {
    file: FileId,
    setup: u16,
    test: CatchTest,
    average: Option<CaughtAverage>,
}

impl Seen {
    /// Looks at what figures are computed from.
    pub(super) fn look(&mut self, context: &Context, view: AnyView<'_>) {
        match view {
            AnyView::Readings(visit) => self.catches.extend(seen_catch(visit, context)),
            AnyView::State(standing) => {
                self.machine = Some(standing.subject.machine.clone());
                self.index = standing.subject.index;
                self.sums = judged_each(context, view, SETUP_SUM_OFF);
            }
        }
    }

    /// The last catch of a setup, counting or not.
    pub(super) fn last_catch(&self, setup: u16) -> Option<&CatchTest> {
        let mut catches = self.catches.iter().rev();
        Some(&catches.find(|one| one.setup == setup)?.test)
    }

    /// The average of the boom in the catch of a visit.
    pub(super) fn average(&self, setup: u16, file: FileId) -> Option<CaughtAverage> {
        let mut catches = self.catches.iter();
        catches
            .find(|one| one.setup == setup && one.file == file)?
            .average
    }
}

fn seen_catch(visit: &Visit<'_>, context: &Context) -> Option<SeenCatch> {
    let calibration = visit.calibration;
    let (setup, _) = visit.setup?;
    let test = calibration.catch_tests.last()?;
    let is_past = calibration
        .date
        .is_some_and(|date| date.value <= context.today);
    is_past.then(|| SeenCatch {
        file: calibration.file,
        setup,
        test: test.clone(),
        average: average(visit),
    })
}

fn average(visit: &Visit<'_>) -> Option<CaughtAverage> {
    let (mean, place) = mean_off_rated::as_left::<Measure>(visit)?;
    // A boom that puts out nothing needs no pressure that is known.
    (-1.0 < mean.value()).then(|| CaughtAverage {
        off_rated: mean.value(),
        standard_uncertainty: mean.standard_uncertainty(&visit.primitives),
        place,
    })
}

//! Corrections of a factor beside what their tests found: shared by the figures of factors.

use super::console_factor::{ConsoleFactor, Meaning};
use crate::figure::member::Member;
use crate::figure::meter::known_volume::MeterRead;
use crate::figure::number::Number;
use crate::figure::speed::course::CourseShown;
use crate::figure::visit::{Meter, Shown, Visit};
use crate::outcome::Part;
use crate::source::Place;

/// What a test showed and what was true.
pub(crate) enum Tested<'v> {
    /// By a meter test.
    Meter(MeterRead),
    /// By the runs over a course.
    Course(CourseShown<'v>),
}

impl Tested<'_> {
    /// What the console showed and what was true, of the same dimension.
    pub(crate) fn shown_and_known<N: Number>(&self, visit: &Visit<'_>) -> (N, N) {
        match self {
            Self::Meter(read) => read.shown_and_known(visit),
            Self::Course(course) => course.shown_and_known(visit),
        }
    }

    /// Whether the console counted nothing.
    fn is_dead(&self) -> bool {
        match self {
            Self::Meter(read) => read.is_dead(),
            Self::Course(course) => course.is_dead(),
        }
    }

    /// The factor it puts right.
    pub(crate) const fn factor(&self) -> ConsoleFactor {
        match self {
            Self::Meter(_) => ConsoleFactor::Flow,
            Self::Course(_) => ConsoleFactor::Speed,
        }
    }

    /// Where the true value stands.
    pub(crate) fn known_at(&self) -> Place {
        match self {
            Self::Meter(read) => read.known.place,
            Self::Course(course) => course.length.place,
        }
    }
}

/// A factor that a test changed.
pub(crate) struct Changed<'v> {
    index: u16,
    /// The factor during the test.
    pub(crate) before: Shown,
    /// The factor as left.
    pub(crate) after: Shown,
    /// The test, or what of it is not on record.
    pub(crate) tested: Result<Tested<'v>, &'static str>,
}

impl<'v> Changed<'v> {
    /// Each change of a factor in a visit.
    pub(crate) fn each(factor: ConsoleFactor, visit: &'v Visit<'v>) -> Vec<Self> {
        match factor {
            ConsoleFactor::Flow => visit
                .flow_factors
                .iter()
                .map(|(index, changed)| Self {
                    index: *index,
                    before: changed.before,
                    after: changed.after,
                    tested: by_meter(&changed.meter),
                })
                .collect(),
            ConsoleFactor::Speed => visit
                .speed_factors
                .iter()
                .map(|(index, changed)| Self {
                    index: *index,
                    before: changed.before,
                    after: changed.after,
                    tested: CourseShown::of(&changed.course).map(Tested::Course),
                })
                .collect(),
        }
    }

    /// The part of a visit it is: its test.
    pub(crate) fn part(&self) -> Part {
        Part::Test(self.index)
    }
}

fn by_meter<'v>(meter: &Meter) -> Result<Tested<'v>, &'static str> {
    MeterRead::of(meter)
        .map(Tested::Meter)
        .ok_or(match meter.shown {
            None => "what the console showed in the meter test is not on record",
            Some(_) => "the meter test gives no known volume",
        })
}

/// A correction of a factor whose meaning is known, by a test that is on record.
pub(crate) struct FactorCorrection<'v> {
    /// The factor during the test.
    pub(crate) before: Shown,
    /// The factor as left.
    pub(crate) after: Shown,
    /// What the factor means.
    pub(crate) meaning: Meaning,
    /// The test that asked for it.
    pub(crate) tested: Tested<'v>,
}

impl<'v> FactorCorrection<'v> {
    /// Each correction of a factor in a visit, at the factor as left.
    pub(crate) fn members(factor: ConsoleFactor, visit: &'v Visit<'v>) -> Vec<Member<Self>> {
        let meaning = factor.meaning(&visit.subject.machine.console);
        let meaning = meaning.ok_or(match factor {
            ConsoleFactor::Flow => "the machine file does not say what the flow factor means",
            ConsoleFactor::Speed => "the machine file does not say what the speed factor means",
        });
        let changes = Changed::each(factor, visit).into_iter();
        changes
            .map(|changed| {
                let key = visit.key(factor.step(), None, changed.part());
                let (before, after) = (changed.before, changed.after);
                let correction = changed.tested.and_then(|tested| {
                    if tested.is_dead() {
                        return Err("the console counted nothing in the test");
                    }
                    Ok(Self {
                        before,
                        after,
                        meaning: meaning?,
                        tested,
                    })
                });
                match correction {
                    Ok(correction) => Member::new(key, correction, after.place),
                    Err(because) => Member::unavailable(key, because, None, after.place),
                }
            })
            .collect()
    }

    /// What the factor before is to be multiplied by, by the test.
    pub(crate) fn change<N: Number>(&self, visit: &Visit<'_>) -> N {
        let (shown, known) = self.tested.shown_and_known::<N>(visit);
        self.meaning.change(&shown, &known)
    }

    /// The factor that the test asks for.
    pub(crate) fn computed<N: Number>(&self, visit: &Visit<'_>) -> N {
        N::input(&visit.primitives, self.before.id).times(&self.change(visit))
    }
}

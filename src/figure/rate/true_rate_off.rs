//! How far the rate on the ground is off the console's: flow meter, speed sensor and widths together.

use super::widths::Widths;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::meter::known_volume::MeterRead;
use crate::figure::number::Number;
use crate::figure::speed::course::CourseShown;
use crate::figure::visit::{ReadingsStratum, Stages, Visit};
use crate::outcome::{Stage, Step};
use crate::record::machine::SpeedSource;
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct TrueRateOff;

static ABOUT: About = About {
    id: "true-rate-off",
    title: "how far the rate on the ground is off the rate the console holds",
    formula: "(known / shown volume) x (shown / true distance) x (entered / true width) - 1",
    source: "computed: the console divides its volume by its speed and its width",
    shown_as: ShownAs::Percent,
    family: Family::Visit,
    step: Some(Step::Flow),
    cases: &[],
};

/// What the rate stands on.
pub(crate) struct RateTested<'v> {
    meter: MeterRead,
    /// None where GPS tell the speed.
    course: Option<CourseShown<'v>>,
    widths: Widths,
}

impl<'v> RateTested<'v> {
    /// None, with the reason, where something of it is not on record.
    fn of(visit: &'v Visit<'v>, stage: Stage) -> Result<Self, &'static str> {
        let meter = at(&visit.flow, stage).ok_or("the flow meter was not tested as left")?;
        let meter = MeterRead::of(meter).ok_or("the meter test is not wholly on record")?;
        if meter.is_dead() {
            return Err("the console counted no flow in the meter test");
        }
        let source = visit.subject.machine.speed_source;
        let by_gps = source.is_some_and(|source| source.value == SpeedSource::Gps);
        let course = if by_gps {
            None
        } else {
            let course = at(&visit.speed, stage);
            let course = course.ok_or("the speed was not tested in the same visit")?;
            Some(CourseShown::of(course)?)
        };
        let widths = Widths::of_visit(visit);
        let widths =
            widths.ok_or("the machine file does not give the widths entered in the console")?;
        Ok(Self {
            meter,
            course,
            widths,
        })
    }

    /// Known over shown volume, shown over true distance, entered over true width.
    fn ratios<N: Number>(&self, visit: &Visit<'_>) -> [N; 3] {
        let (shown, known) = self.meter.shown_and_known::<N>(visit);
        let flow = known.over(&shown);
        let speed = self.course.as_ref().map_or(N::whole(1), |course| {
            let (shown, known) = course.shown_and_known::<N>(visit);
            shown.over(&known)
        });
        [
            flow,
            speed,
            self.widths.entered_over_true(&visit.primitives),
        ]
    }
}

/// As found the first tests, as left the last; a step that was not touched serves both.
fn at<T>(stages: &Stages<T>, stage: Stage) -> Option<&T> {
    match stage {
        Stage::AsFound => stages.found.as_ref().or(stages.left.as_ref()),
        Stage::AsLeft => stages.left.as_ref(),
    }
}

impl Figure for TrueRateOff {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = RateTested<'v>;

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A visit that did not test the flow meter has no member.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<RateTested<'v>>> {
        let Some(first) = visit.calibration.meter_tests.first() else {
            return Vec::new();
        };
        let found = visit.flow.found.is_some() || visit.speed.found.is_some();
        let stages = [
            (Stage::AsFound, found),
            (Stage::AsLeft, visit.flow.left.is_some()),
        ];
        let stages = stages.into_iter().filter(|(_, exists)| *exists);
        stages
            .map(|(stage, _)| {
                let key = visit.key_of_steps(stage);
                match RateTested::of(visit, stage) {
                    Ok(tested) => {
                        let shown = tested.meter.shown.place;
                        let course = tested.course.as_ref().map(|shown| shown.course.place);
                        let member = Member::new(key, tested, shown);
                        match course {
                            Some(course) => member.against(course),
                            None => member,
                        }
                    }
                    Err(because) => {
                        Member::unavailable(key, because, None, visit.place(first.span))
                    }
                }
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, tested: &RateTested<'v>) -> Option<N> {
        let [flow, speed, width] = tested.ratios::<N>(visit);
        Some(flow.times(&width).times(&speed).minus(&N::whole(1)))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, tested: &RateTested<'v>) -> Option<Working> {
        let [flow, speed, width] = tested.ratios::<f64>(visit);
        let ratio = |name, ratio| {
            let shown = Fact::phrase(name, [Fact::significant(ratio, 4)]);
            Expression::number(ratio, shown)
        };
        let rate = ratio("flow {}", flow)
            .times(ratio("speed {}", speed))
            .times(ratio("width {}", width));
        Some(Working::deviation(rate.minus(Expression::whole(1))))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &RateTested<'v>) -> Option<Fact> {
        Some(Fact::Words("by this meter"))
    }

    fn held_against(&self) -> &'static str {
        "and this course"
    }
}

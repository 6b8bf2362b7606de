//! How far the rate on the ground is off the console's: flow meter, speed sensor and widths together.

use super::about::{About, Family, ShownAs};
use super::course;
use super::describe::{percent, significant};
use super::legacy::{Formula, Legacy};
use super::meter_error::known_volume;
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::{Course, Meter, Shown};
use super::{Member, Visit};
use crate::outcome::{Key, Stage, Step};
use crate::record::machine::SpeedSource;
use crate::source::Place;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "true-rate-off",
        title: "how far the rate on the ground is off the rate the console holds",
        formula: "(known / shown volume) x (shown / true distance) x (entered / true width) - 1",
        source: "computed: the console divides its volume by its speed and its width",
        shown_as: ShownAs::Percent,
        family: Family::Visit,
        step: Some(Step::Flow),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |_, _| Some("by this meter".to_owned()),
        held_against: "and this course",
        units: |_, _| (None, None),
        slots: &[],
    },
};

/// The three ratios the rate stands on.
struct Ratios<N> {
    flow: N,
    speed: Option<N>,
    width: N,
    place: Place,
    course: Option<Place>,
}

/// As found the first tests, as left the last; a step that was not touched serves both.
fn at<T>(stages: &super::visit::Stages<T>, stage: Stage) -> Option<&T> {
    match stage {
        Stage::AsFound => stages.found.as_ref().or(stages.left.as_ref()),
        Stage::AsLeft => stages.left.as_ref(),
    }
}

fn ratios<N: Number>(visit: &Visit<'_>, stage: Stage) -> Result<Ratios<N>, &'static str> {
    let meter: &Meter = at(&visit.flow, stage).ok_or("the flow meter was not tested as left")?;
    let (Some(known), Some(shown)) = (meter.known, meter.shown) else {
        return Err("the meter test is not wholly on record");
    };
    let flow = known_volume::<N>(visit, &known).over(&N::input(&visit.primitives, shown.id));
    let source = visit
        .subject
        .machine
        .speed_source
        .map(|source| source.value);
    let (speed, course) = if source == Some(SpeedSource::Satellite) {
        (None, None)
    } else {
        let course: &Course =
            at(&visit.speed, stage).ok_or("the speed was not tested in the same visit")?;
        let (shown, length) = course::shown_and_true::<N>(visit, course)?;
        (Some(shown.over(&length)), Some(course.place))
    };
    let width = width(visit).ok_or("the machine sheet does not give the widths the console has")?;
    Ok(Ratios {
        flow,
        speed,
        width,
        place: shown.place,
        course,
    })
}

/// The width the console has for the boom over spacing times nozzles.
fn width<N: Number>(visit: &Visit<'_>) -> Option<N> {
    let input = |shown: &Shown| N::input(&visit.primitives, shown.id);
    let entered: Option<Vec<N>> = visit
        .ground
        .entered_widths
        .iter()
        .map(|width| width.as_ref().map(input))
        .collect();
    let entered = entered.filter(|widths| !widths.is_empty())?;
    let nozzles = visit.subject.layout.as_ref()?.nozzles().len();
    let nozzles = N::whole(u32::try_from(nozzles).ok()?);
    let swath = input(&visit.ground.spacing?).times(&nozzles);
    Some(N::sum(&entered).over(&swath))
}

fn combined<N: Number>(ratios: &Ratios<N>) -> N {
    let mut rate = ratios.flow.times(&ratios.width);
    if let Some(speed) = &ratios.speed {
        rate = rate.times(speed);
    }
    rate.minus(&N::whole(1))
}

/// A visit that did not test the flow meter has no member.
pub(super) fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    if visit.calibration.meter_tests.is_empty() {
        return Vec::new();
    }
    let found = visit.flow.found.is_some() || visit.speed.found.is_some();
    let stages = [
        (Stage::AsFound, found),
        (Stage::AsLeft, visit.flow.left.is_some()),
    ];
    stages
        .into_iter()
        .filter(|(_, exists)| *exists)
        .map(|(stage, _)| {
            let key = visit.key_of_steps(stage);
            match ratios::<N>(visit, stage) {
                Ok(ratios) => {
                    let member = Member::new(key, combined(&ratios), ratios.place);
                    match ratios.course {
                        Some(course) => member.against(course),
                        None => member,
                    }
                }
                Err(because) => {
                    let place = visit.place(visit.calibration.meter_tests[0].span);
                    Member::unavailable(key, because, None, place)
                }
            }
        })
        .collect()
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let ratios = ratios::<f64>(visit, key.stage?).ok()?;
    let speed = ratios.speed.unwrap_or(1.0);
    Some(format!(
        "flow {} x speed {} x width {} - 1 = {}",
        significant(ratios.flow, 4),
        significant(speed, 4),
        significant(ratios.width, 4),
        percent(combined(&ratios)),
    ))
}

//! How large a correction of a factor is: what its test found wrong.

use super::about::{About, Family, ShownAs};
use super::course;
use super::describe::{in_unit, percent};
use super::legacy::{Formula, Legacy};
use super::meter_error::known_volume;
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "correction",
        title: "how far what the console showed was off the truth where the factor was then corrected",
        formula: "shown / true - 1",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |_, _| Some("corrected here".to_owned()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[("factor", |_, key| {
            Some(match key.step? {
                Step::Flow => "flow factor".to_owned(),
                Step::Speed => "speed factor".to_owned(),
                Step::Catch | Step::Balance => return None,
            })
        })],
    },
};

/// A correction whose test is not wholly on record has no member: the factor figures tell why.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let flow = visit.flow_factors.iter().filter_map(|(index, factor)| {
        let (shown, known) = (factor.meter.shown?, factor.meter.known?);
        let shown = N::input(&visit.primitives, shown.id);
        let key = visit.key(Step::Flow, None, Part::Test(*index));
        let off = shown.off(&known_volume(visit, &known));
        Some(Member::new(key, off, factor.after.place))
    });
    let speed = visit.speed_factors.iter().filter_map(|(index, factor)| {
        let (shown, known) = course::shown_and_true::<N>(visit, &factor.course).ok()?;
        let key = visit.key(Step::Speed, None, Part::Test(*index));
        Some(Member::new(key, shown.off(&known), factor.after.place))
    });
    flow.chain(speed).collect()
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let members = members::<f64>(visit);
    let member = members.iter().find(|member| member.key == *key)?;
    let value = percent(*member.value.as_ref().ok()?);
    let Part::Test(index) = key.part else {
        return None;
    };
    if key.step == Some(Step::Flow) {
        let mut factors = visit.flow_factors.iter();
        let (_, factor) = factors.find(|(of, _)| *of == index)?;
        let (shown, known) = (factor.meter.shown?.quantity, factor.meter.known?.quantity);
        return Some(format!("{shown} shown / {known} known - 1 = {value}"));
    }
    let mut factors = visit.speed_factors.iter();
    let (_, factor) = factors.find(|(of, _)| *of == index)?;
    let (shown, _) = course::shown_and_true::<f64>(visit, &factor.course).ok()?;
    let length = factor.course.length?.quantity;
    let shown = in_unit(shown, length.unit);
    Some(format!("{shown} shown / {length} driven - 1 = {value}"))
}

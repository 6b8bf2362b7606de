//! How far a corrected factor is off the one its test asks for: flow factor and speed factor.

use super::about::{About, Family, ShownAs};
use super::course;
use super::describe::{percent, significant};
use super::legacy::{Formula, Legacy};
use super::meter_error::known_volume;
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::Shown;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::source::{Place, Spanned};

/// The case of a factor multiplied where it should have been divided.
const UPSIDE_DOWN: &str = "upside-down";

/// A correction below this cannot be told from its inverse (our choice).
const LEAST_CORRECTION: f64 = 0.01;

/// The flow factor.
pub(super) static FLOW_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "flow-factor-off",
        title: "how far a corrected flow factor is off the one its meter test asks for",
        formula: "after / computed - 1; computed = before x shown / known as pulses per volume, before x known / shown as volume per pulse",
        source: "by definition of the factor",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Flow),
        cases: &[UPSIDE_DOWN],
    },
    formula: Formula {
        value: flow_members::<f64>,
        measure: flow_members::<Measure>,
        exact: flow_members::<Rational>,
        working: |visit, key| working(&flow_correction(visit, key)?),
        read: |visit, key| Some(entered(&flow_correction(visit, key)?)),
        held_against: "from this",
        units: |_, _| (None, None),
        slots: &[
            ("computed-factor", |visit, key| {
                computed_in_words(&flow_correction(visit, key)?)
            }),
            ("entered-factor", |visit, key| {
                Some(entered(&flow_correction(visit, key)?))
            }),
        ],
    },
};

/// The speed factor.
pub(super) static SPEED_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "speed-factor-off",
        title: "how far a corrected speed factor is off the one its speed test asks for",
        formula: "after / computed - 1; computed = before x mean(shown) / course as pulses per length, before x course / mean(shown) as length per pulse",
        source: "by definition of the factor",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[UPSIDE_DOWN],
    },
    formula: Formula {
        value: speed_members::<f64>,
        measure: speed_members::<Measure>,
        exact: speed_members::<Rational>,
        working: |visit, key| working(&speed_correction(visit, key)?),
        read: |visit, key| Some(entered(&speed_correction(visit, key)?)),
        held_against: "from this",
        units: |_, _| (None, None),
        slots: &[
            ("computed-factor", |visit, key| {
                computed_in_words(&speed_correction(visit, key)?)
            }),
            ("entered-factor", |visit, key| {
                Some(entered(&speed_correction(visit, key)?))
            }),
        ],
    },
};

/// The flow factor a test asks for.
pub(super) static FLOW_FACTOR_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "computed-flow-factor",
        title: "the flow factor a meter test asks for",
        formula: "before x shown / known as pulses per volume, before x known / shown as volume per pulse",
        source: "by definition of the factor",
        shown_as: ShownAs::Measured,
        family: Family::Test,
        step: Some(Step::Flow),
        cases: &[],
    },
    formula: Formula {
        value: |visit| computed_members(visit, Step::Flow, &flow_corrections::<f64>(visit)),
        measure: |visit| computed_members(visit, Step::Flow, &flow_corrections::<Measure>(visit)),
        exact: |visit| computed_members(visit, Step::Flow, &flow_corrections::<Rational>(visit)),
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (Some(Unit::ONE), None),
        slots: &[],
    },
};

/// The speed factor a test asks for.
pub(super) static SPEED_FACTOR_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "computed-speed-factor",
        title: "the speed factor a speed test asks for",
        formula: "before x mean(shown) / course as pulses per length, before x course / mean(shown) as length per pulse",
        source: "by definition of the factor",
        shown_as: ShownAs::Measured,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[],
    },
    formula: Formula {
        value: |visit| computed_members(visit, Step::Speed, &speed_corrections::<f64>(visit)),
        measure: |visit| computed_members(visit, Step::Speed, &speed_corrections::<Measure>(visit)),
        exact: |visit| computed_members(visit, Step::Speed, &speed_corrections::<Rational>(visit)),
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (Some(Unit::ONE), None),
        slots: &[],
    },
};

/// A correction of either factor, reduced to what the formula needs.
struct Correction<N> {
    before: Shown,
    after: Shown,
    /// What the console showed and what was true, of the same dimension.
    test: Result<(N, N), &'static str>,
    /// Where the true value stands.
    held_against: Option<Place>,
    /// What the factor means, and whether that is pulses per amount.
    meaning: Result<(Unit, bool), &'static str>,
}

impl<N: Number> Correction<N> {
    /// The factor the test asks for, as a multiple of the one before it.
    fn change(&self) -> Result<N, &'static str> {
        let (shown, known) = self.test.as_ref().map_err(|because| *because)?;
        let (_, per_amount) = self.meaning?;
        Ok(if per_amount {
            shown.over(known)
        } else {
            known.over(shown)
        })
    }

    fn member(&self, visit: &Visit<'_>, key: Key) -> Member<N> {
        let subject = self.after.place;
        let change = match self.change() {
            Ok(change) => change,
            Err(because) => return Member::unavailable(key, because, None, subject),
        };
        let input = |shown: Shown| N::input(&visit.primitives, shown.id);
        let entered = input(self.after).over(&input(self.before));
        let member = Member::new(key, entered.off(&change), subject);
        match self.held_against {
            Some(place) => member.against(place),
            None => member,
        }
    }
}

impl Correction<f64> {
    fn computed(&self) -> Option<f64> {
        Some(self.before.quantity.si() * self.change().ok()?)
    }

    /// Whether the factor entered is the one that the inverse ratio gives.
    fn case(&self) -> Option<&'static str> {
        let change = self.change().ok()?;
        let entered = self.after.quantity.si() / self.before.quantity.si();
        let far = (change - 1.0).abs() > LEAST_CORRECTION;
        let inverse = (entered * change - 1.0).abs() < LEAST_CORRECTION / 2.0;
        (far && inverse).then_some(UPSIDE_DOWN)
    }
}

fn meaning(
    unit: Option<&Spanned<Unit>>,
    per_amount: Dimension,
    unknown: &'static str,
) -> Result<(Unit, bool), &'static str> {
    let unit = unit.ok_or(unknown)?.value;
    Ok((unit, unit.dimension() == per_amount))
}

fn flow_corrections<N: Number>(visit: &Visit<'_>) -> Vec<(u16, Correction<N>)> {
    let factors = visit.flow_factors.iter();
    factors
        .map(|(index, factor)| {
            let test = match (factor.meter.shown, factor.meter.known) {
                (Some(shown), Some(known)) => Ok((
                    N::input(&visit.primitives, shown.id),
                    known_volume(visit, &known),
                )),
                (None, _) => Err("what the console showed in the meter test is not on record"),
                (_, None) => Err("the meter test gives no known volume"),
            };
            let correction = Correction {
                before: factor.before,
                after: factor.after,
                test,
                held_against: factor.meter.known.map(|known| known.place),
                meaning: meaning(
                    visit.subject.machine.console.flow_factor.as_ref(),
                    Dimension::PULSES_PER_VOLUME,
                    "the machine sheet does not tell what the flow factor means",
                ),
            };
            (*index, correction)
        })
        .collect()
}

fn speed_corrections<N: Number>(visit: &Visit<'_>) -> Vec<(u16, Correction<N>)> {
    let factors = visit.speed_factors.iter();
    factors
        .map(|(index, factor)| {
            let correction = Correction {
                before: factor.before,
                after: factor.after,
                test: course::shown_and_true(visit, &factor.course),
                held_against: factor.course.length.map(|length| length.place),
                meaning: meaning(
                    visit.subject.machine.console.speed_factor.as_ref(),
                    Dimension::PULSES_PER_LENGTH,
                    "the machine sheet does not tell what the speed factor means",
                ),
            };
            (*index, correction)
        })
        .collect()
}

fn key_of(visit: &Visit<'_>, step: Step, index: u16) -> Key {
    visit.key(step, None, Part::Test(index))
}

fn members<N: Number>(
    visit: &Visit<'_>,
    step: Step,
    corrections: &[(u16, Correction<N>)],
    measured: &[(u16, Correction<f64>)],
) -> Vec<Member<N>> {
    corrections
        .iter()
        .zip(measured)
        .map(|((index, correction), (_, measured))| {
            correction
                .member(visit, key_of(visit, step, *index))
                .in_case(measured.case())
        })
        .collect()
}

fn flow_members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    members(
        visit,
        Step::Flow,
        &flow_corrections::<N>(visit),
        &flow_corrections(visit),
    )
}

fn speed_members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    members(
        visit,
        Step::Speed,
        &speed_corrections::<N>(visit),
        &speed_corrections(visit),
    )
}

/// Factors are shown as the console has them, whatever their unit.
fn computed_members<N: Number>(
    visit: &Visit<'_>,
    step: Step,
    corrections: &[(u16, Correction<N>)],
) -> Vec<Member<N>> {
    corrections
        .iter()
        .map(|(index, correction)| {
            let key = key_of(visit, step, *index);
            let subject = correction.after.place;
            match correction.change() {
                Ok(change) => {
                    let before = N::input(&visit.primitives, correction.before.id);
                    Member::new(key, before.times(&change), subject)
                }
                Err(because) => Member::unavailable(key, because, None, subject),
            }
        })
        .collect()
}

fn at(corrections: Vec<(u16, Correction<f64>)>, key: &Key) -> Option<Correction<f64>> {
    let mut corrections = corrections.into_iter();
    let found = corrections.find(|(index, _)| key.part == Part::Test(*index));
    found.map(|(_, correction)| correction)
}

fn flow_correction(visit: &Visit<'_>, key: &Key) -> Option<Correction<f64>> {
    at(flow_corrections(visit), key)
}

fn speed_correction(visit: &Visit<'_>, key: &Key) -> Option<Correction<f64>> {
    at(speed_corrections(visit), key)
}

fn entered(correction: &Correction<f64>) -> String {
    correction.after.quantity.decimal.to_string()
}

/// The computed factor to one digit more than the one entered.
fn computed_in_words(correction: &Correction<f64>) -> Option<String> {
    let places = usize::from(correction.after.quantity.decimal.places()) + 1;
    let (unit, _) = correction.meaning.ok()?;
    Some(format!(
        "{} {unit}",
        crate::words::numbers::number(correction.computed()?, places)
    ))
}

fn working(correction: &Correction<f64>) -> Option<String> {
    let change = correction.change().ok()?;
    let (unit, _) = correction.meaning.ok()?;
    Some(format!(
        "{} before x {} = {} {unit}; {} / {} - 1 = {}",
        correction.before.quantity.decimal,
        significant(change, 5),
        significant(correction.computed()?, 5),
        correction.after.quantity.decimal,
        significant(correction.computed()?, 5),
        percent(correction.after.quantity.si() / correction.computed()? - 1.0),
    ))
}

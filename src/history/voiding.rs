//! Which work takes the ground from under which step, and why: a table.
//!
//! Knows no record and no date; `timeline` applies it.

use crate::procedure::Step;
use crate::record::machine::{Machine, SpeedSource};
use crate::record::service::{Wheels, WorkDone};

/// What work does to a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// What the step found no longer holds.
    Voids,
    /// What it found may no longer hold.
    Recheck,
}

impl Effect {
    /// In words that stand between the work and the step.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Voids => "voids",
            Self::Recheck => "asks to recheck",
        }
    }
}

/// Of which setups work concerns a step that each setup has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// Of the setup the work names, at the nozzles it names.
    Nozzles,
    /// Of the setup the work names.
    Setup,
    /// Of all.
    Machine,
}

/// When a row holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// Always.
    Always,
    /// Where a whole section was fitted, or the whole boom.
    WholeSection,
    /// Where the speed is counted at a wheel, and it is a wheel that drives.
    SpeedByWheel,
    /// Where the pressure is another.
    PressureChanged,
}

impl When {
    /// In words behind the work; empty where it always holds.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Always => "",
            Self::WholeSection => "of a whole section or more",
            Self::SpeedByWheel => "where the speed is counted at a wheel",
            Self::PressureChanged => "with another pressure",
        }
    }
}

/// One row.
#[derive(Debug, Clone, Copy)]
pub struct Row {
    /// The work, by its word in records.
    pub work: &'static str,
    /// When it holds.
    pub when: When,
    /// What it does.
    pub effect: Effect,
    /// The step.
    pub step: Step,
    /// Of which setups.
    pub reach: Reach,
    /// Why, as a fragment that can follow "since".
    pub because: &'static str,
}

const fn row(
    (work, when): (&'static str, When),
    effect: Effect,
    (step, reach): (Step, Reach),
    because: &'static str,
) -> Row {
    Row {
        work,
        when,
        effect,
        step,
        reach,
        because,
    }
}

/// Every row. Work without one changes nothing that a step found: other speeds and pressures among
/// tested setups, widths entered, another course.
///
/// The triggers of a new calibration are a change of nozzles, tires, tire pressure, pump, meter,
/// regulator, section valve or console (from memory, and by what each step measures); which of them
/// void a step and which ask to check it again is our choice.
pub static VOIDING: &[Row] = &[
    row(
        ("nozzles-fitted", When::Always),
        Effect::Voids,
        (Step::Catch, Reach::Nozzles),
        "nobody has caught what the new nozzles pass",
    ),
    row(
        ("nozzles-fitted", When::WholeSection),
        Effect::Voids,
        (Step::Balance, Reach::Setup),
        "a bypass is set for the flow of the nozzles it stands in for",
    ),
    row(
        ("tires", When::SpeedByWheel),
        Effect::Voids,
        (Step::Speed, Reach::Machine),
        "another rolling circumference makes another distance a turn",
    ),
    row(
        ("section-valve", When::Always),
        Effect::Voids,
        (Step::Balance, Reach::Machine),
        "the bypass was set for the valve that was there",
    ),
    row(
        ("flow-meter", When::Always),
        Effect::Voids,
        (Step::Flow, Reach::Machine),
        "the factor belongs to the meter as it was",
    ),
    row(
        ("console", When::Always),
        Effect::Voids,
        (Step::Flow, Reach::Machine),
        "the factor was found with the console that was there",
    ),
    row(
        ("console", When::Always),
        Effect::Voids,
        (Step::Speed, Reach::Machine),
        "the factor was found with the console that was there",
    ),
    row(
        ("speed-source", When::Always),
        Effect::Voids,
        (Step::Speed, Reach::Machine),
        "the factor belongs to the source that was there",
    ),
    row(
        ("pump", When::Always),
        Effect::Recheck,
        (Step::Catch, Reach::Machine),
        "another pump may hold another pressure at the nozzles",
    ),
    row(
        ("pump", When::Always),
        Effect::Recheck,
        (Step::Balance, Reach::Machine),
        "another pump may answer a section that is off differently",
    ),
    row(
        ("regulator", When::Always),
        Effect::Recheck,
        (Step::Catch, Reach::Machine),
        "the pressure at the nozzles may be another",
    ),
    row(
        ("regulator", When::Always),
        Effect::Recheck,
        (Step::Balance, Reach::Machine),
        "the regulator shares the flow with the bypasses",
    ),
    row(
        ("hose", When::Always),
        Effect::Recheck,
        (Step::Catch, Reach::Machine),
        "a hose may lose another pressure on the way to the nozzles",
    ),
    row(
        ("hose", When::Always),
        Effect::Recheck,
        (Step::Balance, Reach::Machine),
        "a hose may lose another pressure on the way to the bypasses",
    ),
    row(
        ("spacing", When::Always),
        Effect::Recheck,
        (Step::Catch, Reach::Machine),
        "the nozzles were taken off and set again",
    ),
    row(
        ("setup", When::PressureChanged),
        Effect::Recheck,
        (Step::Catch, Reach::Setup),
        "the nozzles were caught at another pressure",
    ),
    row(
        ("setup", When::PressureChanged),
        Effect::Recheck,
        (Step::Balance, Reach::Setup),
        "the bypasses were set at another pressure",
    ),
];

/// The rows that hold for a piece of work on a machine as it was then.
pub fn rows_of(work: &WorkDone, machine: &Machine) -> impl Iterator<Item = &'static Row> {
    let holds = move |when: When| match when {
        When::Always => true,
        When::WholeSection => is_whole_section(work, machine),
        When::SpeedByWheel => {
            let other =
                matches!(work, WorkDone::Tires(Some(wheels)) if wheels.value == Wheels::Other);
            !other
                && machine
                    .speed_source
                    .is_none_or(|source| source.value == SpeedSource::Wheel)
        }
        When::PressureChanged => is_another_pressure(work, machine),
    };
    let word = work.word();
    VOIDING
        .iter()
        .filter(move |row| row.work == word && holds(row.when))
}

/// Whether a setup's pressure is another than it was; one that the sheet leaves out may be.
fn is_another_pressure(work: &WorkDone, machine: &Machine) -> bool {
    let WorkDone::Setup(change) = work else {
        return false;
    };
    let Some(now) = change.pressure else {
        return false;
    };
    let index = machine.setup_index(change.setup.as_ref());
    let setup = index.and_then(|index| machine.setups.get(usize::from(index)));
    let was = setup.and_then(|setup| setup.pressure);
    was.is_none_or(|was| was.value.exact() != now.value.exact())
}

/// Whether nozzles were fitted to a whole section, or to the whole boom.
fn is_whole_section(work: &WorkDone, machine: &Machine) -> bool {
    let WorkDone::NozzlesFitted(fitted) = work else {
        return false;
    };
    let is_whole = |name: &str, count: usize| {
        machine.boom.sections.iter().any(|section| {
            let named = section.name.as_ref().is_some_and(|own| own.value == name);
            let nozzles = section.nozzles.map_or(0, |nozzles| nozzles.value);
            named && usize::try_from(nozzles).is_ok_and(|nozzles| nozzles <= count)
        })
    };
    fitted.at.is_empty()
        || fitted
            .at
            .iter()
            .any(|(section, positions)| is_whole(&section.value, positions.len()))
}

//! Which work takes the ground from under which step, and why: a table.
//!
//! Knows no record and no date; `timeline` applies it.

use crate::procedure::{Step, is_speed_driven};
use crate::quantity::Quantity;
use crate::record::machine::{Machine, Setup, SpeedSource};
use crate::record::service::{SetupChange, Wheels, WorkDone};
use crate::source::Placed;

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
            Self::Recheck => "calls for a recheck of",
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
    /// Where nothing measures the speed, and it is a wheel that drives.
    SpeedDriven,
    /// Where the pressure is another.
    PressureChanged,
    /// Where nothing measures the speed, and the speed is another.
    DrivenSpeedChanged,
}

impl When {
    /// In words behind the work; empty where it always holds.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Always => "",
            Self::WholeSection => "of a whole section or more",
            Self::SpeedByWheel => "where the speed is counted at a wheel",
            Self::SpeedDriven => "where nothing measures the speed",
            Self::PressureChanged => "with another pressure",
            Self::DrivenSpeedChanged => "with another speed, where nothing measures the speed",
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
        "the new nozzles have not been caught",
    ),
    row(
        ("nozzles-fitted", When::WholeSection),
        Effect::Voids,
        (Step::Balance, Reach::Setup),
        "the bypass was set for the flow of the old nozzles",
    ),
    row(
        ("tires", When::SpeedByWheel),
        Effect::Voids,
        (Step::Speed, Reach::Machine),
        "a different rolling circumference changes the distance per turn",
    ),
    row(
        ("tires", When::SpeedDriven),
        Effect::Voids,
        (Step::Speed, Reach::Machine),
        "the same gear gives a different speed on different tires",
    ),
    row(
        ("section-valve", When::Always),
        Effect::Voids,
        (Step::Balance, Reach::Machine),
        "the bypass was set before the work on the valve",
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
        "the factor was set for the console as it was",
    ),
    row(
        ("console", When::Always),
        Effect::Voids,
        (Step::Speed, Reach::Machine),
        "the factor was set for the console as it was",
    ),
    row(
        ("speed-source", When::Always),
        Effect::Voids,
        (Step::Speed, Reach::Machine),
        "the factor belongs to the old speed source",
    ),
    row(
        ("pump", When::Always),
        Effect::Recheck,
        (Step::Catch, Reach::Machine),
        "the pump may hold a different pressure at the nozzles",
    ),
    row(
        ("pump", When::Always),
        Effect::Recheck,
        (Step::Balance, Reach::Machine),
        "the pump may react differently with a section off",
    ),
    row(
        ("regulator", When::Always),
        Effect::Recheck,
        (Step::Catch, Reach::Machine),
        "the pressure at the nozzles may have changed",
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
        "the hose may change the pressure drop on the way to the nozzles",
    ),
    row(
        ("hose", When::Always),
        Effect::Recheck,
        (Step::Balance, Reach::Machine),
        "the hose may change the pressure drop on the way to the bypasses",
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
    row(
        ("setup", When::DrivenSpeedChanged),
        Effect::Recheck,
        (Step::Speed, Reach::Setup),
        "another speed was driven",
    ),
];

/// The rows that hold for a piece of work on a machine as it was then.
pub fn rows_of(work: &WorkDone, machine: &Machine) -> impl Iterator<Item = &'static Row> {
    let holds = move |when: When| match when {
        When::Always => true,
        When::WholeSection => is_whole_section(work, machine),
        When::SpeedByWheel => {
            let source = machine.speed_source.map(|source| source.value);
            let is_by_wheel = source.is_none_or(|source| source == SpeedSource::Wheel);
            may_drive(work) && is_by_wheel && !is_speed_driven(machine)
        }
        When::SpeedDriven => may_drive(work) && is_speed_driven(machine),
        When::PressureChanged => is_another(
            work,
            machine,
            |change| change.pressure,
            |setup| setup.pressure,
        ),
        When::DrivenSpeedChanged => {
            is_speed_driven(machine)
                && is_another(work, machine, |change| change.speed, |setup| setup.speed)
        }
    };
    let word = work.word();
    VOIDING
        .iter()
        .filter(move |row| row.work == word && holds(row.when))
}

/// Whether work on tires may be on a wheel that drives.
fn may_drive(work: &WorkDone) -> bool {
    !matches!(work, WorkDone::Tires(Some(wheels)) if wheels.value == Wheels::Other)
}

/// Whether a value of a setup is another than it was; one that the machine file leaves out may be.
fn is_another(
    work: &WorkDone,
    machine: &Machine,
    to: fn(&SetupChange) -> Option<Placed<Quantity>>,
    of: fn(&Setup) -> Option<Placed<Quantity>>,
) -> bool {
    let WorkDone::Setup(change) = work else {
        return false;
    };
    let Some(now) = to(change) else {
        return false;
    };
    let index = machine.setup_index(change.setup.as_ref());
    let setup = index.and_then(|index| machine.setups.get(usize::from(index)));
    let was = setup.and_then(|setup| of(setup));
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

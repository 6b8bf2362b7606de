//! The steps of a calibration, as a table: what each is called, which machine has it, where a record shows it, what it takes.
//!
//! A new step is a row here, with its figures, its rules, its part of the schema, and what voids it.

use crate::quantity::unit::Unit;
use crate::record::calibration::FactorChange;
use crate::record::machine::{BalanceBy, Control, Machine, SectionValves, SpeedSource};
use crate::record::{Calibration, NotFilledIn, Owner};
use crate::source::{Span, Spanned};

/// A step of the calibration procedure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Step {
    /// Catching every nozzle.
    Catch,
    /// The flow meter's factor.
    Flow,
    /// The speed sensor's factor.
    Speed,
    /// The balance of the section bypasses.
    Balance,
}

impl Step {
    /// Every step, in the order it is done.
    pub fn all() -> impl Iterator<Item = Self> {
        PROCEDURES.iter().map(|procedure| procedure.step)
    }

    /// Its row in the table.
    pub fn procedure(self) -> &'static Procedure {
        &PROCEDURES[self as usize]
    }

    /// The word in rule files and limits.
    pub fn word(self) -> &'static str {
        self.procedure().word
    }

    /// What its test is called.
    pub fn test(self) -> &'static str {
        self.procedure().test
    }

    /// What keeps its tests in a record from being done: a value of theirs, or of the whole visit, that is not filled in.
    pub fn not_filled_in(self, visit: &Calibration) -> Option<&NotFilledIn> {
        let own = visit.not_filled_in_of(self.procedure().owner);
        let has_tests = || !(self.procedure().tests)(visit).is_empty();
        own.or_else(|| {
            let of_visit = visit.not_filled_in_of(Owner::Visit);
            of_visit.filter(|_| has_tests())
        })
    }

    /// The setup it belongs to, where a setup is known: none for a step of the whole machine.
    pub fn setup<T>(self, machine: &Machine, setup: Option<T>) -> Option<T> {
        setup.filter(|_| (self.procedure().done_for)(machine) == DoneFor::Setup)
    }
}

/// What a step is done for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DoneFor {
    /// For each setup by itself.
    Setup,
    /// For the whole machine.
    Machine,
}

/// Whether a machine has a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Has {
    /// It has.
    Yes,
    /// It has not.
    No,
    /// Its file does not say: the key is missing.
    Unsaid(&'static str),
}

/// What a factor is multiplied by, where the console showed one amount and another is true.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FactorTimes {
    /// Shown over known: the factor is pulses per amount.
    ShownOverKnown,
    /// Known over shown: the factor is an amount per pulse.
    KnownOverShown,
}

/// One row of the table.
#[derive(Debug)]
pub struct Procedure {
    /// The step.
    pub step: Step,
    /// The word in rule files and limits.
    pub word: &'static str,
    /// What its test is called.
    pub test: &'static str,
    /// What it is done for.
    pub done_for: fn(&Machine) -> DoneFor,
    /// Which machine has it.
    pub has: fn(&Machine) -> Has,
    /// What of a record its tests are.
    pub owner: Owner,
    /// Where its tests stand in a record.
    pub tests: fn(&Calibration) -> Vec<Span>,
    /// How its tests in a record left the console's factor, one after another; nothing where it puts right none.
    pub factors: fn(&Calibration) -> Vec<&FactorChange>,
    /// The factor of the console that its tests put right; none where they put right none.
    pub factor: Option<NamedFactor>,
    /// The figures its tests measure. A test counts only where their uncertainty is no more than the worst limit:
    /// otherwise it tells nothing of the machine.
    pub measures: &'static [&'static str],
    /// The figures of the conditions of its tests. A test does not count where one of them is an error: under conditions
    /// that cannot be, what was read is of another boom, or of none.
    pub conditions: &'static [&'static str],
    /// What it takes, beside gloves and clean water.
    pub bring: fn(&Machine) -> &'static [&'static str],
    /// What whoever does it takes care of, beside [`CAUTIONS`].
    pub cautions: &'static [&'static str],
}

/// A factor of the console.
#[derive(Debug, Clone, Copy)]
pub struct NamedFactor {
    /// What it is called.
    pub name: &'static str,
    /// What it means by the machine's file; none where that does not tell.
    pub unit: fn(&Machine) -> Option<Unit>,
}

/// What whoever does any step takes care of; common practice, no source.
pub static CAUTIONS: [&str; 4] = [
    "rinse the tank and the lines, and use clean water",
    "wear gloves, eye protection, and whatever else the label requires",
    "put rinsate only where the label allows",
    "use a neutralizer only as its label says",
];

/// A wet jug weighs more than a dry one, and each catch leaves it wet; common practice, no source.
pub const ZERO_THE_SCALE: &str = "zero the scale with the empty wet jug on it";

/// Before a hand is put to the boom; common practice, no source.
const HANDS_ON_THE_BOOM: &str = "before you touch tips, strainers, or hoses, turn the engine off, secure the boom, and release \
    the pressure";

/// Whether a machine has what a step calibrates, by what its file says under a key.
fn has<T: Copy>(
    said: Option<&Spanned<T>>,
    key: &'static str,
    is_calibrated: impl FnOnce(T) -> bool,
) -> Has {
    match said {
        None => Has::Unsaid(key),
        Some(said) if is_calibrated(said.value) => Has::Yes,
        Some(_) => Has::No,
    }
}

/// Whether nothing measures the speed, so that it is the operator who drives it, by gear and throttle or at a pace.
///
/// The rate of such a machine stands on the speed of the setup, which a course and a stopwatch prove. A machine without
/// any control whose file tells of no speed source has none.
pub fn is_speed_driven(machine: &Machine) -> bool {
    match machine.speed_source.map(|source| source.value) {
        Some(source) => source == SpeedSource::None,
        None => machine.control.map(|control| control.value) == Some(Control::Manual),
    }
}

/// What a section balance of a machine is read by: as its file says, else by the rate where a console can show one.
pub fn balance_by(machine: &Machine) -> BalanceBy {
    let has_console = machine.control.map(|control| control.value) == Some(Control::Flow);
    let otherwise = if has_console {
        BalanceBy::Rate
    } else {
        BalanceBy::Pressure
    };
    machine.balance_by.map_or(otherwise, |by| by.value)
}

/// Every step, in the order it is done, which is that of [`Step`].
pub static PROCEDURES: [Procedure; 4] = [
    Procedure {
        step: Step::Catch,
        word: "catch",
        test: "catch test",
        done_for: |_| DoneFor::Setup,
        has: |_| Has::Yes,
        owner: Owner::CatchTests,
        tests: |visit| visit.catch_tests.iter().map(|test| test.span).collect(),
        factors: |_| Vec::new(),
        factor: None,
        measures: &["nozzle-off-mean"],
        conditions: &[],
        bring: |_| {
            &[
                "jug or scale",
                "stopwatch",
                "pressure gauge",
                "spare strainers",
            ]
        },
        cautions: &[HANDS_ON_THE_BOOM, "never blow through a tip"],
    },
    Procedure {
        step: Step::Flow,
        word: "flow",
        test: "meter test",
        done_for: |_| DoneFor::Machine,
        has: |machine| {
            has(machine.control.as_ref(), "control", |control| {
                control == Control::Flow
            })
        },
        owner: Owner::MeterTests,
        tests: |visit| visit.meter_tests.iter().map(|test| test.span).collect(),
        factors: |visit| {
            let tests = visit.meter_tests.iter();
            tests.filter_map(|test| test.factor.as_ref()).collect()
        },
        factor: Some(NamedFactor {
            name: "flow factor",
            unit: |machine| machine.console.flow_factor.map(|unit| unit.value),
        }),
        measures: &["meter-error"],
        conditions: &[],
        bring: |_| &["fill meter or scale", "stopwatch"],
        cautions: &[HANDS_ON_THE_BOOM],
    },
    Procedure {
        step: Step::Speed,
        word: "speed",
        test: "speed test",
        // A sensor is the machine's; a speed that is driven is that of a gear and throttle, which go with a setup.
        done_for: |machine| {
            if is_speed_driven(machine) {
                DoneFor::Setup
            } else {
                DoneFor::Machine
            }
        },
        has: |machine| {
            if is_speed_driven(machine) {
                return Has::Yes;
            }
            has(machine.speed_source.as_ref(), "speed-source", |source| {
                matches!(source, SpeedSource::Wheel | SpeedSource::Radar)
            })
        },
        owner: Owner::SpeedTests,
        tests: |visit| visit.speed_tests.iter().map(|test| test.span).collect(),
        factors: |visit| {
            let tests = visit.speed_tests.iter();
            tests.filter_map(|test| test.factor.as_ref()).collect()
        },
        factor: Some(NamedFactor {
            name: "speed factor",
            unit: |machine| machine.console.speed_factor.map(|unit| unit.value),
        }),
        measures: &["sensor-error"],
        conditions: &[],
        bring: |_| &["tape or measuring wheel", "stopwatch", "course markers"],
        cautions: &[
            "keep the speed course clear of people",
            "wear the seat belt",
            "stay off slopes",
        ],
    },
    Procedure {
        step: Step::Balance,
        word: "balance",
        test: "section balance",
        done_for: |_| DoneFor::Setup,
        has: |machine| {
            if machine.boom.sections.len() == 1 {
                return Has::No; // There is no other section that could take its flow.
            }
            has(
                machine.section_valves.as_ref(),
                "section-valves",
                |valves| valves == SectionValves::Bypass,
            )
        },
        owner: Owner::SectionBalance,
        tests: |visit| visit.section_balance.iter().map(|test| test.span).collect(),
        factors: |_| Vec::new(),
        factor: None,
        measures: &["section-off-change"],
        conditions: &["entered-speed-off-setup", "all-on-off-setup"],
        bring: |machine| match balance_by(machine) {
            BalanceBy::Pressure => &["pressure gauge", "wrench for the bypasses"],
            BalanceBy::Rate => &["wrench for the bypasses"],
        },
        cautions: &[HANDS_ON_THE_BOOM],
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_step_stands_at_its_place() {
        for (at, procedure) in PROCEDURES.iter().enumerate() {
            assert_eq!(procedure.step as usize, at);
        }
    }
}

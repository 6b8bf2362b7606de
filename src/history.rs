//! How every step of a machine stands on a day.
//!
//! Decides nothing about due dates and limits; tells when each step was last done.

use crate::fleet::{History, Unreadable};
use crate::outcome::Step;
use crate::record::Calibration;
use crate::record::machine::{Control, Machine, SectionValves, SpeedSource};
use crate::source::Place;
use jiff::civil::Date;

/// How one step of one setup stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StepState {
    /// The step.
    pub step: Step,
    /// The setup it belongs to; none where it belongs to the whole machine.
    pub setup: Option<u16>,
    /// When it was last done.
    pub last: Last,
}

/// When a step was last done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Last {
    /// Never, as far as the records show.
    Never,
    /// On a day, as that record's date says.
    On(Date, Place),
    /// A record that cannot be read may have been of a later day.
    Unreadable(Unreadable),
}

/// The state of every step the machine has, in the order of the procedure.
///
/// A visit dated after `today` has not happened and is passed over; `date-in-future` tells of it.
pub fn steps(history: &History, machine: &Machine, today: Date) -> Vec<StepState> {
    let past: Vec<(Date, Place, &Calibration)> = history
        .calibrations
        .iter()
        .filter_map(|visit| {
            let date = visit.date?;
            let place = Place {
                file: visit.file,
                span: date.span,
            };
            (date.value <= today).then_some((date.value, place, visit))
        })
        .collect();
    let state = |step: Step, setup: Option<u16>| {
        let done = past
            .iter()
            .rev()
            .find(|(_, _, visit)| is_done(visit, machine, step, setup));
        let last = match done {
            Some(&(date, place, _)) => match history.unreadable_since(date) {
                Some(&unreadable) => Last::Unreadable(unreadable),
                None => Last::On(date, place),
            },
            None => match history.unreadable.first() {
                Some(&unreadable) => Last::Unreadable(unreadable),
                None => Last::Never,
            },
        };
        StepState { step, setup, last }
    };
    let mut states = Vec::new();
    for step in Step::ALL {
        if !has_step(machine, step) {
            continue;
        }
        match step {
            Step::Catch | Step::Balance => {
                for (setup, _) in (0_u16..).zip(&machine.setups) {
                    states.push(state(step, Some(setup)));
                }
            }
            Step::Flow | Step::Speed => states.push(state(step, None)),
        }
    }
    states
}

/// Whether the machine has what the step calibrates; what the sheet leaves out counts as there.
fn has_step(machine: &Machine, step: Step) -> bool {
    match step {
        Step::Catch => true,
        Step::Flow => machine
            .control
            .is_none_or(|control| control.value == Control::Flow),
        Step::Speed => machine
            .speed_source
            .is_none_or(|source| match source.value {
                SpeedSource::Wheel | SpeedSource::Radar => true,
                SpeedSource::Satellite | SpeedSource::None => false,
            }),
        Step::Balance => machine
            .section_valves
            .is_none_or(|valves| valves.value == SectionValves::Bypass),
    }
}

fn is_done(visit: &Calibration, machine: &Machine, step: Step, setup: Option<u16>) -> bool {
    let done = match step {
        Step::Catch => !visit.catch_tests.is_empty(),
        Step::Flow => !visit.meter_tests.is_empty(),
        Step::Speed => !visit.speed_tests.is_empty(),
        Step::Balance => visit.section_balance.is_some(),
    };
    done && setup.is_none_or(|setup| {
        let Some(named) = &visit.setup else {
            return machine.setups.len() == 1;
        };
        machine
            .setups
            .get(usize::from(setup))
            .is_some_and(|setup| setup.name.value == named.value)
    })
}

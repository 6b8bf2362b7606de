//! Whether the tests of a visit do a step: a step is done only where its figure can be worked out from what was read.
//!
//! Computes no figure: it says which readings the figure of each step takes, and which of them a record lacks. A test in
//! `tests/fast/steps_done.rs` holds it to the figures.

use crate::fleet::{self, AtPressure, Laid, Layout};
use crate::procedure::{Step, is_speed_driven};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::record::Calibration;
use crate::record::calibration::{
    CatchTest, KnownBy, MeterTest, RateControl, Reading, SectionBalance, SectionsOffReading,
    SpeedTest,
};
use crate::record::machine::{Control, Machine, Setup};
use crate::source::Span;
use std::collections::BTreeSet;

/// What the tests of a visit are worth for a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Proof {
    /// They do it.
    Done,
    /// They do it once these nozzles, which they leave out, are caught later.
    OnceCaught(Vec<u16>),
    /// They do it where nothing speaks against the step. The error of what the console reads cannot be calculated, so they
    /// do not show that it is right again.
    Unproven(&'static str),
    /// They do not do it.
    Lacks(Lacking),
}

/// What keeps tests that are on record from counting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lacking {
    /// A reading, as a sentence says that it is not there.
    Reading(&'static str),
    /// The same of what another finding tells of already.
    Faulty(&'static str),
    /// Something in it is not filled in: what, as people say it.
    NotFilledIn(Vec<String>),
    /// Readings of these nozzles, by number.
    Nozzles(Vec<u16>),
    /// What it measures is not known well enough: the uncertainty is more than the worst limit.
    Certainty,
    /// Nozzles caught again must be caught near the pressure of the catch they complete, or of the setup.
    Pressure,
}

/// What a visit caught over the boom.
#[derive(Debug, Default)]
pub(super) struct Caught {
    /// The nozzles with a reading, by number.
    pub(super) nozzles: BTreeSet<u16>,
    /// Whether the readings can be held against the rated flow, and need no other nozzle.
    pub(super) is_rated: bool,
    /// The nozzles of the boom without a reading, by number; none where the readings cannot be laid onto the boom.
    left_out: Option<Vec<u16>>,
    /// The nozzles that are said to be missed and have no reading, by number.
    pub(super) missed: BTreeSet<u16>,
    /// Whether the catches say something of every nozzle, be it that it was missed.
    is_of_whole_boom: bool,
    amounts: Amounts,
    /// The pressure of the catch that the others of the visit belong to.
    pub(super) pressure: Option<Quantity>,
}

impl Caught {
    /// Whether every nozzle of the boom has a reading.
    pub(super) fn is_whole(&self) -> bool {
        self.left_out.as_ref().is_some_and(Vec::is_empty)
    }
}

/// What the readings of a visit's catches amount to.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Amounts {
    /// They have no unit, or no time where it asks for one.
    #[default]
    Unclear,
    /// No nozzle has flow.
    Nothing,
    /// A nozzle has flow.
    Something,
}

/// What the tests of a visit are worth for a step, and where they stand; none without such a test.
pub(super) fn of(
    step: Step,
    visit: &Calibration,
    machine: &Machine,
    caught: &Caught,
) -> Option<(Proof, Span)> {
    if let Some(empty) = step.not_filled_in(visit) {
        let lacking = Lacking::NotFilledIn(empty.values());
        return Some((Proof::Lacks(lacking), empty.span));
    }
    let lacks = |lacking: Option<Lacking>| lacking.map_or(Proof::Done, Proof::Lacks);
    Some(match step {
        Step::Catch => {
            let first = visit.catch_tests.first()?;
            let key = first
                .caught
                .as_ref()
                .map_or(first.span, |caught| caught.key);
            (of_catches(caught), key)
        }
        Step::Flow => {
            let last = visit.meter_tests.last()?;
            let is_whole = caught.is_whole() && caught.amounts == Amounts::Something;
            (of_meter_test(last, is_whole), last.span)
        }
        Step::Speed => {
            let last = visit.speed_tests.last()?;
            let setup = setup_of(visit, machine);
            let proof = if is_speed_driven(machine) {
                let is_for_console = is_flow_controlled(machine);
                match lacking_in_driven_course(last, setup) {
                    Some(lacking) => Proof::Lacks(lacking),
                    None if is_for_console => Proof::Unproven("no sensor was tested"),
                    None => Proof::Done,
                }
            } else {
                lacks(lacking_in_sensor_test(last))
            };
            (proof, last.span)
        }
        Step::Balance => {
            let balance = visit.section_balance.as_ref()?;
            let all_on = balance.all_on.as_ref();
            let is_compared = compared(balance).next().is_some();
            let is_automatic = balance
                .rate_control
                .is_some_and(|control| control.value == RateControl::Automatic);
            let lacking = match all_on {
                Some(_) if is_compared && is_automatic && is_flow_controlled(machine) => {
                    let because = "automatic rate control was on, so it proves nothing";
                    Some(Lacking::Faulty(because))
                }
                None => Some(Lacking::Faulty("it gives no reading with all sections on")),
                Some(_) if is_compared => None,
                Some(_) => {
                    let because = "it gives no reading with a section off to compare with all on";
                    Some(Lacking::Reading(because))
                }
            };
            (lacks(lacking), balance.key)
        }
    })
}

/// The readings with sections off that can be compared with all on.
fn compared(balance: &SectionBalance) -> impl Iterator<Item = &SectionsOffReading> {
    let all_on = balance.all_on.as_ref().map(|read| read.value.dimension());
    balance.sections_off.iter().filter(move |sections_off| {
        let as_left = sections_off.as_left.as_ref();
        let read = as_left.or(sections_off.as_found.as_ref());
        read.is_some_and(|read| Some(read.value.dimension()) == all_on)
    })
}

/// The sections that a visit turned off to compare with all on while the console left the rate alone.
pub(super) fn sections_tested(visit: &Calibration, machine: &Machine) -> BTreeSet<String> {
    let is_flow = is_flow_controlled(machine);
    let balance = visit.section_balance.iter().filter(|balance| {
        let rate_control = balance.rate_control.map(|control| control.value);
        rate_control.map_or(!is_flow, |control| control == RateControl::Manual)
    });
    let sections = balance.flat_map(compared).flat_map(|off| &off.sections);
    sections.map(|name| name.value.clone()).collect()
}

fn is_flow_controlled(machine: &Machine) -> bool {
    machine.control.map(|control| control.value) == Some(Control::Flow)
}

fn setup_of<'m>(visit: &Calibration, machine: &'m Machine) -> Option<&'m Setup> {
    let index = machine.setup_index(visit.setup.as_ref())?;
    let setup = machine.setups.get(usize::from(index))?;
    Some(setup)
}

/// What the catches of a visit caught.
pub(super) fn caught(visit: &Calibration, machine: &Machine) -> Caught {
    let mut caught = Caught::default();
    if Step::Catch.not_filled_in(visit).is_some() {
        return caught; // What is not done renews nothing, and no other catch belongs to it.
    }
    let Some(layout) = Layout::of(&machine.boom) else {
        return caught;
    };
    let lay = |test| layout.lay(visit.file, test, &mut Vec::new());
    let Some(laid) = visit
        .catch_tests
        .iter()
        .map(lay)
        .collect::<Option<Vec<Laid<'_>>>>()
    else {
        return caught; // What one that does not fit should have replaced cannot be known.
    };
    let Some(base) = visit.catch_tests.get(fleet::base(laid.iter())) else {
        return caught;
    };
    caught.pressure = base.pressure.as_ref().map(|read| read.value);
    let mut said: BTreeSet<u16> = BTreeSet::new();
    for (test, laid) in visit.catch_tests.iter().zip(&laid) {
        if fleet::at_pressure(test, base) == AtPressure::Apart {
            continue;
        }
        let has_flows = gives_flows(test);
        if has_flows {
            caught.amounts = caught.amounts.max(Amounts::Nothing);
        }
        for (nozzle, cell) in layout.nozzles().iter().zip(&laid.cells) {
            let Some(cell) = cell else { continue };
            said.insert(nozzle.number);
            // What was read last counts; a nozzle that was missed keeps what was read of it.
            if !cell.readings.iter().all(Reading::is_missed) {
                caught.nozzles.remove(&nozzle.number);
                caught.missed.remove(&nozzle.number);
            } else if !caught.nozzles.contains(&nozzle.number) {
                caught.missed.insert(nozzle.number);
            }
            let readings = cell.readings.iter().filter_map(|reading| match reading {
                Reading::Caught(read) if has_flows => Some(read.value),
                Reading::Caught(_) | Reading::Missed(_) | Reading::Unreadable(_) => None,
            });
            for reading in readings {
                caught.nozzles.insert(nozzle.number);
                if reading.in_last_places() != 0 {
                    caught.amounts = Amounts::Something;
                }
            }
        }
    }
    let numbers = layout.nozzles().iter().map(|nozzle| nozzle.number);
    let left_out = numbers.filter(|number| !caught.nozzles.contains(number));
    caught.left_out = Some(left_out.collect());
    caught.is_of_whole_boom = said.len() == layout.nozzles().len();
    let has_pressure = |test: &CatchTest| test.pressure.is_some();
    caught.is_rated = setup_of(visit, machine).is_some_and(|setup| setup.rated.is_some())
        && visit.catch_tests.iter().all(has_pressure);
    caught
}

fn gives_flows(test: &CatchTest) -> bool {
    test.unit.as_ref().is_some_and(|unit| {
        let is_flow = matches!(
            unit.value.dimension(),
            Dimension::FLOW | Dimension::WEIGHED_FLOW
        );
        is_flow || test.duration.is_some()
    })
}

fn of_catches(caught: &Caught) -> Proof {
    let reading = |reading| Proof::Lacks(Lacking::Reading(reading));
    let faulty = |reading| Proof::Lacks(Lacking::Faulty(reading));
    match &caught.left_out {
        None => faulty("its readings do not fit the boom"),
        Some(_) if caught.amounts == Amounts::Unclear => {
            faulty("its readings lack a unit or a time")
        }
        Some(_) if caught.nozzles.is_empty() && caught.is_of_whole_boom => {
            reading("no nozzle was caught")
        }
        // Of rated nozzles that is a result: they are 100% low.
        Some(_)
            if caught.amounts == Amounts::Nothing
                && !caught.nozzles.is_empty()
                && !caught.is_rated =>
        {
            reading("no nozzle has flow")
        }
        Some(left_out) if left_out.is_empty() => Proof::Done,
        Some(left_out) if caught.is_of_whole_boom => Proof::OnceCaught(left_out.clone()),
        Some(left_out) => Proof::Lacks(Lacking::Nozzles(left_out.clone())),
    }
}

/// A meter is held against the volume known; where the console takes the known volume and shows none, that volume is
/// held against the catch of the same visit.
fn of_meter_test(test: &MeterTest, is_whole_catch: bool) -> Proof {
    if test.known_volume.is_none() {
        return Proof::Lacks(Lacking::Faulty("it gives no known volume"));
    }
    let is_known_otherwise = test.known_by.is_some_and(|by| by.value != KnownBy::Catch);
    let is_held_against_catch = is_known_otherwise && test.duration.is_some() && is_whole_catch;
    let because = "it does not give what the console showed";
    match test.shown {
        Some(_) => Proof::Done,
        None if is_held_against_catch => Proof::Unproven(because),
        None => Proof::Lacks(Lacking::Reading(because)),
    }
}

fn lacking_in_sensor_test(test: &SpeedTest) -> Option<Lacking> {
    if test.distance.is_none() {
        return Some(Lacking::Faulty(NO_DISTANCE));
    }
    let mut runs = test.runs.iter();
    let is_compared = runs.any(|run| {
        run.shown.as_ref().is_some_and(|shown| {
            shown.value.dimension() != Dimension::SPEED || run.elapsed.is_some()
        })
    });
    (!is_compared).then_some(Lacking::Reading("no run gives what the console showed"))
}

const NO_DISTANCE: &str = "it gives no distance";

fn lacking_in_driven_course(test: &SpeedTest, setup: Option<&Setup>) -> Option<Lacking> {
    if test.distance.is_none() {
        return Some(Lacking::Faulty(NO_DISTANCE));
    }
    if !test.runs.iter().any(|run| run.elapsed.is_some()) {
        return Some(Lacking::Faulty("no run is timed"));
    }
    let speed = setup.and_then(|setup| setup.speed);
    let because = "the machine file gives no speed of the setup to compare with";
    speed.is_none().then_some(Lacking::Reading(because))
}

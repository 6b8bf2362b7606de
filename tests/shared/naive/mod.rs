//! Fleets as plain data, for an oracle that knows nothing of the program: drawn at random, written as
//! records, and judged day by day in the most simple-minded way.

pub(crate) mod by_hand;
pub(crate) mod drawn;
pub(crate) mod judged;
mod steps;
pub(crate) mod written;

use jiff::civil::Date;
use std::collections::BTreeMap;
use swathlint::outcome::Step;

/// A group with all its records.
#[derive(Debug, Clone)]
pub(crate) struct Fleet {
    /// How long steps hold; none: as built in.
    pub(crate) intervals: Vec<Setting>,
    /// Findings on earlier records are notes.
    pub(crate) enforce_from: Option<Date>,
    /// What is let pass.
    pub(crate) waivers: Vec<Waiver>,
    /// The machines.
    pub(crate) machines: Vec<Machine>,
}

/// Intervals for one step or all of them, somewhere.
#[derive(Debug, Clone)]
pub(crate) struct Setting {
    pub(crate) scope: Scope,
    /// None stands for `full`.
    pub(crate) step: Option<Step>,
    pub(crate) intervals: Vec<Interval>,
}

/// Where an interval holds, most particular first; courses, setups and machines by their number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Scope {
    SetupOfMachine(usize, usize),
    Machine(usize),
    Setup(usize),
    Course(usize),
    Fleet,
}

/// How long something holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Interval {
    Months(u32),
    Days(u32),
    /// In tenths of an hour, as all hours here.
    Hours(i64),
    Applications(usize),
}

/// One rule let pass.
#[derive(Debug, Clone)]
pub(crate) struct Waiver {
    /// The rule that fails this step, or none that fails any.
    pub(crate) step: Option<Step>,
    pub(crate) machine: usize,
    /// The one record it is for, by its place among the machine's events; none: all of the machine's.
    pub(crate) event: Option<usize>,
    pub(crate) from: Date,
    pub(crate) until: Date,
}

/// A machine and what is on record of it.
#[derive(Debug, Clone)]
pub(crate) struct Machine {
    pub(crate) course: Option<usize>,
    pub(crate) in_service: Option<Date>,
    /// The first and the last days of its lay-ups.
    pub(crate) laid_up: Vec<(Date, Date)>,
    /// What its machine file says of it, by key.
    pub(crate) says: BTreeMap<&'static str, &'static str>,
    /// How many nozzles each section has.
    pub(crate) sections: Vec<usize>,
    /// One section without a name.
    pub(crate) is_plain: bool,
    /// How many setups it has.
    pub(crate) setups: usize,
    /// In the order they happened.
    pub(crate) events: Vec<Event>,
}

/// What one file tells.
#[derive(Debug, Clone)]
pub(crate) struct Event {
    pub(crate) day: Date,
    /// How many files of this kind the day had before.
    pub(crate) nth: usize,
    /// All hours of use until then, whatever the hour meter read.
    pub(crate) hours: Option<i64>,
    /// How much more than the hour meter reads that is.
    pub(crate) counted_on: i64,
    /// Whether its date is written with another year than its name.
    pub(crate) is_misdated: bool,
    pub(crate) what: What,
}

#[derive(Debug, Clone)]
pub(crate) enum What {
    Visit(Visit),
    Service(Vec<Work>),
    /// The hour meter afterwards.
    Application(usize, Option<i64>),
    /// A file that cannot be read, in a folder, and whether its name gives the day.
    Broken(&'static str, bool),
}

/// What was tested.
#[derive(Debug, Clone)]
pub(crate) struct Visit {
    pub(crate) setup: usize,
    /// Each a cell a nozzle of the boom.
    pub(crate) catches: Vec<Vec<Option<Cell>>>,
    /// How the steps but the catch came out.
    pub(crate) tested: BTreeMap<Step, Tested>,
}

/// What stands for a nozzle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Cell {
    Good,
    Bad,
    Missed,
}

/// How a test came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tested {
    Good,
    /// As found beyond the limit, as left within it.
    PutRight,
    Bad,
    /// What was to be compared is not on record.
    Lacking,
    /// A reading is left empty.
    Begun,
}

/// One piece of work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Work {
    /// To a setup, at positions of sections, or at the whole boom.
    NozzlesFitted(usize, Option<Vec<(usize, Vec<usize>)>>),
    /// Whether other wheels than those that drive are named.
    Tires(Option<&'static str>),
    SectionValve(usize),
    FlowMeter,
    Console,
    SpeedSource(&'static str),
    Pump,
    Regulator,
    Hose,
    Spacing,
    EnteredWidths,
    /// Of a setup: its pressure in psi from then on; none: its speed is written as it was.
    Setup(usize, Option<u32>),
    Moved(usize),
    /// All hours of use when the hour meter was changed, and what the new one began with.
    HourMeter(i64, i64),
    OutOfService,
}

/// Names by number; a bird each.
pub(crate) const MACHINES: [&str; 3] = ["heron", "dunlin", "knot"];
/// Names by number.
pub(crate) const SETUPS: [&str; 3] = ["fairways", "greens", "tees"];
/// Names by number.
pub(crate) const COURSES: [&str; 2] = ["saltmere", "copperbeck"];
/// Names by number.
pub(crate) const SECTIONS: [&str; 3] = ["left", "middle", "right"];

impl Machine {
    /// How many nozzles its boom has.
    pub(crate) fn nozzles(&self) -> usize {
        self.sections.iter().sum()
    }

    /// The place over the boom of a position (from 1) of a section.
    pub(crate) fn place(&self, section: usize, position: usize) -> usize {
        self.sections[..section].iter().sum::<usize>() + position - 1
    }
}

/// The step's word in the fleet file.
pub(crate) fn word(step: Option<Step>) -> &'static str {
    step.map_or("full", Step::word)
}

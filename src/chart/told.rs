//! What is asked for, and what is told, as plain data.

use crate::fact::Fact;
use crate::figure::visit::GaugeSpan;
use crate::outcome::{Reach, Tips};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::report::RowPlace;
use crate::tree::Failure;
use jiff::civil::Date;

/// What is asked for.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The machine, by name.
    pub machine: &'a str,
    /// One of its setups; all of them where none is named.
    pub setup: Option<&'a str>,
    /// Another rate and speed than those of the setup.
    pub wanted: Option<Wanted>,
    /// The day.
    pub today: Date,
}

/// A rate and a speed that are wanted, both above zero.
#[derive(Debug, Clone, Copy)]
pub struct Wanted {
    /// The rate.
    pub rate: Quantity,
    /// The speed.
    pub speed: Quantity,
}

/// What fits a machine.
#[derive(Debug, Clone)]
pub struct Chart {
    /// The machine.
    pub machine: String,
    /// The day.
    pub today: Date,
    /// By how much standard uncertainties are multiplied.
    pub coverage_factor: f64,
    /// Whether rate and speed are wanted ones, not those of the setup.
    pub is_wanted: bool,
    /// Setup by setup, in the order of the machine file.
    pub setups: Vec<SetupChart>,
    /// Where errors stand that may change it.
    pub errors: Vec<RowPlace>,
    /// Files that could not be read.
    pub failures: Vec<Failure>,
}

/// What fits one setup.
#[derive(Debug, Clone)]
pub struct SetupChart {
    /// Its name.
    pub name: String,
    /// The rate, of the setup or wanted.
    pub rate: Option<Quantity>,
    /// The speed, of the setup or wanted.
    pub speed: Option<Quantity>,
    /// From nozzle to nozzle.
    pub spacing: Option<Quantity>,
    /// The pressure of the setup, and whether it may be set.
    pub pressure: Option<(Quantity, Reach)>,
    /// The pressure of catch, rate and speed: of the setup, or the one that its tips need for what is wanted; none where that
    /// may not be set.
    pub working_pressure: Option<Quantity>,
    /// The tips that are fitted.
    pub fitted: Option<FittedTips>,
    /// How far the gauge reads, where that is known.
    pub gauge: Option<GaugeSpan>,
    /// What the rule on the sum of a setup makes of it; none for what is wanted, and where a value is lacking.
    pub sum: Option<Sum>,
    /// What the tips put out on average at the last catch that counts.
    pub average: Result<Average, NoAverage>,
    /// What one nozzle is to be caught with, as the list of what is due has it.
    pub target: Option<String>,
    /// By how much more pressure a mix takes than what is told, which is of water.
    pub mix_over_water: Option<f64>,
    /// The values, in the order they are told.
    pub rows: Vec<Row>,
    /// The keys that the machine file lacks, or has without a value above zero.
    pub lacking: Vec<&'static str>,
}

/// Tips as they are rated.
#[derive(Debug, Clone)]
pub struct FittedTips {
    /// The ISO 10625 size, where the machine file has it.
    pub size: Option<String>,
    /// The flow.
    pub flow: Quantity,
    /// The pressure it holds at.
    pub pressure: Quantity,
    /// The pressures that their maker gives, where the machine file has them.
    pub range: Option<[Quantity; 2]>,
}

/// Whether the values of a setup make its rate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sum {
    /// The rule.
    pub rule: String,
    /// What it says, kept or not.
    pub message: String,
    /// Whether its limit is kept.
    pub is_kept: bool,
    /// Where the rate stands.
    pub at: RowPlace,
}

/// What the tips of a boom put out on average at a catch.
#[derive(Debug, Clone, PartialEq)]
pub struct Average {
    /// The day of the catch.
    pub day: Date,
    /// How far off their rated flow, relative to it.
    pub off_rated: f64,
    /// The expanded uncertainty of that.
    pub expanded: f64,
}

/// Why it is not known what the tips put out.
#[derive(Debug, Clone, PartialEq)]
pub enum NoAverage {
    /// No catch of them counts.
    NeverCaught,
    /// A visit that cannot be read may be the latest.
    Unread,
    /// Work since the last catch makes it invalid.
    Void {
        /// The day of the work.
        day: Date,
        /// The work.
        work: Fact,
    },
    /// The record of the last catch is to be corrected first.
    RecordToCorrect(Date),
    /// That catch tells no average: it lacks a pressure or a rated flow, or too few nozzles were caught.
    NoneTold(Date),
}

/// What a value is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// What one nozzle must put out.
    Flow,
    /// The pressure to set.
    Pressure,
    /// What is caught of one nozzle.
    Catch,
    /// The rate on the ground.
    Rate,
    /// The speed for the rate.
    Speed,
}

/// One value, with what it holds for.
#[derive(Debug, Clone)]
pub struct Row {
    /// What it is.
    pub kind: Kind,
    /// The ISO 10625 size of the tips; none of tips that are not rated by size, and of any tips.
    pub size: Option<String>,
    /// How the tips are rated: the flow and the pressure it holds at; none of any tips.
    pub rated: Option<[Quantity; 2]>,
    /// Whether these tips are the ones that are fitted.
    pub is_fitted: bool,
    /// New tips or those that are fitted, as caught.
    pub tips: Tips,
    /// At this pressure.
    pub pressure: Option<Quantity>,
    /// In this time.
    pub duration: Option<Quantity>,
    /// At this speed.
    pub speed: Option<Quantity>,
    /// For this rate.
    pub rate: Option<Quantity>,
    /// The value in the unit.
    pub value: f64,
    /// Its expanded uncertainty; none where nothing it stands on has any.
    pub expanded: Option<f64>,
    /// The unit.
    pub unit: Unit,
    /// Whether it can be: of a pressure, and of a catch.
    pub mark: Option<Mark>,
    /// What contributes most to its uncertainty, largest first.
    pub shares: Vec<Share>,
}

/// Whether a value can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// The pressure is within the range of the tips, or beyond something.
    Pressure {
        /// What the pressure is beyond, if anything.
        reach: Reach,
        /// Whether the machine file has a range of these tips, or of the ones fitted.
        has_range: bool,
    },
    /// The pressure is lost in what it may be off by.
    TooLowToTell,
    /// More than the jug holds.
    BeyondJug,
}

/// A source of uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// What it is.
    pub what: &'static str,
    /// Its share of the variance, from 0 to 1.
    pub share: f64,
}

//! What the catalog says of a figure: its name, its formula, what it exists for, how it is shown.

use crate::outcome::Step;
use crate::quantity::dimension::Dimension;

/// By how small a chance readings repeat.
pub const READINGS_REPEATED: &str = "readings-repeated";
/// A nozzle that was off and was not caught again.
pub const NOZZLE_NOT_RETESTED: &str = "nozzle-not-retested";
/// The name of how far a boom is off its rated flow, whose limit is where a set of nozzles is replaced.
pub const MEAN_OFF_RATED: &str = "mean-off-rated";
/// The name of the age of a step in days, which the list of what is due is made from.
pub const STEP_AGE: &str = "step-age";
/// The name of its age in hours of use.
pub const STEP_HOURS: &str = "step-hours";
/// The name of its age in applications.
pub const STEP_APPLICATIONS: &str = "step-applications";
/// The name of whether work has voided a step.
pub const STEP_VOID: &str = "step-void";
/// The slot that holds the day of the first application made on a step that was void.
pub const FIRST_SPRAYED: &str = "first-sprayed";
/// The name of whether work asks to check a step again.
pub const STEP_TO_RECHECK: &str = "step-to-recheck";
/// The name of how far a nozzle is off its rated flow, whose limits say what a catch is to be.
pub const NOZZLE_OFF_RATED: &str = "nozzle-off-rated";

/// The name of how far a nozzle is off the average of its boom.
pub const NOZZLE_OFF_MEAN: &str = "nozzle-off-mean";

/// The name of how many nozzles were not caught.
pub const NOZZLES_NOT_CAUGHT: &str = "nozzles-not-caught";

/// The name of how far off the known volume the console's flow meter is.
pub const METER_ERROR: &str = "meter-error";

/// The name of how far off the speed course the console's speed sensor is.
pub const SENSOR_ERROR: &str = "sensor-error";

/// The name of how far the speed that was driven is off the setup's.
pub const SPEED_OFF_SETUP: &str = "speed-off-setup";

/// The name of how many runs of a speed test were driven, whose limit says how many are to be.
pub const RUNS_DRIVEN: &str = "runs-driven";

/// The name of how far the speed entered for a section balance is off the setup's.
pub const ENTERED_SPEED_OFF_SETUP: &str = "entered-speed-off-setup";

/// The name of how far the flow with all sections on is off the setup's.
pub const ALL_ON_OFF_SETUP: &str = "all-on-off-setup";

/// The name of how far the rate or the pressure changes with a section off.
pub const SECTION_OFF_CHANGE: &str = "section-off-change";

/// The name of how far the rate that a setup's values make is off its rate, which a visit of the setup shows again.
pub const SETUP_SUM_OFF: &str = "setup-sum-off";

/// The name of how many tests of a step are on record and do not count.
pub const TESTS_NOT_COUNTED: &str = "tests-not-counted";

/// The name of how far ahead a record is dated: until that day it does not count.
pub const DAYS_AHEAD: &str = "days-ahead";

/// The fact of the factor that a test gives the console.
pub const COMPUTED_FACTOR: &str = "computed-factor";

/// Whether a factor was changed by a step's last test.
pub const NOT_TESTED_AGAIN: &str = "not-tested-again";

/// How far a flow factor is off the one that its test gives.
pub const FLOW_FACTOR_OFF: &str = "flow-factor-off";

/// How far a speed factor is off the one that its test gives.
pub const SPEED_FACTOR_OFF: &str = "speed-factor-off";

/// What the catalog says of a figure.
#[derive(Debug, Clone, Copy)]
pub struct About {
    /// Its name.
    pub id: &'static str,
    /// What it is, in one line.
    pub title: &'static str,
    /// Its formula in the trade's symbols.
    pub formula: &'static str,
    /// Where the formula stands.
    pub source: &'static str,
    /// How its value is shown.
    pub shown_as: ShownAs,
    /// What it exists for.
    pub family: Family,
    /// The step it belongs to; none where it is about the whole record.
    pub step: Option<Step>,
    /// Cases of its own, which messages and help may tell apart.
    pub cases: &'static [&'static str],
}

/// A figure that only a comparison with an earlier revision shows.
#[derive(Debug)]
pub struct OfComparison {
    /// What the catalog says of it.
    pub about: About,
    /// The facts that texts of its rules may hold.
    pub slots: &'static [&'static str],
}

impl About {
    /// Whether it is the age of a step, whose limit is how long the step is good for.
    pub fn is_age_of_step(&self) -> bool {
        [STEP_AGE, STEP_HOURS, STEP_APPLICATIONS].contains(&self.id)
    }

    /// Whether what is found by it only makes a step due: it waits while the machine is laid up.
    pub fn only_makes_due(&self) -> bool {
        self.is_age_of_step() || self.id == STEP_TO_RECHECK
    }

    /// Whether it is there for people to read and no rule judges it.
    pub fn is_informational(&self) -> bool {
        self.shown_as == ShownAs::Measured
    }
}

/// How a figure's value is shown, and what its limits may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShownAs {
    /// A ratio, in percent.
    Percent,
    /// A count of things.
    Count,
    /// Whole days; a limit may be in months.
    Days,
    /// Seconds.
    Seconds,
    /// Hours of use.
    Hours,
    /// A length.
    Length,
    /// In the unit its readings suggest; for people to read, no rule judges it.
    Measured,
}

impl ShownAs {
    /// The dimensions a limit may have.
    pub fn dimensions(self) -> &'static [Dimension] {
        match self {
            Self::Percent => &[Dimension::RATIO],
            Self::Count => &[Dimension::COUNT, Dimension::RATIO],
            Self::Days => &[Dimension::TIME, Dimension::CALENDAR],
            Self::Seconds | Self::Hours => &[Dimension::TIME],
            Self::Length => &[Dimension::LENGTH],
            Self::Measured => &[],
        }
    }
}

/// What a figure exists for, widest first: a rule runs once for each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// Each machine.
    Machine,
    /// Each step of each setup.
    Step,
    /// Each setup.
    Setup,
    /// Each record.
    Record,
    /// Each visit.
    Visit,
    /// Each test, as found and as left.
    Test,
    /// Each reading with sections off.
    SectionsOff,
    /// Each section.
    Section,
    /// Each nozzle.
    Nozzle,
}

impl Family {
    /// In words that follow "for".
    pub const fn words(self) -> &'static str {
        match self {
            Self::Machine => "each machine",
            Self::Step => "each step of each setup",
            Self::Setup => "each setup",
            Self::Record => "each record",
            Self::Visit => "each visit",
            Self::Section => "each section",
            Self::Test => "each test, as found and as left",
            Self::SectionsOff => "each reading with sections off, as found and as left",
            Self::Nozzle => "each nozzle, as found and as left",
        }
    }
}

//! A mixing card as plain data: what is mixed, or every reason against it, and what is to be said beside it.

use super::mixed::{Basis, Mix, Refused};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::report::{DueState, RowPlace};
use jiff::civil::Date;

/// A mixing card.
#[derive(Debug, Clone)]
pub struct Card {
    /// The machine.
    pub machine: String,
    /// The full name of its course, where it has one.
    pub course: Option<String>,
    /// The setup.
    pub setup: String,
    /// Where it is to be sprayed.
    pub works_at: WorksAt,
    /// The day it is for.
    pub today: Date,
    /// The area to spray.
    pub area: Quantity,
    /// What the tank holds.
    pub tank: Quantity,
    /// Which rate was asked for.
    pub basis: Basis,
    /// What tells the actual rate, as words that follow it; none where nothing does.
    pub told_by: Option<&'static str>,
    /// The tests it stands on: each step with the day it was last done.
    pub stands_on: Vec<(String, Date)>,
    /// What to mix; or every reason why there is no quantity.
    pub outcome: Result<Mix, Vec<Refusal>>,
    /// What is to be said beside it.
    pub warnings: Vec<Warning>,
}

/// The pressure and the speed that a setup works at, as far as the machine file has them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorksAt {
    /// The pressure.
    pub pressure: Option<Quantity>,
    /// The speed; none where the operator drives it and a speed test has measured it.
    pub speed: Option<Quantity>,
    /// Whether it is sprayed as the speed test was driven: the rate is that of the gear and throttle of the test.
    pub as_driven: bool,
}

/// A step that is not current.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepTold {
    /// Its name, with its setup where the machine has several.
    pub name: String,
    /// How it stands.
    pub state: DueState,
    /// Why.
    pub because: String,
    /// What to do, where it is more than to do the step.
    pub to_do: Option<String>,
    /// The line that makes it so.
    pub at: Option<RowPlace>,
}

/// Why there is no quantity.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// A step forbids spraying.
    NotReady(StepTold),
    /// Nobody knows how the machine stands.
    NotKnown(Unknown),
    /// Nothing tells the actual rate.
    NoActual(NoActual),
    /// The setup's own values do not fit each other: here it stands.
    SumOff(RowPlace),
    /// The mix itself.
    Mix(Refused),
}

/// Why nobody knows how a machine stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unknown {
    /// A record that cannot be read may be the latest.
    Unread(RowPlace),
    /// What a record says since the last tests has an error, and may undo one of them.
    ErrorSince(RowPlace),
    /// A record that has an error may tell of the label of a product.
    UnreadLabel {
        /// The product.
        product: String,
        /// The record.
        path: String,
    },
    /// Its file does not say whether it has these steps, for want of these keys.
    Unsaid {
        /// The steps.
        steps: Vec<&'static str>,
        /// The keys.
        keys: Vec<&'static str>,
    },
}

/// Why nothing tells the actual rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoActual {
    /// No test on record does, so that only the setup's own rate is left.
    NotTested,
    /// The setup declares too little to tell it from tests.
    NotDeclared,
}

/// What is to be said beside a mix.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// What would have been a refusal, had the nominal rate not been asked for.
    Despite(Refusal),
    /// A step is overdue or to recheck.
    Due(StepTold),
    /// A step is failing, and a waiver lets that pass.
    Waived {
        /// The step.
        step: StepTold,
        /// Why it is waived, and until when.
        waivers: Vec<(Option<String>, Option<Date>)>,
    },
    /// A newer test of a step than the one that counts does not count, and why.
    NotCounted(String),
    /// An interval in hours is in force for these steps, and nothing counts it.
    HoursUnread(Vec<String>),
    /// The speed is taken as the setup declares it.
    PartTested,
    /// The machine is laid up until this day.
    LaidUp(Date),
    /// So many errors stand in what the card stands on.
    Found {
        /// How many are errors.
        errors: usize,
        /// How many are warnings.
        warnings: usize,
    },
    /// The tank that is given is not the machine file's.
    OtherTank {
        /// As the machine file has it.
        in_file: Quantity,
        /// Whether the one that is given is larger.
        is_larger: bool,
    },
    /// No label maximum is known of a product.
    NoMaximum {
        /// The product.
        product: String,
    },
    /// A label on record counts by weight what is asked for by volume, or the other way around.
    UnlikeRecord {
        /// The product.
        product: String,
        /// The record.
        path: String,
    },
    /// The last record of another machine has a lower label maximum than the rate.
    OtherLabel {
        /// The product.
        product: String,
        /// The most per area.
        max: Quantity,
        /// The record.
        path: String,
    },
    /// So many records of the machine are of later days, and left out.
    LaterRecords(usize),
    /// What goes on the ground is not held against a label, for want of an actual rate.
    NotHeldAgainstActual {
        /// The product.
        product: String,
        /// The label's maximum.
        max: Quantity,
    },
    /// As far as the actual rate may be off, a product may go on over its label.
    MayExceed {
        /// The product.
        product: String,
        /// Up to so much per area, in SI units.
        up_to: f64,
        /// The unit of its rate.
        unit: Unit,
        /// The label's maximum.
        max: Quantity,
    },
    /// A product is under its label.
    UnderLabel {
        /// The product.
        product: String,
        /// Its rate.
        rate: Quantity,
        /// The label's minimum.
        min: Quantity,
    },
    /// A load takes so little of a product that rounding leaves out more than a little.
    Coarse {
        /// The product.
        product: String,
    },
    /// A load is small for the tank.
    SmallLoad {
        /// Whether it stands beside full ones, so that loads that are all alike would not be small.
        is_beside_full: bool,
    },
}

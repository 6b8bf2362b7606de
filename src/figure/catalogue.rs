//! The table of all figures: what each is, for what family it exists, how it is computed.

use super::number::{Measure, Rational};
use super::primitive::Primitives;
use super::{Member, Standing, Subject, Visit};
use crate::outcome::{Key, Step};
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use jiff::civil::Date;

/// Every figure. A new one is one line here and one file beside.
pub static FIGURES: &[&Entry] = &[
    &super::boom_flow::NOZZLE_FIGURE,
    &super::boom_flow::MEAN_FIGURE,
    &super::boom_flow::BOOM_FIGURE,
    &super::boom_flow::RATED_FIGURE,
    &super::nozzle_off_mean::FIGURE,
    &super::nozzle_off_rated::FIGURE,
    &super::mean_off_rated::FIGURE,
    &super::nozzles_not_caught::FIGURE,
    &super::catch_spread::FIGURE,
    &super::catch_duration::FIGURE,
    &super::rate_by_catch_off::RATE_FIGURE,
    &super::rate_by_catch_off::FIGURE,
    &super::meter_error::FIGURE,
    &super::factor_off::FLOW_FACTOR_FIGURE,
    &super::factor_off::SPEED_FACTOR_FIGURE,
    &super::factor_off::FLOW_FIGURE,
    &super::factor_off::SPEED_FIGURE,
    &super::not_tested_again::FIGURE,
    &super::section_off_change::FIGURE,
    &super::section_mean_off::FIGURE,
    &super::repeat_spread::FIGURE,
    &super::pressure_off_setup::FIGURE,
    &super::boom_end_drop::FIGURE,
    &super::readings_repeated::FIGURE,
    &super::factor_jump::FIGURE,
    &super::correction::FIGURE,
    &super::known_off_catch::FIGURE,
    &super::speed_off_setup::SPEED_FIGURE,
    &super::speed_off_setup::FIGURE,
    &super::run_spread::FIGURE,
    &super::course_length::FIGURE,
    &super::course_conditions::RUNS_FIGURE,
    &super::course_conditions::TANK_FIGURE,
    &super::course_conditions::SURFACE_FIGURE,
    &super::sensor_error::FIGURE,
    &super::balance_conditions::NOT_TESTED_FIGURE,
    &super::balance_conditions::AUTOMATIC_FIGURE,
    &super::true_rate_off::FIGURE,
    &super::unknown_people::FIGURE,
    &super::unknown_instruments::FIGURE,
    &super::instrument_age::FIGURE,
    &super::record_dates::NAME_FIGURE,
    &super::record_dates::SERVICE_FIGURE,
    &super::record_dates::HOURS_FIGURE,
    &super::preparation::FIGURE,
    &super::entered_width_off::FIGURE,
    &super::density_off::FIGURE,
    &super::days_ahead::FIGURE,
    &super::step_age::FIGURE,
    &super::step_use::HOURS_FIGURE,
    &super::step_use::APPLICATIONS_FIGURE,
    &super::step_undone::VOID_FIGURE,
    &super::step_undone::RE_CHECK_FIGURE,
    &super::sprayed_while::VOID_FIGURE,
    &super::sprayed_while::FAILING_FIGURE,
    &super::sprayed_while::AGE_FIGURE,
    &super::rate_applied::RATE_FIGURE,
    &super::rate_applied::FIGURE,
    &super::product_rate::MAXIMUM_FIGURE,
    &super::product_rate::MINIMUM_FIGURE,
    &super::mix_density::FIGURE,
    &super::wear_hours_left::FIGURE,
    &super::landed::ALTERED_FIGURE,
    &super::landed::DELETED_FIGURE,
];

/// The name of how far a boom is off its rated flow, whose limit is where a set of nozzles is replaced.
pub const MEAN_OFF_RATED: &str = "mean-off-rated";
/// The name of the age of a step in days, which the list of what is due is made from.
pub const STEP_AGE: &str = "step-age";
/// The name of its age in hours of use.
pub const STEP_HOURS: &str = "step-hours";
/// The name of its age in applications.
pub const STEP_APPLICATIONS: &str = "step-applications";

/// The figure with a name, and its place in the table.
pub fn find(id: &str) -> Option<(usize, &'static Entry)> {
    FIGURES
        .iter()
        .enumerate()
        .find(|(_, entry)| entry.id == id)
        .map(|(index, entry)| (index, *entry))
}

/// What the catalogue says of a figure.
#[derive(Debug)]
pub struct Entry {
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
    /// How it is computed.
    pub compute: Compute,
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
    /// Each reading with sections shut.
    Shut,
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
            Self::Shut => "each reading with sections shut, as found and as left",
            Self::Nozzle => "each nozzle, as found and as left",
        }
    }
}

/// The stratum a figure belongs to: readings come first, then state. There is no way back.
#[derive(Debug)]
pub enum Compute {
    /// From the readings of one visit.
    Readings(Formula<ReadingsStratum>),
    /// From how a machine stands after its visits.
    State(Formula<StateStratum>),
}

/// A stratum: what its figures are computed from.
pub trait Stratum: 'static {
    /// What its figures see.
    type View<'a>: View;

    /// The formula of a figure of this stratum; none for one of the other.
    fn formula(compute: &Compute) -> Option<&Formula<Self>>
    where
        Self: Sized;
}

/// What figures of either stratum see.
pub trait View {
    /// The machine.
    fn subject(&self) -> &Subject<'_>;
    /// The sources of error.
    fn primitives(&self) -> &Primitives;
    /// The attributes that rules may ask for beside those of the machine.
    fn setup_name(&self, key: &Key) -> Option<&str>;
    /// The day whose limits are in force at a key.
    fn day(&self, key: &Key) -> Date;
    /// What was sprayed with what was found at a key, where that is on record.
    fn sprayed_before(&self, key: &Key) -> Option<String>;
    /// The part a key names, as people say it.
    fn part_in_words(&self, key: &Key) -> String;
}

/// Figures from readings.
#[derive(Debug)]
pub enum ReadingsStratum {}

impl Stratum for ReadingsStratum {
    type View<'a> = Visit<'a>;

    fn formula(compute: &Compute) -> Option<&Formula<Self>> {
        match compute {
            Compute::Readings(formula) => Some(formula),
            Compute::State(_) => None,
        }
    }
}

/// Figures of state.
#[derive(Debug)]
pub enum StateStratum {}

impl Stratum for StateStratum {
    type View<'a> = Standing<'a>;

    fn formula(compute: &Compute) -> Option<&Formula<Self>> {
        match compute {
            Compute::State(formula) => Some(formula),
            Compute::Readings(_) => None,
        }
    }
}

/// A function of a stratum's view.
pub type Of<S, T> = for<'v, 'a> fn(&'v <S as Stratum>::View<'a>) -> T;
/// A text about one member.
pub type Wording<S> = for<'v, 'a, 'k> fn(&'v <S as Stratum>::View<'a>, &'k Key) -> Option<String>;

/// The units a member's value would betray, were one taken for another.
pub type UnitsOf<S> =
    for<'v, 'a, 'k> fn(&'v <S as Stratum>::View<'a>, &'k Key) -> (Option<Unit>, Option<Unit>);

/// One formula in three arithmetics, with the words that go with it.
pub struct Formula<S: Stratum> {
    /// In floating point.
    pub value: Of<S, Vec<Member<f64>>>,
    /// In floating point with sensitivities; the same members in the same order.
    pub measure: Of<S, Vec<Member<Measure>>>,
    /// In exact rationals; the same members in the same order.
    pub exact: Of<S, Vec<Member<Rational>>>,
    /// How a member was worked out, in one line with the numbers in.
    pub working: Wording<S>,
    /// What was read there, as a label: `41.0 fl oz`.
    pub read: Wording<S>,
    /// What it is held against, as a label: `rated here`.
    pub held_against: &'static str,
    /// The units of what was read and of what it is held against, where one may be taken for another.
    pub units: UnitsOf<S>,
    /// Texts of its own that messages may hold, by slot.
    pub slots: &'static [(&'static str, Wording<S>)],
}

impl<S: Stratum> std::fmt::Debug for Formula<S> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Formula").finish_non_exhaustive()
    }
}

impl Entry {
    /// Whether it is there for people to read and no rule judges it.
    pub fn is_informational(&self) -> bool {
        self.shown_as == ShownAs::Measured
    }

    /// The names of the slots of its own.
    pub fn slot_names(&self) -> Vec<&'static str> {
        match &self.compute {
            Compute::Readings(formula) => formula.slots.iter().map(|slot| slot.0).collect(),
            Compute::State(formula) => formula.slots.iter().map(|slot| slot.0).collect(),
        }
    }
}

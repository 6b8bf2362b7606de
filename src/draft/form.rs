//! What a visit takes in, as data: every value to read or to tell, in the order it is done.

use super::typed::Kind;
use crate::figure::is_weighed;
use crate::procedure::{FactorTimes, Step, ZERO_THE_SCALE};
use crate::quantity::unit::Unit;
use crate::report::DueStep;
use crate::wording::visit;
use crate::words::numbers;
use jiff::civil::Date;

/// A test may be made so often in one visit: as found, and again after what was put right.
pub const ROUNDS: usize = 3;

/// Everything that a visit of one machine takes in.
#[derive(Debug, Clone)]
pub struct Form {
    /// The machine, by name.
    pub machine: String,
    /// The full name of its course, where it has one.
    pub course: Option<String>,
    /// The setup that is tested.
    pub setup: SetupTold,
    /// Whether the machine has others, so that a record names its own.
    pub names_setup: bool,
    /// The day of the visit.
    pub day: Date,
    /// The visit as a whole, then each step that the machine has, in the order they are done.
    pub parts: Vec<Part>,
    /// The boom's sections from the left, each with its number of nozzles; named, where its machine file names them.
    pub sections: Vec<SectionTold>,
}

/// The setup that is tested, as its machine file says it.
#[derive(Debug, Clone, Default)]
pub struct SetupTold {
    /// Its name.
    pub name: String,
    /// Its tips, such as `size 06` or `1.2 L/min at 3 bar`.
    pub tips: Option<String>,
    /// Its pressure.
    pub pressure: Option<String>,
    /// Its speed.
    pub speed: Option<String>,
    /// Its rate.
    pub rate: Option<String>,
    /// From nozzle to nozzle.
    pub spacing: Option<String>,
}

/// A section of the boom.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SectionTold {
    /// Its name; none of a boom whose sections are not named.
    pub name: Option<String>,
    /// How many nozzles it has.
    pub nozzles: u32,
}

/// One step of a visit, or the visit as a whole.
#[derive(Debug, Clone)]
pub struct Part {
    /// The step; none of the visit as a whole.
    pub step: Option<Step>,
    /// Why it is due, and what to bring; none where it is not due.
    pub due: Option<DueStep>,
    /// When it was last done.
    pub last_done: Option<Date>,
    /// What it aims at, in words.
    pub target: Option<String>,
    /// From where to where what is read may be, as multiples of what it is held against: a meter and a sensor of the true
    /// amount, the time of a run of its target, a balance of all on. None of a catch, and where no limit is in force.
    pub ratios: Option<(f64, f64)>,
    /// What the average of the boom should come to in a catch; none of another step, and where nothing says.
    pub average: Option<Aim>,
    /// Whether the speed is the operator's: nothing of the machine shows one.
    pub is_driven: bool,
    /// What its factor means: pulses a volume or distance, or the inverse; none where it has none.
    pub factor: Option<FactorMeaning>,
    /// The values, in the order they are read.
    pub entries: Vec<Entry>,
}

/// A factor of the console.
#[derive(Debug, Clone, PartialEq)]
pub struct FactorMeaning {
    /// Its unit, as people write it; none where the machine file does not say.
    pub unit: Option<String>,
    /// The factor as it was last left.
    pub last: Option<String>,
    /// What a test multiplies it by; none where the machine file does not say.
    pub change: Option<FactorTimes>,
}

/// Where a value of a visit belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// A value of the visit as a whole, by its key in a record.
    Visit(&'static str),
    /// A value of the preparation, by its key.
    Preparation(&'static str),
    /// A value of a catch, by round and key.
    Catch(usize, &'static str),
    /// The output of a nozzle.
    Nozzle {
        /// The round.
        round: usize,
        /// Its section, from 0.
        section: usize,
        /// Its place in the section, from 1.
        position: u32,
        /// Its number over the boom, from 1.
        number: u32,
    },
    /// A value of a meter test, by round and key.
    Meter(usize, &'static str),
    /// A value of a speed test, by round and key.
    Speed(usize, &'static str),
    /// A value of a run, by round, run from 0, and key.
    Run(usize, usize, &'static str),
    /// A value of the section balance, by key.
    Balance(&'static str),
    /// A value with a section off, by section from 0 and key.
    Off(usize, &'static str),
}

impl Field {
    /// The round of the test that it belongs to, from 0; none of what is read once.
    pub const fn round(self) -> Option<usize> {
        match self {
            Self::Catch(round, _)
            | Self::Nozzle { round, .. }
            | Self::Meter(round, _)
            | Self::Speed(round, _)
            | Self::Run(round, _, _) => Some(round),
            Self::Visit(_) | Self::Preparation(_) | Self::Balance(_) | Self::Off(_, _) => None,
        }
    }

    /// The same value of the test before; none of the first test, and of what is read once.
    pub fn in_round_before(self) -> Option<Self> {
        let before = |round: usize| round.checked_sub(1);
        Some(match self {
            Self::Catch(round, key) => Self::Catch(before(round)?, key),
            Self::Meter(round, key) => Self::Meter(before(round)?, key),
            Self::Speed(round, key) => Self::Speed(before(round)?, key),
            Self::Run(round, run, key) => Self::Run(before(round)?, run, key),
            Self::Nozzle {
                round,
                section,
                position,
                number,
            } => Self::Nozzle {
                round: before(round)?,
                section,
                position,
                number,
            },
            Self::Visit(_) | Self::Preparation(_) | Self::Balance(_) | Self::Off(_, _) => {
                return None;
            }
        })
    }

    /// A name for other programs: `catch.1.nozzle.7`. Rounds and runs count from 1.
    pub fn name(self) -> String {
        match self {
            Self::Visit(key) => key.to_owned(),
            Self::Preparation(key) => format!("preparation.{key}"),
            Self::Catch(round, key) => format!("catch.{}.{key}", round + 1),
            Self::Nozzle { round, number, .. } => format!("catch.{}.nozzle.{number}", round + 1),
            Self::Meter(round, key) => format!("flow.{}.{key}", round + 1),
            Self::Speed(round, key) => format!("speed.{}.{key}", round + 1),
            Self::Run(round, run, key) => format!("speed.{}.run.{}.{key}", round + 1, run + 1),
            Self::Balance(key) => format!("balance.{key}"),
            Self::Off(section, key) => format!("balance.off.{}.{key}", section + 1),
        }
    }
}

/// One value to read or to tell.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Where it belongs.
    pub field: Field,
    /// Its name, the same from one version to the next.
    pub key: String,
    /// What it is called beside its box.
    pub label: String,
    /// What may be written.
    pub kind: Kind,
    /// What a record says where nobody writes anything else: an instrument as usual, the factor as left last.
    pub usual: Option<String>,
    /// The values that it is the same as, by name, where nobody writes anything else: the first of them that has one.
    pub as_in: Vec<String>,
    /// What it should come to.
    pub aim: Option<Aim>,
    /// The value that it should come to, by name, and from where to where it may be, as multiples of that one.
    pub relative_to: Option<(String, Option<(f64, f64)>)>,
    /// What the last visit that has it read.
    pub last: Option<String>,
    /// What a begun record says beside it.
    pub hint: String,
    /// Whether a visit is whole without it.
    pub is_optional: bool,
}

/// What a value should come to, in the unit of its entry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// The target.
    pub target: f64,
    /// The least and the most that the limits in force allow; none where no limit is.
    pub within: Option<(f64, f64)>,
    /// How many decimals are printed.
    pub decimals: usize,
}

impl Aim {
    /// A value that others are held against, and from where to where those may be, as multiples of it; in three digits.
    pub fn around(target: f64, ratios: Option<(f64, f64)>) -> Self {
        // Beyond 100% there is no low line, and around nothing there is none.
        let has_lines = |(low, _): &(f64, f64)| target.is_finite() && 0.0 < target && 0.0 < *low;
        let ratios = ratios.filter(has_lines);
        Self {
            target,
            within: ratios.map(|(low, high)| (target * low, target * high)),
            decimals: numbers::decimals_of_three_digits(target),
        }
    }

    /// The target as it is printed.
    pub fn target_shown(&self) -> String {
        numbers::number(self.target, self.decimals)
    }

    /// The low and the high line as they are printed: rounded inward, so that what is printed is within the limit.
    pub fn lines_shown(&self) -> Option<(String, String)> {
        let within = self.within?;
        Some(numbers::inward(within, self.decimals))
    }
}

impl Entry {
    /// The same, without which a visit is whole.
    #[must_use]
    pub fn optional(mut self) -> Self {
        self.is_optional = true;
        self
    }
}

impl Form {
    /// Every value, in the order they are read.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.parts.iter().flat_map(|part| &part.entries)
    }

    /// A value by its name.
    pub fn entry(&self, key: &str) -> Option<&Entry> {
        self.entries().find(|entry| entry.key == key)
    }

    /// A value by where it belongs.
    pub fn at(&self, field: Field) -> Option<&Entry> {
        self.entries().find(|entry| entry.field == field)
    }

    /// The part of a step; none where the machine does not have it.
    pub fn part(&self, step: Step) -> Option<&Part> {
        self.parts.iter().find(|part| part.step == Some(step))
    }

    /// The part that a value belongs to.
    pub fn part_of(&self, entry: &Entry) -> Option<&Part> {
        let has = |part: &&Part| part.entries.iter().any(|one| one.key == entry.key);
        self.parts.iter().find(has)
    }

    /// Whether any step is due.
    pub fn is_anything_due(&self) -> bool {
        self.parts.iter().any(|part| part.due.is_some())
    }

    /// The command that goes on with the visit.
    pub fn enter_command(&self) -> String {
        let setup = self.names_setup.then_some(self.setup.name.as_str());
        visit::command(&self.machine, setup, self.day)
    }

    /// How many runs a speed test has; none where the machine has no such test.
    pub fn runs(&self) -> usize {
        let is_run = |entry: &&Entry| matches!(entry.field, Field::Run(0, _, "elapsed"));
        self.entries().filter(is_run).count()
    }

    /// Whether the catch is weighed, as far as is known beforehand.
    pub fn is_weighed(&self) -> bool {
        self.catch_unit().is_some_and(is_weighed)
    }

    /// What to take care of in a part, beside what holds for every step.
    pub fn cautions(&self, part: &Part) -> Vec<&'static str> {
        let of_step = part.step.map(|step| step.procedure().cautions);
        let scale = part.step == Some(Step::Catch) && self.is_weighed();
        let of_step = of_step.into_iter().flatten().copied();
        of_step.chain(scale.then_some(ZERO_THE_SCALE)).collect()
    }

    /// The unit of the catch's readings, where it is known beforehand.
    pub fn catch_unit(&self) -> Option<Unit> {
        let nozzles = self.entries();
        let mut units = nozzles.filter_map(|entry| match entry.kind {
            Kind::Reading(unit) => Some(unit),
            Kind::Quantity(..)
            | Kind::Number
            | Kind::YesNo
            | Kind::OneOf(_)
            | Kind::Unit
            | Kind::Named(_)
            | Kind::List(_) => None,
        });
        units.next()?
    }
}

//! Why a text is no quantity, in the words of the trade.
//!
//! A message states what is written and what is wanted; the help says how to write it. Neither guesses a
//! value for anybody.

use super::decimal::Decimal;
use super::dimension::Dimension;
use super::exact::finite;
use super::number::{DecimalFault, quoted};
use super::problem::DecimalProblem;
use super::spelled::{UnitProblem, UnitSlip, is_wanted, known};
use super::unit::Unit;
use super::usual::{Sizes, Usual};
use std::ops::Range;

/// Why a text is no quantity or unit of the wanted kind, and which bytes of it are at fault.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct QuantityFault {
    /// What is wrong.
    pub kind: QuantityProblem,
    /// The bytes at fault.
    pub part: Range<usize>,
    message: String,
    help: String,
    /// The number that was read, where one was.
    number: Option<Decimal>,
    /// The units that were probably meant.
    meant: Vec<Unit>,
}

/// What is wrong with a quantity.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum QuantityProblem {
    /// The number cannot be read.
    Number(DecimalProblem),
    /// The unit cannot be read.
    Unit(UnitProblem),
    /// A unit and no number.
    MissingNumber,
    /// A number and no unit.
    MissingUnit,
    /// Two quantities that add up to one: `4 min 30 s`.
    InTwoUnits,
    /// A quantity that measures something else.
    WrongDimension(Unit),
}

impl QuantityFault {
    /// What is wrong, on one line: what is written, and what is wanted.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// How to write it, beginning with a verb.
    pub fn help(&self) -> &str {
        &self.help
    }

    /// The same fault in a field with usual units: it proposes only what is of a usual size there.
    #[must_use]
    pub fn in_field(mut self, usual: &[Usual], wanted: &[Dimension]) -> Self {
        let sizes = Sizes::of(usual, wanted);
        if !sizes.is_empty()
            && let Some(help) = self.help_at_size(&sizes, wanted)
        {
            self.help = help;
        }
        self
    }

    /// Whether a unit was wanted and no number.
    fn is_of_unit_alone(&self) -> bool {
        self.number.is_none() && !matches!(self.kind, QuantityProblem::Number(_))
    }

    /// What to write, of a size that is usual; none where what is proposed already is.
    fn help_at_size(&self, sizes: &Sizes, wanted: &[Dimension]) -> Option<String> {
        let units = match self.kind {
            QuantityProblem::Number(DecimalProblem::Empty | DecimalProblem::NotANumber) => {
                Vec::new()
            }
            QuantityProblem::Number(_) | QuantityProblem::InTwoUnits => return None,
            QuantityProblem::MissingNumber if self.number.is_some() => return None,
            QuantityProblem::MissingNumber => {
                return Some("write the number before it".to_owned());
            }
            QuantityProblem::MissingUnit => match self.number {
                Some(number) => sizes.units_for(number),
                None => Vec::new(),
            },
            QuantityProblem::Unit(_) => {
                let meant = self.meant.iter().copied();
                let fitting: Vec<Unit> = meant
                    .filter(|unit| sizes.hold(self.number, *unit))
                    .collect();
                if !fitting.is_empty() && fitting.len() == self.meant.len() {
                    return None;
                }
                fitting
            }
            QuantityProblem::WrongDimension(_) => {
                let mut meant = self.meant.iter();
                if meant.any(|unit| sizes.units().contains(unit)) {
                    return None;
                }
                Vec::new()
            }
        };
        let readings: Vec<String> = units
            .into_iter()
            .map(|unit| written(self.number, unit))
            .collect();
        Some(match readings.as_slice() {
            [] if self.is_of_unit_alone() => write_one_of(&sizes.units()),
            [] => give_in(&sizes.units(), wanted),
            readings => choice(readings),
        })
    }

    /// The same fault of a text that begins `offset` bytes further on.
    pub(super) fn moved(mut self, offset: usize) -> Self {
        self.part = self.part.start + offset..self.part.end + offset;
        self
    }

    pub(super) fn of_number(fault: &DecimalFault, unit: &str, wanted: &[Dimension]) -> Self {
        let is_empty = fault.problem == DecimalProblem::Empty;
        let is_no_number = fault.problem == DecimalProblem::NotANumber;
        let message = if is_empty {
            format!("nothing is written where {} is needed", names(wanted))
        } else if is_no_number {
            format!("{}; {} is needed", fault.message(), names(wanted))
        } else {
            fault.message()
        };
        let help = if is_empty || is_no_number {
            give(wanted)
        } else {
            fault.help_with(unit)
        };
        let kind = QuantityProblem::Number(fault.problem);
        Self {
            kind,
            message: fitting(message),
            help,
            part: fault.part.clone(),
            number: None,
            meant: Vec::new(),
        }
    }

    pub(super) fn missing_number(
        text: &str,
        number: Option<Decimal>,
        unit: Unit,
        wanted: &[Dimension],
    ) -> Self {
        let (message, help) = match number {
            Some(number) => (
                format!("{} has its unit before the number", quoted(text)),
                format!("write the number first: {}", written(Some(number), unit)),
            ),
            None => (
                format!("{} has no number", quoted(text)),
                format!("write the number before it, as in {}", examples(wanted)),
            ),
        };
        Self {
            kind: QuantityProblem::MissingNumber,
            part: 0..text.len(),
            message,
            help,
            number,
            meant: vec![unit],
        }
    }

    pub(super) fn missing_unit(number: Decimal, part: Range<usize>, wanted: &[Dimension]) -> Self {
        let number_text = quoted(&number.to_string());
        let message = match wanted {
            [] => format!("{number_text} has no unit"),
            _ => format!("{number_text} has no unit; {} is needed", names(wanted)),
        };
        let help = match wanted {
            [Dimension::RATIO] => choice(&percentages(number)),
            [only] => choice(
                &usual_units(*only)
                    .iter()
                    .map(|unit| written(Some(number), *unit))
                    .collect::<Vec<_>>(),
            ),
            _ => format!("write the unit behind it, as in {}", examples(wanted)),
        };
        Self {
            kind: QuantityProblem::MissingUnit,
            part,
            message: fitting(message),
            help,
            number: Some(number),
            meant: Vec::new(),
        }
    }

    pub(super) fn no_unit_at_all(wanted: &[Dimension]) -> Self {
        let message = format!("no unit is written for {}", names(wanted));
        Self {
            kind: QuantityProblem::MissingUnit,
            part: 0..0,
            message,
            help: give_unit(wanted),
            number: None,
            meant: Vec::new(),
        }
    }

    pub(super) fn in_two_units(text: &str, whole: &str) -> Self {
        let message = format!("{} has two units; one is needed", quoted(text));
        let help = format!("write {}", quoted(whole));
        Self {
            kind: QuantityProblem::InTwoUnits,
            part: 0..text.len(),
            message,
            help,
            number: None,
            meant: Vec::new(),
        }
    }

    pub(super) fn of_unit(
        text: &str,
        number: Option<Decimal>,
        slip: UnitSlip,
        wanted: &[Dimension],
    ) -> Self {
        let predicate = match slip.problem {
            UnitProblem::Unknown if number.is_none() => "is not a known unit",
            UnitProblem::Unknown => "has a unit that is not known here",
            UnitProblem::Ounce => "is not clear: an ounce is a volume or a weight",
            UnitProblem::Case => "is not clear: small and capital letters are different units",
            UnitProblem::ThousandOfWhat => "does not say of what",
            UnitProblem::Multiplier => "has a number after the slash that does not fit",
            UnitProblem::Stroke => "does not read as one unit per another",
            UnitProblem::Combination => "divides two units that nobody here divides",
        };
        let help = match (slip.problem, slip.meant.as_slice()) {
            (UnitProblem::Ounce, [volume, weight]) => {
                format!(
                    "write {} for a volume, {} for a weight",
                    written(number, *volume),
                    written(number, *weight)
                )
            }
            (_, []) if number.is_none() => give_unit(wanted),
            (_, []) => give(wanted),
            (_, meant) => choice(
                &meant
                    .iter()
                    .map(|unit| written(number, *unit))
                    .collect::<Vec<_>>(),
            ),
        };
        let message = format!("{} {predicate}", quoted(text));
        Self {
            kind: QuantityProblem::Unit(slip.problem),
            part: slip.part,
            message,
            help,
            number,
            meant: slip.meant,
        }
    }

    pub(super) fn wrong_dimension(
        text: &str,
        part: Range<usize>,
        number: Option<Decimal>,
        unit: Unit,
        wanted: &[Dimension],
    ) -> Self {
        let meant = match unit {
            Unit::POUND if wanted.contains(&Dimension::PRESSURE) => {
                Some((Unit::PSI, "pounds per square inch"))
            }
            Unit::METER if wanted.contains(&Dimension::TIME) => Some((Unit::MINUTE, "minutes")),
            _ => None,
        };
        let help = match meant {
            Some((unit, name)) => {
                format!("write {}, if {name} are meant", written(number, unit))
            }
            None if number.is_none() => give_unit(wanted),
            None => give(wanted),
        };
        let message = format!(
            "{} is {}; {} is needed",
            quoted(text),
            unit.dimension(),
            names(wanted)
        );
        Self {
            kind: QuantityProblem::WrongDimension(unit),
            part,
            message: fitting(message),
            help,
            number,
            meant: meant.into_iter().map(|(unit, _)| unit).collect(),
        }
    }
}

/// A number, where there is one, with a unit, between backticks.
fn written(number: Option<Decimal>, unit: Unit) -> String {
    quoted(&number.map_or_else(
        || unit.to_string(),
        |number| unit.behind(&number.to_string()),
    ))
}

/// What to write, out of one or two readings.
fn choice(readings: &[String]) -> String {
    match readings {
        [only] => format!("write {only}, if that is meant"),
        several => format!("write {}, whichever is meant", either(several)),
    }
}

/// What is wanted: `a flow`, `a flow or a volume`; where that is too long for a message, only that
/// something is.
fn names(wanted: &[Dimension]) -> String {
    const MOST: usize = 60;
    let names: Vec<String> = wanted
        .iter()
        .map(|dimension| dimension.name().to_owned())
        .collect();
    let joined = either(&names);
    if joined.is_empty() || MOST < joined.len() {
        "a quantity".to_owned()
    } else {
        joined
    }
}

/// The message, or where it is too long for one line, its first half.
fn fitting(message: String) -> String {
    const MOST: usize = 99;
    match message.split_once(';') {
        Some((first, _)) if MOST < message.chars().count() => {
            format!("{first}; another unit is needed")
        }
        Some(_) | None => message,
    }
}

/// What to write instead of a quantity.
fn give(wanted: &[Dimension]) -> String {
    match wanted {
        [] => format!("write a number and its unit, as in {}", examples(wanted)),
        _ => format!("give {}, as in {}", names(wanted), examples(wanted)),
    }
}

/// What to write instead of a quantity, in the units that are usual for it.
fn give_in(units: &[Unit], wanted: &[Dimension]) -> String {
    format!("give {} in {}", names(wanted), either(&each_quoted(units)))
}

/// What to write instead of a unit.
fn give_unit(wanted: &[Dimension]) -> String {
    let units = wanted.iter().flat_map(|dimension| usual_units(*dimension));
    match units.collect::<Vec<Unit>>().as_slice() {
        [] => "write a unit, as in `psi` or `bar`".to_owned(),
        units => write_one_of(units),
    }
}

fn write_one_of(units: &[Unit]) -> String {
    format!("write a unit, as in {}", either(&each_quoted(units)))
}

fn each_quoted(units: &[Unit]) -> Vec<String> {
    units.iter().map(|unit| quoted(&unit.to_string())).collect()
}

/// Two examples of the one thing wanted, or one of each where several are.
fn examples(wanted: &[Dimension]) -> String {
    let examples: Vec<&str> = match wanted {
        [] => Dimension::PRESSURE.examples().to_vec(),
        [only] => only.examples().to_vec(),
        several => several
            .iter()
            .map(|dimension| dimension.examples()[0])
            .collect(),
    };
    either(&examples.into_iter().map(quoted).collect::<Vec<_>>())
}

/// `a`, `a or b`, `a, b or c`.
fn either(choices: &[String]) -> String {
    match choices {
        [before @ .., last] if !before.is_empty() => format!("{} or {last}", before.join(", ")),
        choices => choices.concat(),
    }
}

/// The units of a dimension's examples, each once.
fn usual_units(dimension: Dimension) -> Vec<Unit> {
    let read = |example: &str| {
        let (_, unit) = example.split_once(' ').unwrap_or((example, ""));
        let unit = known(unit).ok();
        unit.filter(|unit| is_wanted(*unit, &[dimension]))
    };
    let mut units: Vec<Unit> = dimension.examples().into_iter().filter_map(read).collect();
    units.dedup();
    units
}

/// A bare number where a percentage is wanted may be one, or a share: 0.05 is 5%.
fn percentages(number: Decimal) -> Vec<String> {
    let as_percent = format!("`{number} %`");
    let hundred = Decimal::whole(100).to_exact();
    let share = finite(
        &(number.to_exact() * hundred),
        number.places().saturating_sub(2),
    );
    match share {
        Some(share) if number.to_f64().abs() < 1.0 && !number.is_zero() => {
            vec![format!("`{share} %`"), as_percent]
        }
        Some(_) | None => vec![as_percent],
    }
}

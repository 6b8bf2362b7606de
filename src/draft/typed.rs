//! A value as somebody types it, made what a record says.
//!
//! With wet gloves one types digits: a number takes the unit of its field, and a decimal comma is a point.

use super::scalar;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::wording::visit;

/// What may be typed for a value.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A number and a unit of one of the dimensions; a number alone takes the unit.
    Quantity(Vec<Dimension>, Unit),
    /// The output of a nozzle: a number in the unit of the catch, or `missed`.
    Reading(Option<Unit>),
    /// A number without unit.
    Number,
    /// `true` or `false`.
    YesNo,
    /// One of these words.
    OneOf(&'static [&'static str]),
    /// A unit of a catch.
    Unit,
    /// A few words, or a name; these are known.
    Named(Vec<String>),
    /// Several things, parted by commas; these are usual.
    List(Vec<String>),
}

/// Why a value is not taken, and what to type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// What is wrong.
    pub message: String,
    /// What to do, beginning with a verb.
    pub help: String,
}

impl Refused {
    fn new(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            help: help.into(),
        }
    }
}

/// What a nozzle that was not caught is written as.
pub const MISSED: &str = "missed";

/// So many characters of a value are taken: more is no reading.
const LONGEST: usize = 200;

impl Kind {
    /// What a record says for what was typed: one YAML value on one line.
    ///
    /// # Errors
    /// Where nothing of this kind is meant, or it could be meant in two ways.
    pub fn written(&self, typed: &str) -> Result<String, Refused> {
        let typed = typed.trim();
        if typed.chars().count() > LONGEST {
            let help = format!("type at most {LONGEST} characters");
            return Err(Refused::new("the value is too long", help));
        }
        match self {
            Self::Quantity(dimensions, unit) => quantity(typed, dimensions, *unit),
            Self::Reading(_) => reading(typed),
            Self::Number => Ok(decimal(typed)?.to_string()),
            Self::YesNo => yes_or_no(typed),
            Self::OneOf(words) => one_of(typed, words),
            Self::Unit => match Unit::parse(typed, &[]) {
                Ok(unit) => Ok(unit.to_string()),
                Err(fault) => Err(Refused::new(fault.message(), fault.help())),
            },
            Self::Named(_) => Ok(scalar(typed)),
            Self::List(_) => {
                let items = typed.trim_matches(['[', ']']).split(',');
                let items = items.map(str::trim).filter(|item| !item.is_empty());
                let items: Vec<String> = items.map(scalar).collect();
                Ok(format!("[{}]", items.join(", ")))
            }
        }
    }

    /// The unit that a number alone takes, as it is printed; empty where there is none.
    pub fn unit(&self) -> String {
        match self {
            Self::Quantity(_, unit) | Self::Reading(Some(unit)) => unit.to_string(),
            Self::Reading(None)
            | Self::Number
            | Self::YesNo
            | Self::OneOf(_)
            | Self::Unit
            | Self::Named(_)
            | Self::List(_) => String::new(),
        }
    }

    /// The unit as it stands behind a label; empty where there is none, and of a time: its label is its unit, in words.
    pub fn unit_behind_label(&self) -> String {
        if matches!(self, Self::Quantity(_, Unit::SECOND | Unit::MINUTE)) {
            return String::new();
        }
        self.unit()
    }

    /// The words that are likely, to choose from.
    pub fn choices(&self) -> Vec<&str> {
        match self {
            Self::Named(names) | Self::List(names) => names.iter().map(String::as_str).collect(),
            Self::OneOf(words) => words.to_vec(),
            Self::YesNo => vec!["yes", "no"],
            Self::Quantity(..) | Self::Reading(_) | Self::Number | Self::Unit => Vec::new(),
        }
    }

    /// Whether digits are typed for it.
    pub const fn is_numeric(&self) -> bool {
        matches!(self, Self::Quantity(..) | Self::Reading(_) | Self::Number)
    }
}

/// A decimal comma made a point; refused where it may part thousands.
fn with_point(typed: &str) -> Result<String, Refused> {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let Some((whole, places)) = typed.split_once(',') else {
        return Ok(typed.to_owned());
    };
    let places = digits(places);
    if typed.matches([',', '.']).count() > 1 || places == 0 {
        return Err(Refused::new(
            format!("`{typed}` is not a number"),
            "type the digits with one decimal point or comma",
        ));
    }
    // A leading zero cannot be thousands.
    if places == 3 && whole.trim_start_matches(['-', '+']) != "0" {
        let (point, none) = (typed.replace(',', "."), typed.replace(',', ""));
        return Err(Refused::new(
            format!("`{typed}` may be {point} or {none}"),
            format!("type {point} or {none}"),
        ));
    }
    Ok(typed.replace(',', "."))
}

fn decimal(typed: &str) -> Result<Decimal, Refused> {
    let typed = with_point(typed)?;
    let decimal =
        Decimal::parse(&typed).map_err(|fault| Refused::new(fault.message(), fault.help()))?;
    if decimal.is_sign_negative() {
        let message = format!("`{typed}` is below zero");
        return Err(Refused::new(message, "type a number of 0 or more"));
    }
    Ok(decimal)
}

fn quantity(typed: &str, dimensions: &[Dimension], unit: Unit) -> Result<String, Refused> {
    let typed = with_point(typed)?;
    let typed = minutes(&typed).unwrap_or(typed);
    let has_unit = typed.contains(|letter: char| letter.is_alphabetic() || "%\"'".contains(letter));
    if !has_unit {
        return Ok(unit.behind(&decimal(&typed)?.to_string()));
    }
    match Quantity::parse(&typed, dimensions) {
        Ok(quantity) if quantity.decimal.is_sign_negative() => {
            let message = format!("`{typed}` is below zero");
            Err(Refused::new(message, "type a number of 0 or more"))
        }
        Ok(quantity) => Ok(quantity.to_string()),
        Err(fault) => Err(Refused::new(fault.message(), fault.help())),
    }
}

/// A time as a stopwatch shows it, `1:05.3`, in seconds; none of anything else.
fn minutes(typed: &str) -> Option<String> {
    let (minutes, seconds) = typed.split_once(':')?;
    let minutes: u32 = minutes.parse().ok()?;
    let (whole, places) = seconds.split_once('.').unwrap_or((seconds, ""));
    let is_second = whole.len() == 2 && places.bytes().all(|byte| byte.is_ascii_digit());
    let whole: u32 = whole
        .parse()
        .ok()
        .filter(|whole| is_second && *whole < 60)?;
    let whole = minutes.checked_mul(60)?.checked_add(whole)?;
    let point = if places.is_empty() { "" } else { "." };
    Some(format!("{whole}{point}{places} s"))
}

fn reading(typed: &str) -> Result<String, Refused> {
    if typed.eq_ignore_ascii_case(MISSED) {
        return Ok(MISSED.to_owned());
    }
    decimal(typed)
        .map(|decimal| decimal.to_string())
        .map_err(|refused| {
            let is_word = typed.starts_with(char::is_alphabetic);
            if is_word {
                Refused::new(format!("`{typed}` is not a number"), visit::type_missed())
            } else {
                refused
            }
        })
}

fn yes_or_no(typed: &str) -> Result<String, Refused> {
    match typed.to_ascii_lowercase().as_str() {
        "true" | "yes" | "y" => Ok("true".to_owned()),
        "false" | "no" | "n" => Ok("false".to_owned()),
        _ => Err(Refused::new(
            format!("`{typed}` is neither yes nor no"),
            "type yes or no",
        )),
    }
}

fn one_of(typed: &str, words: &[&str]) -> Result<String, Refused> {
    let mut all = words.iter();
    let found = all.find(|word| word.eq_ignore_ascii_case(typed));
    found.map(|word| scalar(word)).ok_or_else(|| {
        let words = crate::words::phrases::list(words, "or");
        Refused::new(
            format!("`{typed}` is not known here"),
            format!("type {words}"),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn psi() -> Kind {
        Kind::Quantity(vec![Dimension::PRESSURE], Unit::PSI)
    }

    #[test]
    fn digits_take_the_unit_of_their_field() {
        let seconds = Kind::Quantity(vec![Dimension::TIME], Unit::SECOND);
        let nozzle = Kind::Reading(Some(Unit::FLUID_OUNCE));
        for (kind, typed, written) in [
            (psi(), "36", "36 psi"),
            (psi(), " 36,5 ", "36.5 psi"),
            (psi(), "2.5 bar", "2.5 bar"),
            (psi(), "2,5bar", "2.5 bar"),
            (psi(), "0,125", "0.125 psi"),
            (seconds.clone(), "30", "30 s"),
            (seconds.clone(), "1:05.3", "65.3 s"),
            (seconds, "5 min", "5 min"),
            (nozzle.clone(), "36,5", "36.5"),
            (nozzle.clone(), "36.50", "36.50"),
            (nozzle.clone(), "Missed", "missed"),
            (nozzle, "0", "0"),
            (Kind::Number, "620", "620"),
            (Kind::YesNo, "yes", "true"),
            (
                Kind::OneOf(&["catch", "fill meter"]),
                "Fill meter",
                "fill meter",
            ),
            (
                Kind::List(Vec::new()),
                "gloves, eye protection",
                "[gloves, eye protection]",
            ),
            (Kind::Named(Vec::new()), "on", "'on'"),
        ] {
            assert_eq!(kind.written(typed).as_deref(), Ok(written), "{typed}");
        }
    }

    /// `seconds` and `minutes` are labels; `engine hours, h` is asked for by its unit.
    #[test]
    fn a_label_that_is_a_unit_has_none_behind_it() {
        for (unit, behind) in [
            (Unit::SECOND, ""),
            (Unit::MINUTE, ""),
            (Unit::HOUR, "h"),
            (Unit::PSI, "psi"),
        ] {
            let kind = Kind::Quantity(vec![unit.dimension()], unit);
            assert_eq!(kind.unit_behind_label(), behind);
        }
    }

    #[test]
    fn what_may_be_meant_in_two_ways_is_refused_with_what_to_type() {
        let nozzle = Kind::Reading(None);
        for (kind, typed, help) in [
            (psi(), "1,234", "type 1.234 or 1234"),
            (
                psi(),
                "1,2,3",
                "type the digits with one decimal point or comma",
            ),
            (psi(), "-3", "type a number of 0 or more"),
            (psi(), "-3 psi", "type a number of 0 or more"),
            (psi(), "-0", "type a number of 0 or more"),
            (psi(), "-0.0 psi", "type a number of 0 or more"),
            (nozzle.clone(), "-0", "type a number of 0 or more"),
            (Kind::Number, "-0", "type a number of 0 or more"),
            (
                nozzle.clone(),
                "plugged",
                "type 0 for a plugged nozzle, and missed for one you did not catch",
            ),
            (nozzle, "-", "type the number"),
            (Kind::YesNo, "maybe", "type yes or no"),
            (
                Kind::OneOf(&["manual", "automatic"]),
                "m",
                "type manual or automatic",
            ),
        ] {
            let refused = kind.written(typed).unwrap_err();
            assert!(!refused.message.is_empty());
            if typed != "-" {
                assert_eq!(refused.help, help, "{typed}");
            }
        }
        assert!(psi().written("36 mph").is_err());
        assert!(psi().written(&"9".repeat(500)).is_err());
    }
}

//! Text to unit: spellings, strokes, and units that could be two.
//!
//! Words no fault: [`super::fault`] does.

use super::dimension::Dimension;
use super::spelling;
use super::unit::{Id, Unit, WORDS};
use std::borrow::Cow;
use std::ops::Range;

/// What is wrong with a unit, which bytes of its text are at fault, and what was probably meant.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct UnitSlip {
    pub(super) problem: UnitProblem,
    pub(super) part: Range<usize>,
    pub(super) meant: Vec<Unit>,
}

/// What is wrong with a unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum UnitProblem {
    /// It stands in no table.
    Unknown,
    /// `oz`: by volume or by weight?
    Ounce,
    /// A capital or small letter that makes it another unit: `M`, `mPa`, `ML`.
    Case,
    /// `gal/1000`: thousand of what?
    ThousandOfWhat,
    /// A number below the stroke that cannot be one: `gal/0 acre`.
    Multiplier,
    /// A stroke too many, or nothing on one side of it.
    Stroke,
    /// Two known units that nobody in the trade divides.
    Combination,
}

/// Reads a unit in any spelling; a near miss is looked for among the wanted dimensions, or among all.
pub(super) fn read(text: &str, wanted: &[Dimension]) -> Result<Unit, UnitSlip> {
    known(text).map_err(|(problem, part)| {
        let meant = match problem {
            UnitProblem::Unknown => near(text, &part, wanted).into_iter().collect(),
            UnitProblem::Ounce => with_each(text, &part, &["fl oz", "wt oz"], &[]),
            UnitProblem::Case => {
                let name = &text[part.clone()];
                let others = OF_TWO_CASES.iter().find(|(spelling, _)| *spelling == name);
                others.map_or_else(Vec::new, |(_, others)| {
                    with_each(text, &part, others, wanted)
                })
            }
            UnitProblem::ThousandOfWhat => {
                with_each(text, &(part.end..part.end), &[" ft2"], wanted)
            }
            UnitProblem::Multiplier | UnitProblem::Stroke | UnitProblem::Combination => Vec::new(),
        };
        UnitSlip {
            problem,
            part,
            meant,
        }
    })
}

/// Reads a unit in any spelling, and looks no further where it cannot.
pub(super) fn known(text: &str) -> Result<Unit, (UnitProblem, Range<usize>)> {
    if let Some(unit) = as_printed(text).or_else(|| in_one_word(text)) {
        return Ok(unit);
    }
    let pieces = pieces(text);
    if pieces.iter().any(Range::is_empty) {
        return Err((UnitProblem::Stroke, 0..text.len()));
    }
    let read_at = |part: Range<usize>| atom(&text[part.clone()]).map_err(|problem| (problem, part));
    match pieces.as_slice() {
        [only] => read_at(only.clone()).map(Unit::alone),
        [over, under] => {
            let over = read_at(over.clone())?;
            let (times, name) = multiplier(&text[under.clone()]);
            let times = times.ok_or((UnitProblem::Multiplier, under.clone()))?;
            if name.is_empty() {
                return Err((UnitProblem::ThousandOfWhat, under.clone()));
            }
            let unit =
                Unit::over_a_number_of(over, times, read_at(under.end - name.len()..under.end)?);
            let is_of_the_trade = unit.dimension().is_of_the_trade();
            is_of_the_trade
                .then_some(unit)
                .ok_or((UnitProblem::Combination, 0..text.len()))
        }
        _ => Err((UnitProblem::Stroke, 0..text.len())),
    }
}

/// The unit whose printed name this is, apart from `gpm` and the like: most texts, so it comes first.
pub(super) fn as_printed(text: &str) -> Option<Unit> {
    let Some((over, under)) = text.split_once('/') else {
        return Id::named(text).map(Unit::alone);
    };
    let (times, name) = multiplier(under);
    let unit = Unit::over_a_number_of(Id::named(over)?, times?, Id::named(name)?);
    unit.dimension().is_of_the_trade().then_some(unit)
}

/// The unit that has a word or a spelling of its own for all of it: `gpm`, `lb/in2`.
fn in_one_word(text: &str) -> Option<Unit> {
    let plain = plain(text);
    let word = WORDS
        .iter()
        .find(|word| word.name == Some(&*plain) || word.spellings.contains(&&*plain));
    let is_divided = plain.contains(['/', ' ']);
    let divided = || Id::all().find(|id| is_divided && id.atom().spellings.contains(&&*plain));
    word.map(|word| word.unit)
        .or_else(|| divided().map(Unit::alone))
}

/// The parts between strokes, without the spaces around them; `per` between spaces is a stroke.
fn pieces(text: &str) -> Vec<Range<usize>> {
    let signs = text.match_indices(['/', '\u{2044}', '\u{2215}']);
    let pers = text.match_indices("per").filter(|&(at, per)| {
        text[..at].ends_with(char::is_whitespace)
            && text[at + per.len()..].starts_with(char::is_whitespace)
    });
    let mut strokes: Vec<Range<usize>> = signs
        .chain(pers)
        .map(|(at, stroke)| at..at + stroke.len())
        .collect();
    strokes.sort_by_key(|stroke| stroke.start);
    let starts = std::iter::once(0).chain(strokes.iter().map(|stroke| stroke.end));
    let ends = strokes
        .iter()
        .map(|stroke| stroke.start)
        .chain(std::iter::once(text.len()));
    starts
        .zip(ends)
        .map(|(start, end)| trimmed(text, start..end))
        .collect()
}

fn trimmed(text: &str, part: Range<usize>) -> Range<usize> {
    let piece = &text[part.clone()];
    let start = part.start + (piece.len() - piece.trim_start().len());
    start..start + piece.trim().len()
}

/// The number of units below the stroke, and the unit's name: `1000 ft2`, `1,000 sq ft`, `acre`.
///
/// No number for one that cannot be meant: zero, with a leading zero, or above a million.
fn multiplier(under: &str) -> (Option<u32>, &str) {
    let end = under
        .find(|letter: char| !letter.is_ascii_digit() && letter != ',')
        .unwrap_or(under.len());
    let (digits, name) = under.split_at(end);
    let is_grouped = digits.split(',').skip(1).all(|group| group.len() == 3);
    let times = match digits {
        "" => Some(1),
        _ if !is_grouped || digits.starts_with(['0', ',']) => None,
        _ => digits
            .replace(',', "")
            .parse()
            .ok()
            .filter(|times| *times <= 1_000_000),
    };
    (times, name.trim_start())
}

/// One unit of the table by any of its spellings.
fn atom(text: &str) -> Result<Id, UnitProblem> {
    if let Some(id) = Id::named(text) {
        return Ok(id);
    }
    let plain = plain(text);
    if OUNCES.contains(&&*plain) {
        return Err(UnitProblem::Ounce);
    }
    if OF_TWO_CASES.iter().any(|(spelling, _)| *spelling == text) {
        return Err(UnitProblem::Case);
    }
    let is_spelled = |id: &Id| id.names().any(|name| name.eq_ignore_ascii_case(&plain));
    Id::all().find(is_spelled).ok_or(UnitProblem::Unknown)
}

/// Ways to write an ounce without saying of what.
static OUNCES: [&str; 4] = ["oz", "ozs", "ounce", "ounces"];

/// Spellings that are another unit when read to the letter, and what was probably meant.
static OF_TWO_CASES: [(&str, &[&str]); 6] = [
    ("M", &["m", "1000 ft2"]),
    ("G", &["g", "gal"]),
    ("ML", &["mL"]),
    ("Ml", &["mL"]),
    ("mPa", &["kPa", "MPa"]),
    ("mpa", &["kPa", "MPa"]),
];

/// A spelling in lower case, with single spaces, without stops and without spaces around a stroke.
fn plain(text: &str) -> Cow<'_, str> {
    let is_plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'/';
    if text.bytes().all(is_plain) {
        return Cow::Borrowed(text);
    }
    let without_stops = text.replace('.', " ").to_lowercase();
    let spaced = without_stops
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    Cow::Owned(
        spaced
            .replace(" /", "/")
            .replace("/ ", "/")
            .replace("u s ", "us ")
            .replace("u k ", "uk "),
    )
}

/// The unit of a wanted dimension whose name is nearest to the unknown one at `part`.
///
/// A number before it, as in `1000 ft2`, is no part of a unit.
fn near(text: &str, part: &Range<usize>, wanted: &[Dimension]) -> Option<Unit> {
    let without_number = text
        .trim_start_matches(|letter: char| letter.is_ascii_digit())
        .trim_start();
    if without_number.len() < text.len() {
        return known(without_number)
            .ok()
            .filter(|unit| is_wanted(*unit, wanted));
    }
    let with = |id: Id| with_each(text, part, &[id.atom().singular], wanted).pop();
    let alone = Id::all().filter_map(|id| with(id).map(|unit| (id, unit)));
    let alone = alone.flat_map(|(id, unit)| id.names().map(move |name| (name, unit)));
    let words = WORDS
        .iter()
        .filter(|word| part.len() == text.len() && is_wanted(word.unit, wanted));
    let words = words.flat_map(|word| {
        word.name
            .iter()
            .chain(word.spellings)
            .map(|name| (*name, word.unit))
    });
    spelling::nearest(&text[part.clone()], alone.chain(words))
}

/// The wanted units that come of putting each of `names` in the place of `part`.
fn with_each(text: &str, part: &Range<usize>, names: &[&str], wanted: &[Dimension]) -> Vec<Unit> {
    let with = |name: &&str| {
        known(&format!(
            "{}{name}{}",
            &text[..part.start],
            &text[part.end..]
        ))
        .ok()
    };
    names
        .iter()
        .filter_map(with)
        .filter(|unit| is_wanted(*unit, wanted))
        .collect()
}

/// Whether a text is a unit, with or without spaces around it.
pub fn is_unit(text: &str) -> bool {
    known(text.trim()).is_ok()
}

/// Whether a unit is of a wanted dimension; where none is named, any is.
pub(super) fn is_wanted(unit: Unit, wanted: &[Dimension]) -> bool {
    wanted.is_empty() || wanted.contains(&unit.dimension())
}

//! The ways in which people write a number that are no plain decimal, told apart.
//!
//! Says what was probably meant and reads nothing itself.

use super::decimal::{Decimal, split_sign};
use super::exact::{Exact, finite, rounded};
use super::invisible::is_invisible;
use super::problem::DecimalProblem as Problem;
use num_bigint::BigInt;
use num_traits::Signed;
use std::ops::Range;

/// What is wrong with a number and how it should probably be written, likeliest first.
#[derive(Debug)]
pub(super) struct Slip {
    pub(super) problem: Problem,
    pub(super) meant: Vec<String>,
}

impl Slip {
    /// A slip that nobody can mend but who made it.
    pub(super) fn unclear(problem: Problem) -> Self {
        Self {
            problem,
            meant: Vec::new(),
        }
    }

    /// A slip with what was meant.
    pub(super) fn meaning(problem: Problem, meant: impl Into<String>) -> Self {
        Self {
            problem,
            meant: vec![meant.into()],
        }
    }

    fn perhaps(problem: Problem, meant: Option<String>) -> Self {
        Self {
            problem,
            meant: meant.into_iter().collect(),
        }
    }

    /// The same, keeping of what was meant only what can be read, with the sign it had.
    fn readable(mut self, sign: &str) -> Self {
        let plain = |meant: &String| {
            Decimal::plain(&format!("{sign}{meant}")).map(|decimal| decimal.to_string())
        };
        self.meant = self.meant.iter().filter_map(plain).collect();
        self
    }
}

/// The slip of a trimmed text that lies not in its number, and which bytes it covers.
pub(super) fn of_whole(trimmed: &str) -> Option<(Range<usize>, Slip)> {
    if trimmed.is_empty() {
        return Some((0..0, Slip::unclear(Problem::Empty)));
    }
    if let Some((at, letter)) = trimmed
        .char_indices()
        .find(|&(_, letter)| is_invisible(letter))
    {
        return Some((
            at..at + letter.len_utf8(),
            Slip::unclear(Problem::Invisible),
        ));
    }
    let lower = trimmed.to_ascii_lowercase();
    let word = split_sign(&lower)
        .1
        .split_whitespace()
        .next()
        .unwrap_or_default();
    if ["nan", ".nan", "inf", ".inf", "infinity", "\u{221e}"].contains(&word) {
        return Some((0..trimmed.len(), Slip::unclear(Problem::NotFinite)));
    }
    let hedge = HEDGES
        .iter()
        .find(|hedge| is_before_number(&lower, hedge))?;
    let rest = trimmed[hedge.len()..].trim_start();
    let number = Decimal::plain(&rest[..number_end(rest)]).map(|number| number.to_string());
    Some((0..hedge.len(), Slip::perhaps(Problem::Approximate, number)))
}

/// What people write before a number that they are not sure of; the longer ones first.
static HEDGES: [&str; 17] = [
    "~", "\u{2248}", "<=", ">=", "<", ">", "\u{2264}", "\u{2265}", "\u{b1}", "+/-", "about",
    "approx.", "approx", "ca.", "ca", "circa", "around",
];

fn is_before_number(lower: &str, hedge: &str) -> bool {
    lower
        .strip_prefix(hedge)
        .is_some_and(|rest| number_end(rest.trim_start()) > 0)
}

/// Where the number at the head of a text ends, however oddly it is written; 0 where none begins.
///
/// Whatever joins digits to further digits belongs to it: `1,234.5`, `1:30`, `1 1/2`, `36-38`.
pub(super) fn number_end(text: &str) -> usize {
    let sign = text.len() - split_sign(text).1.len();
    let first = digits_len(&text[sign..]);
    if first == 0 {
        return 0;
    }
    let mut end = sign + first;
    if is_other_base(&text[sign..]) {
        return text[end..]
            .find(|letter: char| !letter.is_ascii_alphanumeric())
            .map_or(text.len(), |at| end + at);
    }
    loop {
        let joiner = joiner_len(&text[end..]);
        let digits = digits_len(&text[end + joiner..]);
        if digits == 0 {
            return end;
        }
        end += joiner + digits;
    }
}

/// How many bytes of digits of any script, and of points, stand at the head, where there is a digit.
fn digits_len(text: &str) -> usize {
    let end = text
        .find(|letter: char| !is_digit(letter) && letter != '.')
        .unwrap_or(text.len());
    if text[..end].contains(is_digit) {
        end
    } else {
        0
    }
}

/// Whether a character is part of a number; the superscripts of `m²` and `m³` are part of a unit.
fn is_digit(letter: char) -> bool {
    letter.is_numeric() && !matches!(letter, '\u{b2}' | '\u{b3}')
}

/// Whether the text begins like `0x1f`, `0o17` or `0b11`; `0bar` and `0 oz` do not.
fn is_other_base(unsigned: &str) -> bool {
    let base = unsigned.strip_prefix('0').and_then(|rest| {
        let mut letters = rest.chars();
        Some((letters.next()?, letters.next()?))
    });
    match base {
        Some(('x' | 'X', digit)) => digit.is_ascii_hexdigit(),
        Some(('o' | 'O', digit)) => digit.is_digit(8),
        Some(('b' | 'B', digit)) => digit.is_digit(2),
        Some(_) | None => false,
    }
}

/// How many bytes at the head join what stands before them to a number that follows; 0 where nothing does.
fn joiner_len(text: &str) -> usize {
    let begins_number = |rest: &str| digits_len(rest) > 0;
    let before = |rest: &str| text.len() - rest.len();
    if let Some(exponent) = text.strip_prefix(['e', 'E']) {
        let digits = split_sign(exponent).1;
        return if begins_number(digits) {
            before(digits)
        } else {
            0
        };
    }
    if let Some(rest) = text.strip_prefix(['\'', '\u{2019}']) {
        // Three digits make it thousands; else it is feet, and inches follow.
        let digits = rest
            .find(|letter: char| !letter.is_ascii_digit())
            .unwrap_or(rest.len());
        return if digits == 3 { before(rest) } else { 0 };
    }
    if let Some(rest) = text.strip_prefix(['_', ':']) {
        return if begins_number(rest) { before(rest) } else { 0 };
    }
    let spaced = text.trim_start();
    if begins_number(spaced) {
        return before(spaced);
    }
    let joined = JOINERS.iter().find_map(|joiner| {
        let rest = spaced.strip_prefix(joiner)?.trim_start();
        begins_number(rest).then(|| before(rest))
    });
    joined.unwrap_or(0)
}

/// What may stand between two numbers, with or without spaces.
static JOINERS: [&str; 15] = [
    ",", "/", "\u{2044}", "\u{2215}", "+/-", "\u{b1}", "-", "\u{2212}", "\u{2013}", "\u{2014}",
    "to ", "x", "\u{d7}", "*", "^",
];

/// The slip of a number that is not plain; it ends at [`number_end`].
pub(super) fn of_number(number: &str) -> Slip {
    let (negative, unsigned) = split_sign(number);
    let sign = if negative { "-" } else { "" };
    let has = |marks: &[&str]| marks.iter().any(|mark| unsigned.contains(mark));
    let slip = if is_other_base(unsigned) {
        Slip::unclear(Problem::OtherBase)
    } else if unsigned.contains(|letter: char| is_digit(letter) && !letter.is_ascii()) {
        other_digits(unsigned)
    } else if has(&[":"]) {
        return clock_time(unsigned);
    } else if has(&["+/-", "\u{b1}"]) {
        Slip::meaning(Problem::Approximate, &unsigned[..digits_len(unsigned)])
    } else if has(&["/", "\u{2044}", "\u{2215}"]) {
        Slip::perhaps(Problem::Fraction, fraction(unsigned))
    } else if has(&["10^"]) {
        Slip::unclear(Problem::PowerOfTen)
    } else if has(&["e", "E"]) {
        Slip::perhaps(Problem::PowerOfTen, written_out(unsigned))
    } else if has(&["x", "\u{d7}", "*", "^"]) {
        Slip::unclear(Problem::TwoNumbers)
    } else if has(&DASHES) {
        let is_range = DASHES
            .iter()
            .map(|dash| unsigned.matches(dash).count())
            .sum::<usize>()
            == 1;
        Slip::unclear(if is_range {
            Problem::FromTo
        } else {
            Problem::NotANumber
        })
    } else if has(&["_"]) {
        Slip::meaning(Problem::Underscore, unsigned.replace('_', ""))
    } else {
        separated(unsigned)
    };
    slip.readable(sign)
}

const DASHES: [&str; 5] = ["-", "\u{2212}", "\u{2013}", "\u{2014}", "to"];

/// `½` as 0.5, `1½` as 1.5, full-width digits as usual ones.
fn other_digits(number: &str) -> Slip {
    let last = number.char_indices().next_back();
    let vulgar = last.and_then(|(at, letter)| {
        let (_, places) = VULGAR_FRACTIONS
            .iter()
            .find(|(vulgar, _)| *vulgar == letter)?;
        let whole = number[..at].trim_end();
        Some(format!(
            "{}.{places}",
            if whole.is_empty() { "0" } else { whole }
        ))
    });
    match vulgar {
        Some(value) => Slip::meaning(Problem::Fraction, value),
        None => Slip::meaning(
            Problem::OtherDigits,
            number.chars().map(usual_digit).collect::<String>(),
        ),
    }
}

fn usual_digit(letter: char) -> char {
    let full_width = u32::from(letter).checked_sub(0xff10);
    full_width
        .and_then(|digit| char::from_digit(digit, 10))
        .unwrap_or(letter)
}

static VULGAR_FRACTIONS: [(char, &str); 9] = [
    ('\u{bd}', "5"),
    ('\u{bc}', "25"),
    ('\u{be}', "75"),
    ('\u{2153}', "333"),
    ('\u{2154}', "667"),
    ('\u{215b}', "125"),
    ('\u{215c}', "375"),
    ('\u{215d}', "625"),
    ('\u{215e}', "875"),
];

/// `1:30` as 90 s or 90 min, `0:32.4` as 32.4 s, `1:02:03` as 3723 s.
fn clock_time(number: &str) -> Slip {
    let parts: Vec<&str> = number.split(':').collect();
    let whole = |part: &str| part.parse::<u32>().ok().filter(|part| *part < 10_000);
    let total = |lead: u32, last: &str| {
        let last = Decimal::plain(&without_leading_zeros(last))?;
        Some((
            finite(
                &(Decimal::whole(lead).to_exact() + last.to_exact()),
                last.places(),
            )?,
            last.places(),
        ))
    };
    let meant = match parts.as_slice() {
        [lead, last] => whole(lead).and_then(|lead| total(lead * 60, last)).map(
            |(total, places)| match places {
                0 => vec![format!("{total} s"), format!("{total} min")],
                _ => vec![format!("{total} s")],
            },
        ),
        [hours, minutes, seconds] => whole(hours)
            .zip(whole(minutes))
            .and_then(|(hours, minutes)| total(hours * 3600 + minutes * 60, seconds))
            .map(|(total, _)| vec![format!("{total} s")]),
        _ => None,
    };
    Slip {
        problem: Problem::ClockTime,
        meant: meant.unwrap_or_default(),
    }
}

/// `1/2` as 0.5, `1 1/2` as 1.5, `1/3` to three places.
fn fraction(number: &str) -> Option<String> {
    let number = number.replace(['\u{2044}', '\u{2215}'], "/");
    let (over, under) = number.split_once('/')?;
    let (whole, over) = over.trim_end().rsplit_once(' ').unwrap_or(("0", over));
    let read = |part: &str| part.trim().parse::<u32>().ok().map(BigInt::from);
    let under = read(under).filter(Signed::is_positive)?;
    let value = Exact::new(read(over)?, under) + read(whole)?;
    Some(
        (0..=4)
            .find_map(|places| finite(&value, places))
            .unwrap_or_else(|| rounded(&value, 3)),
    )
}

/// `1.5e3` as 1500.
fn written_out(number: &str) -> Option<String> {
    let (mantissa, exponent) = number.split_once(['e', 'E'])?;
    let mantissa = Decimal::plain(mantissa)?;
    let (is_small, power) = split_sign(exponent);
    let power = power.parse::<u8>().ok().filter(|power| *power <= 15)?;
    let scale = BigInt::from(10).pow(u32::from(power));
    if is_small {
        finite(&(mantissa.to_exact() / scale), mantissa.places() + power)
    } else {
        finite(
            &(mantissa.to_exact() * scale),
            mantissa.places().saturating_sub(power),
        )
    }
}

/// Commas, points, spaces and primes between digits: thousands, decimals or two numbers.
fn separated(number: &str) -> Slip {
    let is_gap = |letter: char| letter.is_whitespace() || matches!(letter, '\'' | '\u{2019}');
    if number.contains(is_gap) {
        return thousands_before(number, ['.', ','], is_gap);
    }
    let (commas, points) = (number.matches(',').count(), number.matches('.').count());
    let has_groups = |separator: char| are_thousands(number, |letter| letter == separator);
    match (commas, points) {
        (0, 0 | 1) => zeros_and_length(number),
        (1, 0) if has_groups(',') && !number.starts_with('0') => Slip {
            problem: Problem::ThousandOrDecimalComma,
            meant: vec![number.replace(',', ""), number.replace(',', ".")],
        },
        (1, 0) => Slip::meaning(Problem::DecimalComma, number.replace(',', ".")),
        (_, 0) if has_groups(',') => Slip::meaning(Problem::Thousands, number.replace(',', "")),
        (0, _) if has_groups('.') => Slip::meaning(Problem::Thousands, number.replace('.', "")),
        (0, _) => Slip::unclear(Problem::NotANumber),
        (_, 1) if number.rfind(',') < number.find('.') => {
            thousands_before(number, ['.'; 2], |letter| letter == ',')
        }
        (_, _) => thousands_before(number, [','; 2], |letter| letter == '.'),
    }
}

/// A number whose whole part is in groups before the last decimal mark; else it is two numbers.
fn thousands_before(
    number: &str,
    decimal_marks: [char; 2],
    is_separator: impl Fn(char) -> bool + Copy,
) -> Slip {
    let (whole, places) = number.rsplit_once(decimal_marks).unwrap_or((number, ""));
    if !are_thousands(whole, is_separator)
        || places.contains(|letter: char| !letter.is_ascii_digit())
    {
        return Slip::unclear(Problem::TwoNumbers);
    }
    let whole = whole.replace(is_separator, "");
    let joined = if places.is_empty() {
        whole
    } else {
        format!("{whole}.{places}")
    };
    Slip::meaning(Problem::Thousands, joined)
}

/// Whether a whole number stands in groups: one to three digits, then three each.
fn are_thousands(whole: &str, is_separator: impl Fn(char) -> bool) -> bool {
    let mut groups = whole.split(is_separator);
    let is_digits = |group: &str| group.bytes().all(|byte| byte.is_ascii_digit());
    groups
        .next()
        .is_some_and(|first| (1..=3).contains(&first.len()) && is_digits(first))
        && groups.all(|group| group.len() == 3 && is_digits(group))
}

fn zeros_and_length(number: &str) -> Slip {
    if let Some(whole) = number.strip_suffix('.') {
        let meant = vec![whole.to_owned(), format!("{whole}.0")];
        return Slip {
            problem: Problem::EndsInPoint,
            meant,
        };
    }
    let shorter = without_leading_zeros(number);
    match Decimal::plain(&shorter) {
        Some(_) => Slip::meaning(Problem::LeadingZero, shorter),
        None => Slip::unclear(Problem::TooManyDigits),
    }
}

fn without_leading_zeros(number: &str) -> String {
    let rest = number.trim_start_matches('0');
    if rest.is_empty() || rest.starts_with('.') {
        format!("0{rest}")
    } else {
        rest.to_owned()
    }
}

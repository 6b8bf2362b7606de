//! Plurals, lists, ordinals and durations.

use super::numbers::number;

/// A number of things: `1 nozzle`, `3 nozzles`, `0 nozzles`.
pub fn plural(n: usize, noun: &str) -> String {
    format!("{n} {}", noun_for(n, noun))
}

/// Some of a number of things: `14 of 15 nozzles`.
pub fn count_of(n: usize, of: usize, noun: &str) -> String {
    format!("{n} of {}", plural(of, noun))
}

/// The noun for a number: `nozzle` for one, `nozzles` for any other.
pub fn noun_for(n: usize, noun: &str) -> String {
    if n == 1 {
        noun.to_owned()
    } else {
        plural_of(noun)
    }
}

fn plural_of(noun: &str) -> String {
    let ends = |endings: &[&str]| endings.iter().any(|ending| noun.ends_with(ending));
    match noun.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'o', 'u']) => format!("{stem}ies"),
        Some(_) | None if ends(&["s", "x", "ch", "sh"]) => format!("{noun}es"),
        Some(_) | None => format!("{noun}s"),
    }
}

/// Things in a row: `a`, `a and b`, `a, b and c`.
pub fn list<T: AsRef<str>>(items: &[T], joined_by: &str) -> String {
    match items {
        [] => String::new(),
        [only] => only.as_ref().to_owned(),
        [before @ .., last] => {
            let before: Vec<&str> = before.iter().map(AsRef::as_ref).collect();
            format!("{} {joined_by} {}", before.join(", "), last.as_ref())
        }
    }
}

/// A number in an order: `1st`, `2nd`, `3rd`, `11th`.
pub fn ordinal(n: usize) -> String {
    let ending = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        (_, _) => "th",
    };
    format!("{n}{ending}")
}

/// A time in the two largest units that fit it: `45 s`, `4 min 30 s`, `3 h 20 min`, `12 days`.
///
/// Up to two minutes in seconds, up to two hours in minutes, up to two days in hours, as people time
/// things; rounded to the smaller unit.
pub fn duration_in_words(seconds: f64) -> String {
    let whole = |value: f64| -> u64 { number(value, 0).parse().unwrap_or(0) };
    let two = |large: u64, large_name: &str, small: u64, small_name: &str| match small {
        0 => format!("{large} {large_name}"),
        _ => format!("{large} {large_name} {small} {small_name}"),
    };
    if !seconds.is_finite() || seconds < 0.0 {
        return "no time".to_owned();
    }
    let (s, min, h) = (
        whole(seconds),
        whole(seconds / 60.0),
        whole(seconds / 3600.0),
    );
    if s < 120 {
        format!("{s} s")
    } else if s < 7200 {
        two(s / 60, "min", s % 60, "s")
    } else if min < 2880 {
        two(min / 60, "h", min % 60, "min")
    } else {
        plural(usize::try_from((h + 12) / 24).unwrap_or(usize::MAX), "day")
    }
}

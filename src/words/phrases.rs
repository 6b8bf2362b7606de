//! Plurals, lists, ordinals and durations.

use std::borrow::Cow;

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
    if let Some((_, plural)) = IRREGULAR.iter().find(|(singular, _)| *singular == noun) {
        return (*plural).to_owned();
    }
    let ends = |endings: &[&str]| endings.iter().any(|ending| noun.ends_with(ending));
    match noun.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'o', 'u']) => format!("{stem}ies"),
        Some(_) | None if ends(&["s", "x", "ch", "sh"]) => format!("{noun}es"),
        Some(_) | None => format!("{noun}s"),
    }
}

static IRREGULAR: [(&str, &str); 2] = [("person", "people"), ("foot", "feet")];

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

/// So many things are named in a text; the others are counted.
pub const MOST_NAMED: usize = 8;

/// Things in a row, however many: the first few, and how many more there are: `a, b and 12 more`.
pub fn list_some<T: AsRef<str>>(items: &[T], joined_by: &str) -> String {
    match items.split_at_checked(MOST_NAMED) {
        Some((named, more)) => list_and_more(named, more.len(), joined_by),
        None => list(items, joined_by),
    }
}

/// Things in a row, and how many more there are that are not named: `a, b and 12 more`; `a, b and c` where there are none.
pub fn list_and_more<T: AsRef<str>>(named: &[T], more: usize, joined_by: &str) -> String {
    if more == 0 {
        return list(named, joined_by);
    }
    let named: Vec<&str> = named.iter().map(AsRef::as_ref).collect();
    format!("{} and {more} more", named.join(", "))
}

/// A text of which no more is shown than so many characters: its two ends, with `…` for what is left out between.
pub fn shortened(text: &str, most: usize) -> Cow<'_, str> {
    if text.len() <= most || text.char_indices().nth(most).is_none() {
        return Cow::Borrowed(text);
    }
    let behind = most / 3;
    let end_of_first = text.char_indices().nth(most - behind - 1);
    let start_of_last = text.char_indices().rev().nth(behind.saturating_sub(1));
    match (end_of_first, start_of_last) {
        (Some((end, _)), Some((start, _))) => {
            Cow::Owned(format!("{}…{}", &text[..end], &text[start..]))
        }
        _ => Cow::Borrowed(text),
    }
}

/// So much of a name is shown, in characters.
pub const LONGEST_NAME: usize = 60;

/// A name out of a record as it is shown.
pub fn name(name: &str) -> Cow<'_, str> {
    shortened(name, LONGEST_NAME)
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

/// The sentences of a text: each ends with a point before a capital letter.
pub fn sentences(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let ends = rest.match_indices(". ").map(|(at, _)| at + 1);
        let mut ends = ends.filter(|end| rest[end + 1..].starts_with(char::is_uppercase));
        let end = ends.next().unwrap_or(rest.len());
        let (sentence, behind) = rest.split_at(end);
        rest = behind.trim_start();
        (!sentence.is_empty()).then_some(sentence)
    })
}

/// Words with their first letter small, as within a sentence.
pub fn uncapitalized(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

/// Words with their first letter as a capital.
pub fn capitalized(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plurals() {
        for (n, noun, text) in [
            (0, "error", "0 errors"),
            (1, "nozzle", "1 nozzle"),
            (3, "nozzle", "3 nozzles"),
            (2, "catch", "2 catches"),
            (2, "pass", "2 passes"),
            (2, "box", "2 boxes"),
            (2, "day", "2 days"),
            (2, "survey", "2 surveys"),
            (2, "entry", "2 entries"),
            (2, "inch", "2 inches"),
            (2, "foot", "2 feet"),
            (2, "person", "2 people"),
            (1, "person", "1 person"),
            (2, "gauge", "2 gauges"),
            (1000, "record", "1000 records"),
        ] {
            assert_eq!(plural(n, noun), text);
        }
        assert_eq!(count_of(14, 15, "nozzle"), "14 of 15 nozzles");
        assert_eq!(count_of(0, 1, "nozzle"), "0 of 1 nozzle");
    }

    #[test]
    fn lists() {
        for (items, text) in [
            (vec![], ""),
            (vec!["left"], "left"),
            (vec!["left", "right"], "left and right"),
            (vec!["left", "middle", "right"], "left, middle and right"),
        ] {
            assert_eq!(list(&items, "and"), text);
        }
        assert_eq!(list(&["a".to_owned(), "b".to_owned()], "or"), "a or b");
    }

    #[test]
    fn of_many_things_the_first_are_named() {
        let names: Vec<String> = (1..=MOST_NAMED + 3).map(|at| format!("b{at}")).collect();
        assert_eq!(list_some(&names[..2], "or"), "b1 or b2");
        assert_eq!(
            list_some(&names[..MOST_NAMED], "and"),
            "b1, b2, b3, b4, b5, b6, b7 and b8"
        );
        assert_eq!(
            list_some(&names, "or"),
            "b1, b2, b3, b4, b5, b6, b7, b8 and 3 more"
        );
        for (named, more, text) in [
            (&["a", "b"][..], 0, "a and b"),
            (&["a", "b"], 3, "a, b and 3 more"),
            (&["a"], 1, "a and 1 more"),
        ] {
            assert_eq!(list_and_more(named, more, "and"), text);
        }
    }

    #[test]
    fn of_a_long_text_the_ends_are_shown() {
        for (text, shown) in [
            ("", ""),
            ("fairways", "fairways"),
            ("123456789", "123456789"),
            ("1234567890", "12345…890"),
            ("ééééééé°°°", "ééééé…°°°"),
        ] {
            assert_eq!(shortened(text, 9), shown);
            assert!(shown.chars().count() <= 9);
        }
    }

    #[test]
    fn a_text_is_parted_into_its_sentences() {
        let parted = |text| sentences(text).collect::<Vec<_>>();
        assert_eq!(parted(""), Vec::<&str>::new());
        assert_eq!(parted("set 1. 5 psi"), ["set 1. 5 psi"]);
        assert_eq!(
            parted("clean it. Catch it again, at 36.5 psi. Then stop."),
            ["clean it.", "Catch it again, at 36.5 psi.", "Then stop."]
        );
    }

    #[test]
    fn ordinals() {
        for (n, text) in [
            (1, "1st"),
            (2, "2nd"),
            (3, "3rd"),
            (4, "4th"),
            (10, "10th"),
            (11, "11th"),
            (12, "12th"),
            (13, "13th"),
            (21, "21st"),
            (22, "22nd"),
            (23, "23rd"),
            (101, "101st"),
            (111, "111th"),
            (112, "112th"),
            (113, "113th"),
            (0, "0th"),
        ] {
            assert_eq!(ordinal(n), text);
        }
    }
}

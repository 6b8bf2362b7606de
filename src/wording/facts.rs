//! Facts and workings in words.

use crate::fact::{Digits, Fact, NozzleName};
use crate::outcome::Stage;
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::words::{dates, numbers, phrases};
use crate::working::{Expression, Operator, Working};

/// So many characters of a value are shown: a note may be as long as a letter.
const LONGEST_VALUE: usize = 24;

/// So many characters are told of those that must fit; the first is told in any case.
const LONGEST_LISTED: usize = 700;

/// A fact as it stands in a sentence. Text of a record in it is not yet cleaned.
pub fn fact(fact: &Fact) -> String {
    match fact {
        Fact::Name(name) => phrases::name(name).into_owned(),
        Fact::Path(path) => path.clone(),
        Fact::Value(value) => beginning(value),
        Fact::Date(day) => dates::date(*day),
        Fact::Written(quantity) => quantity.to_string(),
        Fact::Decimal(decimal) => decimal.to_string(),
        Fact::Computed { si, unit, digits } => computed(*si, *unit, *digits),
        Fact::Number { value, digits } => number(*value, *digits),
        Fact::Percent {
            ratio,
            decimals,
            is_signed: true,
        } => format!("{}%", numbers::signed(100.0 * ratio, *decimals)),
        Fact::Percent {
            ratio,
            decimals,
            is_signed: false,
        } => numbers::percent(*ratio, *decimals),
        Fact::Count { count, noun } => phrases::plural(*count, noun),
        Fact::Ordinal(nth) => phrases::ordinal(*nth),
        Fact::Nozzle(name) => nozzle(name),
        Fact::Step { step, setup } => match setup {
            Some(setup) => format!("{} ({})", step.test(), phrases::name(setup)),
            None => step.test().to_owned(),
        },
        Fact::List { named, more } => phrases::list_and_more(&each(named), *more, "and"),
        Fact::AsManyAsFit { first, of } => as_many_as_fit(first, *of),
        Fact::Words(words) => (*words).to_owned(),
        Fact::Phrase(text, facts) => filled(text, facts),
    }
}

fn each(facts: &[Fact]) -> Vec<String> {
    facts.iter().map(fact).collect()
}

/// A value in a sentence: not too long, and something to see where it is empty.
fn beginning(value: &str) -> String {
    let mut shown: String = value.chars().take(LONGEST_VALUE).collect();
    if shown.len() < value.len() {
        shown.push('…');
    }
    if shown.is_empty() {
        "nothing".to_owned()
    } else {
        shown
    }
}

fn as_many_as_fit(first: &[Fact], of: usize) -> String {
    let mut told = each(first);
    while told.len() > 1 && told.join(", ").chars().count() > LONGEST_LISTED {
        told.pop();
    }
    phrases::list_and_more(&told, of.saturating_sub(told.len()), "and")
}

/// Puts each fact in the place of a `{}`.
fn filled(text: &str, facts: &[Fact]) -> String {
    let mut pieces = text.split("{}");
    let mut out = pieces.next().unwrap_or_default().to_owned();
    for (piece, one) in pieces.zip(facts) {
        out.push_str(&fact(one));
        out.push_str(piece);
    }
    out
}

/// A stage in words.
pub const fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::AsFound => "as found",
        Stage::AsLeft => "as left",
    }
}

/// `nozzle 7 of 13 (right, 2nd)`.
pub fn nozzle(name: &NozzleName) -> String {
    let NozzleName {
        number,
        of,
        in_section,
    } = name;
    match in_section {
        Some((section, position)) => format!(
            "nozzle {number} of {of} ({}, {})",
            phrases::name(section),
            phrases::ordinal(usize::from(*position)),
        ),
        None => format!("nozzle {number} of {of}"),
    }
}

fn computed(si: f64, unit: Unit, digits: Digits) -> String {
    let value = number(Quantity::in_unit(si, unit), digits);
    format!("{value} {unit}").trim_end().to_owned()
}

fn number(value: f64, digits: Digits) -> String {
    match digits {
        Digits::Significant(digits) => numbers::significant(value, digits),
        Digits::Decimals(decimals) => numbers::number(value, decimals),
    }
}

/// Computed numbers in a working have so many digits more, so that a result in hundredths of a percent comes out by hand.
const MORE_DIGITS: usize = 1;

/// A fact as it stands in a working.
fn worked_with(one: &Fact) -> String {
    fn finer(one: &mut Fact) {
        if let Fact::Computed {
            digits: Digits::Significant(digits),
            ..
        }
        | Fact::Number {
            digits: Digits::Significant(digits),
            ..
        } = one
        {
            *digits += MORE_DIGITS;
        } else if let Fact::Phrase(_, facts) = one {
            facts.iter_mut().for_each(finer);
        }
    }
    let mut one = one.clone();
    finer(&mut one);
    fact(&one)
}

/// A working in one line: `41.0 fl oz / 36.727 fl oz (mean of 13) - 1 = +11.63%`.
pub fn working(working: &Working) -> String {
    let lines = working.lines().iter().map(|line| {
        let left = expression(&line.expression);
        match &line.result {
            Some(result) => format!("{left} = {}", worked_with(result)),
            None => left,
        }
    });
    lines.collect::<Vec<_>>().join("; ")
}

fn expression(of: &Expression) -> String {
    match of {
        Expression::Number { shown, .. } => worked_with(shown),
        Expression::Operation(left, operator, right) => format!(
            "{} {} {}",
            side(left, *operator, false),
            operator.sign(),
            side(right, *operator, true),
        ),
        Expression::Root(of) => format!("sqrt({})", expression(of)),
        Expression::Days { from, to } => format!("{} to {}", dates::date(*from), dates::date(*to)),
        Expression::Listed { named, more } => {
            let mut listed = each(named);
            if *more > 0 {
                listed.push(format!("and {more} more"));
            }
            listed.join("; ")
        }
    }
}

fn side(of: &Expression, operator: Operator, is_right: bool) -> String {
    let text = expression(of);
    if of.needs_parentheses(operator, is_right) {
        format!("({text})")
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Fact {
        Fact::Value(text.to_owned())
    }

    #[test]
    fn the_first_that_fit_are_told_and_the_others_counted() {
        let all = [
            Fact::phrase(
                "caught right 3rd: {} became {}",
                [value("41.0"), value("36.5")],
            ),
            Fact::phrase("hours: {} was added", [value("412 h")]),
            Fact::phrase("checked-by: {} was taken out", [value("ko")]),
            Fact::Words("occasion: nothing became a very long tale of what…"),
            Fact::phrase("by: {} became {}", [value("rm"), value("tg")]),
        ];
        for (of, text) in [
            (1, "caught right 3rd: 41.0 became 36.5"),
            (
                2,
                "caught right 3rd: 41.0 became 36.5 and hours: 412 h was added",
            ),
        ] {
            let first = all[..of].to_vec();
            assert_eq!(fact(&Fact::AsManyAsFit { first, of }), text);
        }
        let first: Vec<Fact> = all.iter().cycle().take(60).cloned().collect();
        let told = fact(&Fact::AsManyAsFit { first, of: 80 });
        assert!(told.starts_with("caught right 3rd: 41.0 became 36.5, hours: "));
        let (listed, more) = told.rsplit_once(" and ").unwrap();
        assert!(
            (600..=LONGEST_LISTED).contains(&listed.chars().count()),
            "{told}"
        );
        let n_more: usize = more.strip_suffix(" more").unwrap().parse().unwrap();
        assert!(20 < n_more && n_more < 80, "{told}");
    }

    #[test]
    fn of_a_value_the_beginning_is_shown() {
        for (written, shown) in [
            ("", "nothing"),
            ("41.0 fl oz", "41.0 fl oz"),
            ("a very long tale of what", "a very long tale of what"),
            (
                "a very long tale of what went on",
                "a very long tale of what…",
            ),
        ] {
            assert_eq!(fact(&value(written)), shown);
        }
    }
}

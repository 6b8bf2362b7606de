//! Facts and workings in words.

use crate::fact::{Digits, Fact, NozzleName};
use crate::outcome::Stage;
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::words::{dates, numbers, phrases};
use crate::working::{Expression, Operator, Working};

/// A fact as it stands in a sentence. Text of a record in it is not yet cleaned.
pub fn fact(fact: &Fact) -> String {
    match fact {
        Fact::Name(name) => phrases::name(name).into_owned(),
        Fact::Path(path) => path.clone(),
        Fact::Date(day) => dates::date(*day),
        Fact::Written(quantity) => quantity.to_string(),
        Fact::Decimal(decimal) => decimal.to_string(),
        Fact::Computed { si, unit, digits } => computed(*si, *unit, *digits),
        Fact::Number { value, digits } => number(*value, *digits),
        Fact::Percent {
            ratio,
            decimals,
            is_signed: true,
        } => format!("{} %", numbers::signed(100.0 * ratio, *decimals)),
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
        Fact::Words(words) => (*words).to_owned(),
        Fact::Phrase(text, facts) => filled(text, facts),
    }
}

fn each(facts: &[Fact]) -> Vec<String> {
    facts.iter().map(fact).collect()
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

/// A working in one line: `41.0 fl oz / 36.73 fl oz (mean of 13) - 1 = +11.62 %`.
pub fn working(working: &Working) -> String {
    let lines = working.lines().iter().map(|line| {
        let left = expression(&line.expression);
        match &line.result {
            Some(result) => format!("{left} = {}", fact(result)),
            None => left,
        }
    });
    lines.collect::<Vec<_>>().join("; ")
}

fn expression(of: &Expression) -> String {
    match of {
        Expression::Number { shown, .. } => fact(shown),
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

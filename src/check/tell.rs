//! From an outcome to what the user reads: message, labels, derivation, help.

use super::gather::Weak;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::{Computed, Entry, ShownAs, View, catalogue};
use crate::outcome::{Grade, Outcome, Side, Stage, Verdict};
use crate::quantity::Quantity;
use crate::quantity::confusion::confusion;
use crate::rule::{Deciding, Limit, Rule, Slot, Status};
use crate::wording::facts;
use crate::words;

/// An outcome with all that its words need.
pub(super) struct Found<'f> {
    pub(super) rule: &'f Rule,
    pub(super) computed: &'f dyn Computed,
    /// Its place among the members.
    pub(super) at: usize,
    pub(super) view: &'f dyn View,
    pub(super) outcome: &'f Outcome,
    pub(super) case: Option<&'static str>,
    /// Whether it was put right since.
    pub(super) is_put_right: bool,
    pub(super) limit: Option<&'f Limit>,
    /// The value as left, of what was put right after it was found.
    pub(super) as_left: Option<f64>,
    pub(super) deciding: Option<Deciding>,
}

/// The finding of an outcome that does not hold.
pub(super) fn finding(found: &Found<'_>) -> Diagnostic {
    let outcome = found.outcome;
    let read = found.computed.read(found.at);
    let read = read.as_ref().map(facts::fact).unwrap_or_default();
    let primary = Label::new(outcome.subject, read);
    let mut finding = Diagnostic::new(
        found.rule.id.clone(),
        severity(found),
        message(found),
        primary,
    )
    .of_machine(found.view.subject().id);
    if let Some(place) = outcome.against {
        finding = finding.also(Label::new(place, found.computed.held_against()));
    }
    if let Some(set_at) = found.limit.and_then(|limit| limit.set_at.as_ref()) {
        let because = set_at.because.as_deref();
        let text = match because {
            Some(because) => format!("limit for {} set here: {because}", set_at.scope),
            None => format!("limit for {} set here", set_at.scope),
        };
        finding = finding.also(Label::new(set_at.place, text));
    }
    if let Some(working) = found.computed.working(found.at) {
        finding = finding.worked_out(facts::working(&working));
    }
    match help(found) {
        Some(help) => finding.help(help),
        None => finding,
    }
}

/// An outcome that only weakens its test.
pub(super) fn weak(found: &Found<'_>) -> Weak {
    let outcome = found.outcome;
    let message = match outcome.verdict {
        Verdict::Undecided(_, _) => {
            format!(
                "{} is undecided at {} against a limit of {}",
                found.rule.id,
                amount(found, outcome.found.unwrap_or(0.0)),
                found
                    .limit
                    .map_or_else(String::new, |limit| limit.bound.in_words()),
            )
        }
        Verdict::Pass | Verdict::Fail(_) | Verdict::NotApplicable | Verdict::Unavailable(_) => {
            filled_message(found)
        }
    };
    let remedy = match found.deciding {
        Some(deciding) => deciding_in_words(deciding),
        None => filled_help(found).unwrap_or_default(),
    };
    Weak {
        key: outcome.key,
        follows: found.rule.follows.clone(),
        step: outcome.key.step.or(entry(found.rule).step),
        subject: outcome.subject,
        message,
        remedy,
    }
}

fn entry(rule: &Rule) -> &'static Entry {
    &catalogue::FIGURES[rule.figure]
}

fn severity(found: &Found<'_>) -> Severity {
    let severity = match found.outcome.verdict {
        Verdict::Fail(grade) => of_grade(grade),
        Verdict::Undecided(grade, _) => of_grade(grade).min(Severity::Warning),
        Verdict::Pass | Verdict::NotApplicable | Verdict::Unavailable(_) => Severity::Note,
    };
    let put_right = found.as_left.is_some() || found.is_put_right;
    if put_right || found.rule.status == Status::OnTrial {
        severity.min(Severity::Note)
    } else {
        severity
    }
}

fn of_grade(grade: Grade) -> Severity {
    match grade {
        Grade::Error => Severity::Error,
        Grade::Warning => Severity::Warning,
        Grade::Note | Grade::Weakens => Severity::Note,
    }
}

fn message(found: &Found<'_>) -> String {
    let mut message = filled_message(found);
    if found.outcome.key.stage == Some(Stage::AsFound) {
        message = match found.as_left {
            Some(as_left) => {
                let as_left = plain_amount(entry(found.rule).shown_as, as_left);
                format!("as found, {message} (as left {as_left})")
            }
            None => format!("as found, {message}"),
        };
        if let Some(sprayed) = found.view.sprayed_before(&found.outcome.key) {
            message = format!("{message}; {}", facts::fact(&sprayed));
        }
    }
    if let Verdict::Undecided(_, Side::Over) = found.outcome.verdict {
        message.push_str(", which the uncertainty still covers");
    }
    message
}

fn filled_message(found: &Found<'_>) -> String {
    let value = found.outcome.found.unwrap_or(0.0);
    let text = found.rule.message.pick(found.case, value);
    text.map(|text| text.filled(|slot| fill(found, slot)))
        .unwrap_or_default()
}

fn filled_help(found: &Found<'_>) -> Option<String> {
    let value = found.outcome.found.unwrap_or(0.0);
    let text = found.rule.help.pick(found.case, value)?;
    Some(text.filled(|slot| fill(found, slot)))
}

/// What was put right needs no help; an undecided one is decided first; a mix-up of units is named.
fn help(found: &Found<'_>) -> Option<String> {
    if found.as_left.is_some() || found.is_put_right {
        return None;
    }
    let help = filled_help(found)?;
    if let Some(deciding) = found.deciding {
        return Some(format!(
            "{} to decide it; or {help}",
            deciding_in_words(deciding)
        ));
    }
    let (read_in, against_in) = found.computed.units(found.at);
    let ratio = 1.0 + found.outcome.found?;
    let mixed_up = confusion(ratio, read_in, against_in, found.outcome.expanded / ratio);
    Some(match mixed_up {
        Some(mixed_up) => format!("{}; otherwise {help}", mixed_up.help()),
        None => help,
    })
}

fn deciding_in_words(deciding: Deciding) -> String {
    match deciding {
        Deciding::Longer(times) => {
            let times = (times * 10.0).ceil() / 10.0;
            format!("collect {} times as much", words::numbers::number(times, 1))
        }
        Deciding::Better(what) => what.remedy().to_owned(),
    }
}

fn fill(found: &Found<'_>, slot: &Slot) -> String {
    let (view, key) = (found.view, &found.outcome.key);
    let value = found.outcome.found.unwrap_or(0.0);
    let by_sign = |high: &str, low: &str| {
        if value < 0.0 {
            low.to_owned()
        } else {
            high.to_owned()
        }
    };
    match slot {
        Slot::Found => amount(found, value.abs()),
        Slot::Limit => found
            .limit
            .map_or_else(String::new, |limit| limit.bound.in_words()),
        Slot::MoreOrLess => by_sign("more", "less"),
        Slot::HighOrLow => by_sign("high", "low"),
        Slot::RisesOrFalls => by_sign("rises", "falls"),
        Slot::Part => facts::fact(&view.part(key)),
        Slot::Machine => view.subject().id.to_owned(),
        Slot::Figure(name) => found
            .computed
            .fact(found.at, name)
            .map(|fact| facts::fact(&fact))
            .unwrap_or_else(|| "an unknown value".to_owned()),
    }
}

/// The value with its uncertainty, to the digits that supports, and enough to differ from the limit.
fn amount(found: &Found<'_>, value: f64) -> String {
    let shown_as = entry(found.rule).shown_as;
    if shown_as != ShownAs::Percent {
        let unit = found.limit.and_then(|limit| limit.bound.quantity());
        return match unit {
            Some(limit) if shown_as == ShownAs::Length => in_unit_of(limit, value),
            Some(_) | None => plain_amount(shown_as, value),
        };
    }
    let limit = found.limit.and_then(|limit| limit.bound.quantity());
    let limit = limit.map(|limit| 100.0 * limit.si());
    let (value, expanded) = (100.0 * value, 100.0 * found.outcome.expanded);
    let apart: Vec<f64> = limit.into_iter().collect();
    let uncertainty = (0.0 < expanded).then_some(expanded);
    let decimals = words::numbers::decimals_for(uncertainty, Some(2), value.abs(), &apart);
    match uncertainty {
        Some(expanded) => format!(
            "{} %",
            words::numbers::with_uncertainty(value, expanded, decimals)
        ),
        None => format!("{} %", words::numbers::number(value, decimals)),
    }
}

/// A value in the unit of its limit.
fn in_unit_of(limit: &Quantity, value: f64) -> String {
    let value = Quantity::in_unit(value, limit.unit);
    format!("{} {}", words::numbers::number(value, 1), limit.unit)
}

/// A value without its uncertainty.
fn plain_amount(shown_as: ShownAs, value: f64) -> String {
    let whole = |value: f64| words::numbers::number(value, 0);
    match shown_as {
        ShownAs::Percent => format!("{} %", words::numbers::signed(100.0 * value, 1)),
        ShownAs::Count => whole(value),
        ShownAs::Days => {
            let days = whole(value / 86_400.0);
            let noun = if days == "1" { "day" } else { "days" };
            format!("{days} {noun}")
        }
        ShownAs::Seconds => format!("{value} s"),
        ShownAs::Hours => format!("{} h", words::numbers::number(value / 3_600.0, 1)),
        ShownAs::Length => format!("{} m", words::numbers::number(value, 1)),
        ShownAs::Measured => words::numbers::number(value, 6),
    }
}

//! Requirements that were relaxed, in words.

use crate::assess::Relaxed;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::requirements_relaxed::{
    ADDED, BROUGHT, GONE_BY_RECORDS, NO_LONGER_FOUND, TAKEN_OUT,
};
use crate::rule::{REQUIREMENT_RELAXED, RuleSet, Slot, Texts};

/// What made findings go.
#[derive(Debug, Clone, Copy)]
pub enum Cause {
    /// Requirements that are not what they were.
    Requirements,
    /// New records of work, or of what was sprayed.
    Records,
}

/// Findings of a rule that the requirements of before would give, and those of now do not.
#[derive(Debug)]
pub struct NoLongerFound<'f> {
    /// The rule.
    pub rule: &'f str,
    /// What would have to be as it was for them to be found.
    pub cause: Cause,
    /// Where the first of them would stand, with its message.
    pub label: Label,
    /// How much it would weigh.
    pub severity: Severity,
    /// How much it weighs now; none where it is not found.
    pub now: Option<Severity>,
    /// How many more there are.
    pub more: usize,
}

/// A requirement that was relaxed, as a finding.
pub fn relaxed(one: &Relaxed, severity: Severity) -> Diagnostic {
    let case = match (&one.was, &one.is) {
        (None, _) if one.is_brought => Some(BROUGHT),
        (None, _) => Some(ADDED),
        (_, None) => Some(TAKEN_OUT),
        (Some(_), Some(_)) => None,
    };
    let this_relaxes = if one.is_sure {
        "relaxes a requirement"
    } else {
        "may relax a requirement"
    };
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let because = match one.because.as_deref() {
        Some(because) => because.to_owned(),
        None => "no reason given".to_owned(),
    };
    let facts = [
        ("this-relaxes", this_relaxes.to_owned()),
        ("requirement", one.what.clone()),
        ("was", text(&one.was)),
        ("is", text(&one.is)),
        ("because", because),
    ];
    let label = match &one.was {
        Some(was) => format!("was {was}"),
        None => "new".to_owned(),
    };
    let severity = if one.is_note {
        severity.min(Severity::Note)
    } else {
        severity
    };
    let finding = finding(case, severity, Label::new(one.place, label), &facts);
    match &one.machine {
        Some(machine) => finding.of_machine(machine),
        None => finding,
    }
}

/// Findings that are no more, as one finding.
pub fn no_longer_found(one: NoLongerFound<'_>, severity: Severity) -> Diagnostic {
    let more = match one.more {
        0 => String::new(),
        more => format!(" and {more} more times"),
    };
    let is = match one.now {
        Some(now) => format!("it is {}", with_article(now)),
        None => "it is not reported".to_owned(),
    };
    let would_be = with_article(one.severity);
    let facts = [
        (
            "findings",
            format!("{} would be {would_be}{more}", one.rule),
        ),
        ("is", is),
    ];
    let case = match one.cause {
        Cause::Requirements => NO_LONGER_FOUND,
        Cause::Records => GONE_BY_RECORDS,
    };
    finding(Some(case), severity, one.label, &facts)
}

fn with_article(severity: Severity) -> String {
    let article = if severity == Severity::Error {
        "an"
    } else {
        "a"
    };
    format!("{article} {}", severity.word())
}

fn finding(
    case: Option<&'static str>,
    severity: Severity,
    label: Label,
    facts: &[(&'static str, String)],
) -> Diagnostic {
    let (_, rule) = RuleSet::built_in()
        .find(REQUIREMENT_RELAXED)
        .expect("the rule is built in, and no house rule replaces it");
    let fill = |slot: &Slot| {
        let own = facts.iter().find(|(name, _)| *slot == Slot::Figure(name));
        own.map_or_else(|| "an unknown value".to_owned(), |(_, text)| text.clone())
    };
    let filled = |texts: &Texts| {
        let text = texts.pick(case, 0.0, None)?;
        Some(text.filled(fill))
    };
    let message = filled(&rule.message).unwrap_or_default();
    let finding = Diagnostic::new(REQUIREMENT_RELAXED, severity, message, label);
    match filled(&rule.help) {
        Some(help) => finding.help(help),
        None => finding,
    }
}

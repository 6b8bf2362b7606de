//! Rules as a list and as a page each, readable without a network.
//!
//! Takes every word from the rule's description; adds captions only.

use crate::render::ink::{Ink, Look, wrap};
use crate::render::{Harmless, clean};
use crate::report::RuleDescription;
use crate::words::phrases::{list_and_more, plural};

/// Columns that the captions of a page take.
const CAPTIONS: usize = 13;

/// Columns that what belongs to a rule in the list is moved in.
pub(super) const INDENT: usize = 2;

/// All rules: name, what each finds, its limits.
pub fn rule_list(rules: &[RuleDescription], look: &Look) -> Harmless {
    let mut out = String::new();
    for rule in rules {
        let status = if rule.status == SETTLED {
            String::new()
        } else {
            format!(" ({})", rule.status)
        };
        out.push_str(&look.paragraph(
            Ink::Caption,
            &clean::text(&rule.id),
            &clean::text(&status),
            INDENT,
        ));
        out.push_str(&indented(&rule.title, look));
        let limits: Vec<String> = rule
            .limits
            .iter()
            .map(|limit| format!("{}: {}", limit.grade, limit.limit))
            .collect();
        if !limits.is_empty() {
            out.push_str(&indented(&limits.join("; "), look));
        }
    }
    if !rules.is_empty() {
        out.push('\n');
    }
    out.push_str(&plural(rules.len(), "rule"));
    out.push('\n');
    Harmless::painted(&out, look)
}

/// That errors in the group's own files may change rules and limits, or causes; none where there are no errors.
pub fn may_change(listed: &str, errors: &[String]) -> Option<String> {
    let (first, more) = errors.split_first()?;
    let at = list_and_more(&[clean::text(first)], more.len(), "and");
    Some(format!(
        "{} may change these {listed}, at {at}",
        plural(errors.len(), "error"),
    ))
}

/// The status that goes without saying in a list.
const SETTLED: &str = "settled";

pub(super) fn indented(text: &str, look: &Look) -> String {
    let text = format!("{:INDENT$}{}", "", clean::text(text));
    format!("{}\n", wrap(&text, look.width, 2 * INDENT))
}

/// One rule in full: what it judges, how, by which limits, what to do, and why it exists.
pub fn rule_page(rule: &RuleDescription, look: &Look) -> Harmless {
    let RuleDescription {
        id,
        title,
        status,
        figure,
        figure_title,
        formula,
        family,
        limits,
        decision,
        applies,
        follows,
        remedies,
        example,
        why,
        sources,
    } = rule;
    let limits: Vec<String> = limits
        .iter()
        .map(|limit| format!("{}: {} ({})", limit.grade, limit.limit, limit.set_by))
        .collect();
    let figure = match figure_title.as_str() {
        "" => figure.clone(),
        _ => format!("{figure}: {figure_title}"),
    };
    let one = std::slice::from_ref;
    let mut out = look.paragraph(Ink::Caption, &clean::text(id), "", INDENT);
    out.push_str(&wrap(&clean::text(title), look.width, INDENT));
    out.push_str("\n\n");
    for (caption, texts) in [
        ("judges", one(&figure)),
        ("for", one(family)),
        ("formula", one(formula)),
        ("limits", &limits),
        ("decision", one(decision)),
        ("applies", applies),
        ("explained by", follows),
        ("what to do", remedies),
        ("why", one(why)),
        ("sources", sources),
        ("status", one(status)),
    ] {
        out.push_str(&rows(caption, texts, look));
    }
    if let Some(example) = example {
        out.push_str("\nexample, from the smallest record that breaks it:\n");
        out.push_str(&paragraph_of(example));
    }
    Harmless::painted(&out, look)
}

/// The first finding of an example, without the totals behind it.
fn paragraph_of(example: &str) -> String {
    let first = example.split("\n\n").next().unwrap_or(example);
    format!("{first}\n")
}

/// Texts beside a caption, one row each; nothing where there is no text.
pub(super) fn rows(caption: &str, texts: &[String], look: &Look) -> String {
    let mut out = String::new();
    let mut caption = caption;
    for text in texts.iter().filter(|text| !text.is_empty()) {
        let lead = format!("{caption:CAPTIONS$}");
        let wrapped = wrap(
            &format!("{:CAPTIONS$}{}", "", clean::text(text)),
            look.width,
            CAPTIONS,
        );
        let beside = wrapped.get(CAPTIONS..).unwrap_or_default();
        out.extend([&look.paint(Ink::Caption, &lead), beside, "\n"]);
        caption = "";
    }
    out
}

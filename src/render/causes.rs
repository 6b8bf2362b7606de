//! Causes as a list and as a page each, readable without a network.
//!
//! Takes every word from the cause's description; adds captions only.

use super::rules::{INDENT, indented, rows};
use crate::render::ink::{Ink, Look, wrap};
use crate::render::{Harmless, clean};
use crate::report::CauseDescription;
use crate::words::phrases::plural;

/// All causes: name, and what each is.
pub fn cause_list(causes: &[CauseDescription], look: &Look) -> Harmless {
    let mut out = String::new();
    for cause in causes {
        let status = if cause.is_told {
            ""
        } else {
            " (never reported)"
        };
        out.push_str(&look.paragraph(Ink::Caption, &clean::text(&cause.id), status, INDENT));
        out.push_str(&indented(&cause.title, look));
    }
    if !causes.is_empty() {
        out.push('\n');
    }
    out.push_str(&plural(causes.len(), "cause"));
    out.push('\n');
    Harmless::painted(&out, look)
}

/// One cause in full: what it would change, how likely it is, what to do, and what tells it from others.
pub fn cause_page(cause: &CauseDescription, look: &Look) -> Harmless {
    let CauseDescription {
        id,
        title,
        is_told: _,
        about,
        message,
        mends,
        gives_way_to,
        remedies,
        told_apart,
        why,
        sources,
    } = cause;
    let one = std::slice::from_ref;
    let mut out = look.paragraph(Ink::Caption, &clean::text(id), "", INDENT);
    out.push_str(&wrap(&clean::text(title), look.width, INDENT));
    out.push_str("\n\n");
    for (caption, texts) in [
        ("about", one(about)),
        ("says", one(message)),
        ("what to do", remedies),
        ("told from", told_apart),
        ("mends", mends),
        ("gives way", gives_way_to),
        ("why", one(why)),
        ("sources", sources),
    ] {
        out.push_str(&rows(caption, texts, look));
    }
    Harmless::painted(&out, look)
}

//! A mixing card as Markdown, to print or to keep beside the job.

use super::sections::{heading, sections};
use crate::render::Harmless;
use crate::render::format::{Format, nothing};
use crate::render::marked;
use crate::tank_mix::Card;
use std::fmt::Write;

/// The format.
pub(super) static FORMAT: Format<Card> = Format {
    name: "markdown",
    about: "A card to print, or for the body of an issue",
    write: |made, _| tank_markdown(made),
    leaves_out: nothing,
};

/// The card, part by part; text from a record or an argument is inert.
pub fn tank_markdown(card: &Card) -> Harmless {
    let mut out = String::new();
    let mut line = |text: &str| {
        writeln!(out, "{text}").expect("writing to a string does not fail");
    };
    line(&format!("## {}", marked::text(&heading(card))));
    for section in sections(card) {
        line("");
        line(&format!("### {}", marked::text(&section.title)));
        line("");
        for one in section.lines {
            line(&format!("- {}", marked::text(&one.says)));
            for below in one.below {
                line(&format!("  - {}", marked::text(&below)));
            }
        }
    }
    Harmless::lines(&out)
}

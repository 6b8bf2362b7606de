//! A mixing card for a person at the tank.

use super::sections::{heading, sections};
use crate::render::format::{Format, nothing};
use crate::render::ink::{INDENT, Ink, Look};
use crate::render::{Harmless, clean};
use crate::tank_mix::Card;

/// The format.
pub(super) static FORMAT: Format<Card> = Format {
    name: "text",
    about: "For people: the loads, what goes into each, and what to take care of",
    write: tank_text,
    leaves_out: nothing,
};

/// The card, part by part.
pub fn tank_text(card: &Card, look: &Look) -> Harmless {
    let heading = heading(card);
    let mut out = look.paragraph(Ink::Caption, &clean::text(&heading), "", INDENT);
    for section in sections(card) {
        let ink = if section.is_against {
            Ink::Error
        } else {
            Ink::Caption
        };
        out.push('\n');
        out.push_str(&look.paragraph(ink, &format!("{}:", section.title), "", INDENT));
        for line in section.lines {
            let lead = " ".repeat(INDENT);
            let says = format!("{lead}{}", clean::text(&line.says));
            out.push_str(&look.paragraph(Ink::Caption, "", &says, 2 * INDENT));
            for below in line.below {
                let lead = " ".repeat(2 * INDENT);
                let says = format!("{lead}{}", clean::text(&below));
                out.push_str(&look.paragraph(Ink::Caption, "", &says, 3 * INDENT));
            }
        }
    }
    Harmless::painted(&out, look)
}

//! What the program tells on its errors: why a command could not be done, and what has no place in its output.

use crate::render::ink::{Ink, Look};
use crate::render::{Harmless, clean};

/// Each text in one line of its own.
pub(crate) fn each_in_a_line(texts: &[String]) -> Harmless {
    let lines = texts.iter().map(|text| clean::text(text));
    let lines = lines.flat_map(|line| [line, "\n".into()]);
    Harmless::lines(&lines.collect::<String>())
}

/// Why a command could not be done, and what to do.
pub(crate) fn failure(message: &str, help: &str, look: &Look) -> Harmless {
    let mut out = look.paragraph(Ink::Error, "swathlint: ", &clean::text(message), 2);
    out.push_str(&look.paragraph(Ink::Caption, "  help: ", &clean::text(help), 4));
    Harmless::painted(&out, look)
}

//! Texts of SARIF: in plain text `[a](1)` is a link and `{0}` a place to fill in, so both are escaped (3.11.5, 3.11.6).

use crate::render::clean;
use serde::Serialize;

/// A text in plain words.
#[derive(Debug, Serialize)]
pub(super) struct Text {
    text: String,
}

/// A text in plain words and in Markdown.
#[derive(Debug, Serialize)]
pub(super) struct MarkedText {
    pub(super) text: String,
    pub(super) markdown: String,
}

impl Text {
    /// A text of ours, or one that is escaped.
    pub(super) fn of(text: impl Into<String>) -> Self {
        Self { text: text.into() }
    }

    /// A text from elsewhere.
    pub(super) fn escaped(raw: &str) -> Self {
        Self { text: escaped(raw) }
    }
}

/// A text in one line, in which nothing is a link or a place to fill in.
pub(super) fn escaped(raw: &str) -> String {
    let cleaned = clean::text(raw);
    let mut out = String::with_capacity(cleaned.len());
    for letter in cleaned.chars() {
        match letter {
            '\\' | '[' | ']' => out.extend(['\\', letter]),
            '{' | '}' => out.extend([letter, letter]),
            letter => out.push(letter),
        }
    }
    out
}

/// A link to the related location of this number.
pub(super) fn link(raw: &str, id: usize) -> String {
    format!("[{}]({id})", escaped(raw))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_is_a_link_or_a_place_to_fill_in() {
        assert_eq!(escaped(r"a [b](1) {0} \n"), r"a \[b\](1) {{0}} \\n");
        assert_eq!(link("36 psi", 2), "[36 psi](2)");
    }
}

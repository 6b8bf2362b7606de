//! Text from a record made harmless for one line of any output.
//!
//! Escapes for no particular format: a renderer does that on top.

use std::borrow::Cow;

/// The text with everything that moves, hides or reorders what is printed written out as an escape.
///
/// Control characters, line breaks, bidirectional controls, zero-width and other invisible characters
/// become `\n`, `\t` or `\u{202e}`; all else stays as it is.
pub fn clean(text: &str) -> Cow<'_, str> {
    if !text.contains(is_hostile) {
        return Cow::Borrowed(text);
    }
    let mut cleaned = String::with_capacity(text.len() + 16);
    for letter in text.chars() {
        match letter {
            '\n' => cleaned.push_str("\\n"),
            '\r' => cleaned.push_str("\\r"),
            '\t' => cleaned.push_str("\\t"),
            hostile if is_hostile(hostile) => cleaned.extend(hostile.escape_unicode()),
            harmless => cleaned.push(harmless),
        }
    }
    Cow::Owned(cleaned)
}

fn is_hostile(letter: char) -> bool {
    letter.is_control()
}

//! Text from a record, made fit to be read: nothing in it drives a terminal or a log.
//!
//! Which characters do not show is known to `words`; escapes for no markup.

use crate::words::clean::{clean, is_invisible};
use std::borrow::Cow;

/// Stands for one character that is not shown as it is.
pub(crate) const MARK: char = '\u{fffd}';

/// Finds, character by character, the bracket that ends the beginning of a command to the log of a build runner:
/// `##[`, `##vso[` or `##teamcity[`, wherever it stands.
#[derive(Debug, Default)]
pub(crate) struct Brackets {
    hashes: usize,
}

impl Brackets {
    /// Whether the next character is such a bracket.
    pub(crate) fn ends_command(&mut self, letter: char) -> bool {
        let is_end = letter == '[' && self.hashes >= 2;
        let is_name = letter.is_alphanumeric() || matches!(letter, '.' | '-' | '_');
        self.hashes = match letter {
            '#' => self.hashes + 1,
            _ if is_name && self.hashes >= 2 => self.hashes,
            _ => 0,
        };
        is_end
    }
}

/// The text in one line, each harmful character written out.
pub(crate) fn text(raw: &str) -> Cow<'_, str> {
    let cleaned = clean(raw);
    if !cleaned.contains("##") {
        return cleaned;
    }
    let mut brackets = Brackets::default();
    let mut text = String::with_capacity(cleaned.len());
    for letter in cleaned.chars() {
        if brackets.ends_command(letter) {
            text.extend(letter.escape_unicode());
        } else {
            text.push(letter);
        }
    }
    Cow::Owned(text)
}

/// Replaces a text's characters one for one, for a line with marks under its characters.
#[derive(Debug, Default)]
pub(crate) struct Cleaner {
    brackets: Brackets,
}

impl Cleaner {
    /// What to show for the next character: one character, visible, in one column if it was invisible.
    pub(crate) fn next(&mut self, letter: char) -> char {
        let is_command = self.brackets.ends_command(letter);
        match letter {
            '\0'..='\u{1f}' => char::from_u32(0x2400 + u32::from(letter)).unwrap_or(MARK),
            '\u{7f}' => '\u{2421}',
            letter if is_command || is_invisible(letter) => MARK,
            letter => letter,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_text_is_written_out_and_a_line_is_replaced_one_for_one() {
        let rows = [
            ("heron", "heron", "heron"),
            ("2.4 L/min °µ é", "2.4 L/min °µ é", "2.4 L/min °µ é"),
            ("a\nb\r\tc", r"a\nb\r\tc", "a␊b␍␉c"),
            ("\u{1b}[31m\u{7f}", r"\u{1b}[31m\u{7f}", "␛[31m␡"),
            ("\u{9b}31m", r"\u{9b}31m", "�31m"),
            ("b\u{202e}c\u{200b}", r"b\u{202e}c\u{200b}", "b�c�"),
            ("##[error]x", r"##\u{5b}error]x", "##�error]x"),
            (
                "###[x #[y # #[z",
                r"###\u{5b}x #[y # #[z",
                "###�x #[y # #[z",
            ),
            (
                "##vso[x ##teamcity[y ##a b[z",
                r"##vso\u{5b}x ##teamcity\u{5b}y ##a b[z",
                "##vso\u{fffd}x ##teamcity\u{fffd}y ##a b[z",
            ),
            ("e\u{301}", "e\u{301}", "e\u{301}"),
        ];
        for (raw, written_out, replaced) in rows {
            assert_eq!(text(raw), written_out);
            let mut cleaner = Cleaner::default();
            assert_eq!(
                raw.chars()
                    .map(|letter| cleaner.next(letter))
                    .collect::<String>(),
                replaced
            );
        }
    }

    proptest! {
        #[test]
        fn whatever_the_text_nothing_harmful_is_left(raw in "(\\PC|\\pC|#|\\[|a|\n){0,60}") {
            let mut cleaner = Cleaner::default();
            let replaced: String = raw.chars().map(|letter| cleaner.next(letter)).collect();
            for shown in [text(&raw).as_ref(), &replaced] {
                prop_assert!(!shown.chars().any(is_invisible));
                let mut brackets = Brackets::default();
                prop_assert!(!shown.chars().any(|letter| brackets.ends_command(letter)));
            }
        }
    }
}

//! Text from a record, made fit to be read: nothing in it drives a terminal or a log.
//!
//! Which characters do not show is known to `words`; escapes for no markup.

use crate::words::clean::{clean, is_invisible};
use std::borrow::Cow;

/// Stands for one character that is not shown as it is.
pub(crate) const MARK: char = '\u{fffd}';

/// What logs of build runners take for a command wherever it stands.
const COMMAND: &str = "##[";

/// The text in one line, each harmful character written out.
pub(crate) fn text(raw: &str) -> Cow<'_, str> {
    let cleaned = clean(raw);
    if cleaned.contains(COMMAND) {
        return Cow::Owned(cleaned.replace(COMMAND, r"##\u{5b}"));
    }
    cleaned
}

/// Replaces a text's characters one for one, for a line with marks under its characters.
#[derive(Debug, Default)]
pub(crate) struct Cleaner {
    hashes: usize,
}

impl Cleaner {
    /// What to show for the next character: one character, visible, in one column if it was invisible.
    pub(crate) fn next(&mut self, letter: char) -> char {
        let is_command = letter == '[' && self.hashes >= 2;
        self.hashes = if letter == '#' { self.hashes + 1 } else { 0 };
        match letter {
            '\0'..='\u{1f}' => char::from_u32(0x2400 + u32::from(letter)).unwrap_or(MARK),
            '\u{7f}' => '\u{2421}',
            letter if is_command || is_invisible(letter) => MARK,
            letter => letter,
        }
    }
}

/// The finished output with no line that a log of a build runner could take for a command.
///
/// Such a line begins, after spaces, with `::`; only the finished lines show where one begins, because messages are
/// wrapped. Colour sequences, which are ours, are looked through.
pub(crate) fn lines(output: &str) -> String {
    let mut safe = String::with_capacity(output.len());
    for line in output.split_inclusive('\n') {
        match second_colon(line) {
            Some(at) => {
                safe.push_str(&line[..at]);
                safe.push(MARK);
                safe.push_str(&line[at + 1..]);
            }
            None => safe.push_str(line),
        }
    }
    safe
}

/// Where the second colon stands in a line that begins with two.
fn second_colon(line: &str) -> Option<usize> {
    let mut shown = shown(line).skip_while(|&(_, c)| c.is_whitespace());
    match (shown.next(), shown.next()) {
        (Some((_, ':')), Some((at, ':'))) => Some(at),
        (_, _) => None,
    }
}

/// The characters of a line of output with their offsets, without colour sequences.
fn shown(line: &str) -> impl Iterator<Item = (usize, char)> {
    let mut in_sequence = false;
    line.char_indices().filter(move |&(_, c)| {
        let is_part = in_sequence || c == '\u{1b}';
        in_sequence = is_part && !(in_sequence && c == 'm');
        !is_part
    })
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

    #[test]
    fn a_line_that_begins_like_a_command_is_broken() {
        let rows = [
            ("::error::x\n", ":�error::x\n"),
            ("a\n   ::debug::y", "a\n   :�debug::y"),
            ("\u{1b}[1m:\u{1b}[0m:x\n", "\u{1b}[1m:\u{1b}[0m�x\n"),
            ("a ::b\n", "a ::b\n"),
            (":a:\n", ":a:\n"),
            (":::\n", ":�:\n"),
        ];
        for (raw, safe) in rows {
            assert_eq!(lines(raw), safe, "{raw:?}");
        }
    }

    proptest! {
        #[test]
        fn whatever_the_text_nothing_harmful_is_left(raw in "(\\PC|\\pC|#|\\[|:| |\n){0,60}") {
            let mut cleaner = Cleaner::default();
            let replaced: String = raw.chars().map(|letter| cleaner.next(letter)).collect();
            for shown in [text(&raw).as_ref(), &replaced] {
                prop_assert!(!shown.chars().any(is_invisible));
                prop_assert!(!shown.contains(COMMAND));
            }
            let safe = lines(&raw);
            prop_assert!(safe.lines().all(|line| !line.trim_start().starts_with("::")));
        }
    }
}

//! Text from a record, made fit to be read: what could drive a terminal or a log becomes a visible mark.
//!
//! Escapes for no markup: JSON escapes what it must in its own way.

use std::borrow::Cow;

/// Stands for one character that is not shown as it is.
pub(crate) const MARK: char = '\u{fffd}';

/// The text in one line, each harmful character replaced by one visible character.
pub(crate) fn text(raw: &str) -> Cow<'_, str> {
    if raw
        .bytes()
        .all(|byte| (b' '..=b'~').contains(&byte) && byte != b'#')
    {
        return Cow::Borrowed(raw);
    }
    let mut cleaner = Cleaner::default();
    Cow::Owned(raw.chars().map(|c| cleaner.next(c)).collect())
}

/// Replaces one character at a time, so that a caller can keep count of where it is.
#[derive(Debug, Default)]
pub(crate) struct Cleaner {
    hashes: usize,
}

impl Cleaner {
    /// What to show for the next character of a text; always of the same number of characters, one.
    ///
    /// Breaks `##[`, which logs of build runners take for a command wherever it stands.
    pub(crate) fn next(&mut self, c: char) -> char {
        let is_command = c == '[' && self.hashes >= 2;
        self.hashes = if c == '#' { self.hashes + 1 } else { 0 };
        if is_command { MARK } else { visible(c) }
    }
}

/// The character, or what is shown in its place where it is invisible or drives a terminal.
fn visible(c: char) -> char {
    match c {
        '\0'..='\u{1f}' => char::from_u32(0x2400 + u32::from(c)).unwrap_or(MARK),
        '\u{7f}' => '\u{2421}',
        c if is_harmful(c) => MARK,
        c => c,
    }
}

/// Whether a character is a control, changes the direction of text, breaks the line, or has no width by itself.
///
/// Combining marks and variation selectors are not among them: they belong to the character before.
pub(crate) fn is_harmful(c: char) -> bool {
    matches!(c,
        '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}'
        | '\u{ad}' | '\u{34f}' | '\u{61c}'
        | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{180e}'
        | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{3164}'
        | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}'
        | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
        | '\u{e0000}'..='\u{e00ff}' | '\u{e01f0}'..='\u{e0fff}')
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
    fn one_visible_character_stands_for_each_harmful_one() {
        let rows = [
            ("heron", "heron"),
            ("2.4 L/min °µ é", "2.4 L/min °µ é"),
            ("a\nb\r\tc", "a␊b␍␉c"),
            ("\u{1b}[31mred\u{7f}", "␛[31mred␡"),
            ("\u{9b}31m", "�31m"),
            (
                "a\u{202e}b\u{2066}c\u{200b}d\u{feff}e\u{2028}f\u{85}g",
                "a�b�c�d�e�f�g",
            ),
            ("##[error]x", "##�error]x"),
            ("###[x #[y # #[z", "###�x #[y # #[z"),
            ("e\u{301}", "e\u{301}"),
        ];
        for (raw, shown) in rows {
            assert_eq!(text(raw), shown, "{raw:?}");
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
            let shown = text(&raw);
            prop_assert_eq!(shown.chars().count(), raw.chars().count());
            prop_assert!(!shown.chars().any(is_harmful));
            prop_assert!(!shown.contains("##["));
            let safe = lines(&raw);
            prop_assert!(safe.lines().all(|line| !line.trim_start().starts_with("::")));
        }
    }
}

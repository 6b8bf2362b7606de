//! The terminal's marks and colors, and text wrapped to its width.
//!
//! Knows no finding's content. A word always stands beside a mark or a color: neither tells anything alone.

use crate::diagnostic::Severity;
use crate::quantity::spelled::is_unit;
use unicode_width::UnicodeWidthStr;

/// Columns that each level of a text for people is moved in.
pub(crate) const INDENT: usize = 2;

/// How output for a terminal looks; color off is color on without the colors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Whether to color.
    pub color: bool,
    /// Columns to keep within, where words and paths allow it.
    pub width: usize,
}

/// What a piece of text is, for its color: one hue, and the more weight the heavier the finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    /// An error's mark and word.
    Error,
    /// A warning's.
    Warning,
    /// A note's.
    Note,
    /// Where something stands.
    Place,
    /// A caption or a heading.
    Caption,
}

impl Ink {
    /// The ink of a severity.
    pub(crate) const fn of(severity: Severity) -> Self {
        match severity {
            Severity::Error => Self::Error,
            Severity::Warning => Self::Warning,
            Severity::Note => Self::Note,
        }
    }

    /// The sequence that begins it.
    const fn sequence(self) -> &'static str {
        match self {
            Self::Error => "\u{1b}[1;35m",
            Self::Warning => "\u{1b}[35m",
            Self::Note | Self::Caption => "\u{1b}[1m",
            Self::Place => "\u{1b}[36m",
        }
    }
}

/// Every sequence that colors anything of ours, those of excerpts too; no other goes out.
pub(crate) const COLORS: [&str; 7] = [
    "\u{1b}[0m",
    "\u{1b}[1m",
    "\u{1b}[2m",
    "\u{1b}[35m",
    "\u{1b}[36m",
    "\u{1b}[1;35m",
    "\u{1b}[35;1m",
];

/// A severity's shape: the fuller, the heavier.
pub(crate) const fn shape(severity: Severity) -> char {
    match severity {
        Severity::Error => '◆',
        Severity::Warning => '◈',
        Severity::Note => '◇',
    }
}

impl Look {
    /// The text in an ink.
    pub(crate) fn paint(self, ink: Ink, text: &str) -> String {
        if self.color && !text.is_empty() {
            format!("{}{text}\u{1b}[0m", ink.sequence())
        } else {
            text.to_owned()
        }
    }

    /// A paragraph with a painted beginning, its further lines indented; ends with a line feed.
    pub(crate) fn paragraph(self, ink: Ink, lead: &str, text: &str, indent: usize) -> String {
        let wrapped = wrap(&format!("{lead}{text}"), self.width, indent);
        match wrapped.strip_prefix(lead.trim_end()) {
            Some(rest) => format!("{}{rest}\n", self.paint(ink, lead.trim_end())),
            None => format!("{wrapped}\n"),
        }
    }
}

/// The text with line feeds between words so that lines keep within the width where words allow it.
///
/// Spaces at the beginning stay, also before a long word; further lines are indented. A quantity stays in one
/// line: `11.6 ± 1.0%`, `27.46 fl oz/acre`.
pub(crate) fn wrap(text: &str, width: usize, indent: usize) -> String {
    let words = text.trim_start_matches(' ');
    let mut out = " ".repeat(text.len() - words.len());
    let mut column = out.len();
    for (n, word) in kept_together(words).into_iter().enumerate() {
        let word_width = word.width();
        if n > 0 && column + 1 + word_width > width {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            column = indent;
        } else if n > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += word_width;
    }
    out
}

/// The most words that a unit has: `imp fl oz`, and `ft2` behind a number below the stroke.
const WORDS_OF_A_UNIT: usize = 4;

/// The parts of a text between which a line may end: its words, and its quantities as one.
fn kept_together(text: &str) -> Vec<&str> {
    let words: Vec<&str> = text.split(' ').collect();
    let mut parts = Vec::with_capacity(words.len());
    let (mut at, mut start) = (0, 0);
    while at < words.len() {
        let mut last = at;
        while let Some(more) = words_of_the_same_quantity(words[last], &words[last + 1..]) {
            last += more;
        }
        let letters: usize = words[at..=last].iter().map(|word| word.len()).sum();
        let end = start + letters + (last - at);
        parts.push(&text[start..end]);
        (at, start) = (last + 1, end + 1);
    }
    parts
}

/// How many of the next words belong to the same quantity as a word; none where a line may end behind it.
fn words_of_the_same_quantity(word: &str, next: &[&str]) -> Option<usize> {
    if word == PLUS_MINUS || next.first() == Some(&PLUS_MINUS) {
        return (!next.is_empty()).then_some(1);
    }
    word.ends_with(|last: char| last.is_ascii_digit())
        .then(|| (1..=next.len().min(WORDS_OF_A_UNIT)).rev())?
        .find(|&n| is_unit(next[..n].join(" ").trim_end_matches(BEHIND_A_UNIT)))
}

const PLUS_MINUS: &str = "±";

/// What may stand behind a unit in a sentence.
const BEHIND_A_UNIT: [char; 6] = [',', ';', ':', '.', ')', ']'];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_ink_is_among_the_colors() {
        let inks = [
            Ink::Error,
            Ink::Warning,
            Ink::Note,
            Ink::Place,
            Ink::Caption,
        ];
        for ink in inks {
            // An ink that is not in the list does not compile here.
            match ink {
                Ink::Error | Ink::Warning | Ink::Note | Ink::Place | Ink::Caption => {}
            }
            assert!(COLORS.contains(&ink.sequence()), "{ink:?}");
        }
    }

    #[test]
    fn text_wraps_between_words() {
        let rows = [
            ("a b c", 80, 0, "a b c"),
            ("aaa bbb ccc", 7, 2, "aaa bbb\n  ccc"),
            ("  aaa bbb", 5, 4, "  aaa\n    bbb"),
            ("a-very-long-word b", 4, 2, "a-very-long-word\n  b"),
            ("漢字 漢字", 6, 0, "漢字\n漢字"),
            ("", 10, 2, ""),
            ("is 11.6 ± 1.0%, or", 10, 0, "is\n11.6 ± 1.0%,\nor"),
            ("at 27.46 fl oz/acre by", 12, 0, "at\n27.46 fl oz/acre\nby"),
            (
                "put 4 fl oz/1000 ft2. Then",
                20,
                0,
                "put\n4 fl oz/1000 ft2.\nThen",
            ),
            ("85.8 ±", 3, 0, "85.8 ±"),
            ("(85.8 ± 3 psi) ± x", 3, 0, "(85.8 ± 3 psi) ± x"),
            ("12 errors in 4", 5, 0, "12\nerrors\nin 4"),
        ];
        for (text, width, indent, wrapped) in rows {
            assert_eq!(wrap(text, width, indent), wrapped, "{text:?}");
        }
    }

    #[test]
    fn a_lead_that_wraps_loses_no_text() {
        let look = Look {
            color: true,
            width: 4,
        };
        let painted = look.paragraph(Ink::Caption, "aa bb: ", "cc", 2);
        assert_eq!(painted, "aa\n  bb:\n  cc\n");
    }
}

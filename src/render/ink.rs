//! The terminal's marks and colors, and text wrapped to its width.
//!
//! Knows no finding's content. A word always stands beside a mark or a color: neither tells anything alone.

use crate::diagnostic::Severity;
use unicode_width::UnicodeWidthStr;

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
/// Spaces at the beginning stay, also before a long word; further lines are indented.
pub(crate) fn wrap(text: &str, width: usize, indent: usize) -> String {
    let words = text.trim_start_matches(' ');
    let mut out = " ".repeat(text.len() - words.len());
    let mut column = out.len();
    for (n, word) in words.split(' ').enumerate() {
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

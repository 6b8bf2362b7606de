//! The lines of a file that labels point into, as one block that fits the width, with marks under the characters.
//!
//! Words nothing and paints nothing. The only module, with `drawing`, that knows how a line is cut.

use crate::render::clean::Cleaner;
use crate::render::location;
use crate::source::{Line, SourceFile, Span};
use crate::words::clean::is_invisible;
use std::iter;
use std::ops::Range;
use unicode_width::UnicodeWidthChar;

/// Lines longer than this are cut around their marks however wide the terminal is.
const LONGEST_LINE: usize = 200;

/// However narrow the terminal is, so many columns of a line are shown.
const SHORTEST_LINE: usize = 24;

/// Lines shown before and after a marked one.
const CONTEXT: usize = 1;

/// Columns of a tab stop.
pub(crate) const TAB: usize = 4;

/// Stands for what was cut out of a line.
const CUT: char = '…';

/// One place to mark: the part of it that lies in its first line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Mark {
    /// The line it is drawn under, one-based.
    pub(crate) line: usize,
    /// The bytes to mark, within the line's text.
    pub(crate) bytes: Range<usize>,
    /// The line in which the place ends, where that is a later one.
    pub(crate) down_to: Option<usize>,
}

/// Neighboring lines with marks, ready to draw.
#[derive(Debug)]
pub(crate) struct Excerpt {
    /// The one-based number of the first line.
    pub(crate) first_line: usize,
    /// The lines, cleaned and cut, each with a line feed.
    pub(crate) text: String,
    /// The bytes of `text` to mark, in the order of the marks given.
    pub(crate) marks: Vec<Range<usize>>,
}

impl Mark {
    /// The mark for a span.
    pub(crate) fn new(file: &SourceFile, span: Span) -> Self {
        let span = location::clamped(file, span);
        let line = location::within(file, span).line;
        let (text, text_start) = line_text(file, line);
        let within_line = |offset: usize| offset.saturating_sub(text_start).min(text.len());
        let marked = file.slice(span).trim_end();
        let n_breaks = marked.bytes().filter(|&byte| byte == b'\n').count();
        let end = if marked.is_empty() {
            span.end as usize
        } else {
            span.start as usize + marked.len()
        };
        let start = start_of_letter(text, within_line(span.start as usize));
        let line = line.0 as usize;
        Self {
            line,
            bytes: start..within_line(end).max(start),
            down_to: (n_breaks > 0).then_some(line + n_breaks),
        }
    }

    /// Whether a drawn line could hold only one of the two.
    fn collides_with(&self, other: &Self) -> bool {
        let end = |mark: &Self| mark.bytes.end.max(mark.bytes.start + 1);
        self.line == other.line && self.bytes.start < end(other) && other.bytes.start < end(self)
    }

    /// Whether the two can be drawn in one block without a gap.
    pub(crate) fn can_join(&self, others: &[Self]) -> bool {
        let is_near = |other: &Self| self.line.abs_diff(other.line) <= 2 * CONTEXT + 1;
        others.iter().any(is_near) && !others.iter().any(|other| self.collides_with(other))
    }
}

impl Excerpt {
    /// The lines around the marks, which are near each other, cut to so many columns.
    pub(crate) fn new(file: &SourceFile, marks: &[Mark], columns: usize) -> Self {
        let columns = columns.clamp(SHORTEST_LINE, LONGEST_LINE);
        let lines = marks.iter().map(|mark| mark.line);
        let first_line = lines
            .clone()
            .min()
            .unwrap_or(1)
            .saturating_sub(CONTEXT)
            .max(1);
        let last_line = (lines.max().unwrap_or(1) + CONTEXT).min(file.line_count());
        let mut excerpt = Self {
            first_line,
            text: String::new(),
            marks: vec![0..0; marks.len()],
        };
        for number in first_line..=last_line {
            let (text, _) = line_text(file, Line(u32::try_from(number).unwrap_or(u32::MAX)));
            let on_line: Vec<usize> = (0..marks.len())
                .filter(|&at| marks[at].line == number)
                .collect();
            let wanted: Vec<Range<usize>> =
                on_line.iter().map(|&at| marks[at].bytes.clone()).collect();
            let drawn = excerpt.push_line(text, &wanted, columns);
            for (at, bytes) in on_line.into_iter().zip(drawn) {
                excerpt.marks[at] = bytes;
            }
        }
        excerpt
    }

    /// How many columns of its line lie before the middle of a mark.
    pub(crate) fn columns_before(&self, mark: &Range<usize>) -> usize {
        let line_start = self.text[..mark.start].rfind('\n').map_or(0, |at| at + 1);
        let before = columns_of(&self.text[line_start..mark.start]);
        // Measured with what stands before: a tab is as wide as its place makes it.
        let to_end = columns_of(&self.text[line_start..mark.end]);
        usize::midpoint(before, to_end)
    }

    /// Adds a line and says where the wanted bytes came to stand.
    fn push_line(
        &mut self,
        text: &str,
        wanted: &[Range<usize>],
        columns: usize,
    ) -> Vec<Range<usize>> {
        let kept = kept_parts(text, wanted, columns);
        let mut drawn = vec![0..0; wanted.len()];
        let mut cleaner = Cleaner::default();
        let mut end_of_part = 0;
        for part in kept {
            if end_of_part < part.start {
                self.text.push(CUT);
            }
            for (at, letter) in text[part.clone()].char_indices() {
                self.note(part.start + at, wanted, &mut drawn);
                self.text.push(shown(&mut cleaner, letter));
            }
            self.note(part.end, wanted, &mut drawn);
            end_of_part = part.end;
        }
        if end_of_part < text.len() {
            self.text.push(CUT);
        }
        self.text.push('\n');
        drawn
    }

    /// Notes that the byte `at` of a line stands at the end of what was drawn so far.
    fn note(&self, at: usize, wanted: &[Range<usize>], drawn: &mut [Range<usize>]) {
        let here = self.text.len();
        for (wanted, drawn) in wanted.iter().zip(drawn) {
            if at == wanted.start {
                *drawn = here..here;
            }
            if wanted.start < at && at <= wanted.end {
                drawn.end = here;
            }
        }
    }
}

/// The text of a line without byte-order mark and line break, and the offset at which it begins.
fn line_text(file: &SourceFile, line: Line) -> (&str, usize) {
    let Some(span) = file.line_span(line) else {
        return ("", file.text().len());
    };
    let text = file.slice(span);
    let text = text.strip_suffix('\n').unwrap_or(text);
    let text = text.strip_suffix('\r').unwrap_or(text);
    let shown = text.strip_prefix('\u{feff}').unwrap_or(text);
    (shown, span.start as usize + text.len() - shown.len())
}

/// The offset, moved back from a combining mark to the character that it is drawn over.
fn start_of_letter(text: &str, offset: usize) -> usize {
    let is_drawn_over = text[offset..]
        .chars()
        .next()
        .is_some_and(|letter| most_columns(letter) == 0);
    let before = text[..offset].char_indices().rev();
    let base = before
        .filter(|&(_, letter)| most_columns(letter) > 0)
        .map(|(at, _)| at)
        .next();
    base.filter(|_| is_drawn_over).unwrap_or(offset)
}

/// A character as a line of an excerpt shows it; a tab stays and is drawn up to the next stop.
fn shown(cleaner: &mut Cleaner, letter: char) -> char {
    match letter {
        '\t' => {
            cleaner.next(' ');
            '\t'
        }
        // A no-break space where a space belongs is a fault that nobody could see.
        '\u{a0}' => '\u{2423}',
        letter => cleaner.next(letter),
    }
}

fn columns_of(text: &str) -> usize {
    text.chars().fold(0, |columns, letter| match letter {
        '\t' => columns + TAB - columns % TAB,
        letter => columns + letter.width().unwrap_or(0),
    })
}

/// The parts of a line to show in so many columns: all of it, or as much as fits around what is wanted.
///
/// Looks at no more of the line than could be shown, however long the line is.
fn kept_parts(text: &str, wanted: &[Range<usize>], columns: usize) -> Vec<Range<usize>> {
    if fits(text, columns) {
        return iter::once(0..text.len()).collect();
    }
    if wanted.is_empty() {
        return iter::once(0..end_of_columns(text, 0, columns - 1)).collect();
    }
    let share = (columns / wanted.len()).saturating_sub(2).max(1);
    let wanted: Vec<Range<usize>> = wanted
        .iter()
        .map(|bytes| bytes.start..bytes.end.min(end_of_columns(text, bytes.start, share)))
        .collect();
    let (mut fitting, mut too_wide) = (0, columns);
    while too_wide - fitting > 1 {
        let around = usize::midpoint(fitting, too_wide);
        if columns_shown(text, &widened(text, &wanted, around)) <= columns {
            fitting = around;
        } else {
            too_wide = around;
        }
    }
    widened(text, &wanted, fitting)
}

/// Whether a line has at most so many columns.
fn fits(text: &str, columns: usize) -> bool {
    end_of_columns(text, 0, columns) == text.len()
}

/// The wanted parts with so many columns before and after each, in order, merged where they meet.
fn widened(text: &str, wanted: &[Range<usize>], around: usize) -> Vec<Range<usize>> {
    let mut parts: Vec<Range<usize>> = wanted
        .iter()
        .map(|bytes| {
            start_of_columns(text, bytes.start, around)..end_of_columns(text, bytes.end, around)
        })
        .collect();
    parts.sort_by_key(|part| part.start);
    let mut merged: Vec<Range<usize>> = Vec::with_capacity(parts.len());
    for part in parts {
        match merged.last_mut() {
            Some(last) if part.start <= last.end => last.end = last.end.max(part.end),
            Some(_) | None => merged.push(part),
        }
    }
    merged
}

/// The columns that parts of a line take, with the signs for what was cut.
fn columns_shown(text: &str, parts: &[Range<usize>]) -> usize {
    let letters = |part: &Range<usize>| text[part.clone()].chars().map(most_columns).sum::<usize>();
    parts.iter().map(letters).sum::<usize>() + parts.len() + 1
}

/// The columns a character takes at most: a tab depends on where it stands.
fn most_columns(letter: char) -> usize {
    match letter {
        '\t' => TAB,
        // What is not shown as it is gets one column for its mark.
        letter if is_invisible(letter) => 1,
        letter => letter.width().unwrap_or(1),
    }
}

/// Characters looked at for a column: marks without a width of their own would go on for ever.
const CHARACTERS_FOR_A_COLUMN: usize = 4;

/// Where the text ends that takes at most so many columns from an offset on.
fn end_of_columns(text: &str, from: usize, columns: usize) -> usize {
    let mut left = columns;
    for (n, (at, letter)) in text[from..].char_indices().enumerate() {
        if n > CHARACTERS_FOR_A_COLUMN * columns {
            return from + at;
        }
        match left.checked_sub(most_columns(letter)) {
            Some(rest) => left = rest,
            None => return from + at,
        }
    }
    text.len()
}

/// Where the text begins that takes at most so many columns up to an offset.
///
/// Never at a combining mark: it belongs to the character before.
fn start_of_columns(text: &str, to: usize, columns: usize) -> usize {
    let (mut left, mut start) = (columns, to);
    for (at, letter) in text[..to]
        .char_indices()
        .rev()
        .take(CHARACTERS_FOR_A_COLUMN * columns)
    {
        match left.checked_sub(most_columns(letter)) {
            Some(rest) => left = rest,
            None => return start,
        }
        if most_columns(letter) > 0 {
            start = at;
        }
    }
    start
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The excerpt around `marked`, which must stand in the text once.
    fn excerpt(text: &str, marked: &str, columns: usize) -> (String, String) {
        let start = u32::try_from(text.find(marked).unwrap()).unwrap();
        let span = Span::new(start, start + u32::try_from(marked.len()).unwrap());
        let file = SourceFile::new("a", text);
        let excerpt = Excerpt::new(&file, &[Mark::new(&file, span)], columns);
        let marked = excerpt.text[excerpt.marks[0].clone()].to_owned();
        (excerpt.text, marked)
    }

    #[test]
    fn an_excerpt_has_a_line_of_context_on_either_side() {
        let rows = [
            ("a: 1\nb: 2\nc: 3\nd: 4\n", "2", "a: 1\nb: 2\nc: 3\n"),
            ("a: 1\r\nb: 2\r\n", "1", "a: 1\nb: 2\n"),
            ("\u{feff}a: 1", "1", "a: 1\n"),
            ("a:\t\u{a0}1\u{1b}", "1", "a:\t␣1␛\n"),
            ("a: ##[x] 1", "1", "a: ##�x] 1\n"),
        ];
        for (text, marked, shown) in rows {
            assert_eq!(
                excerpt(text, marked, 80),
                (shown.to_owned(), marked.to_owned()),
                "{text:?}"
            );
        }
    }

    #[test]
    fn a_long_line_is_cut_around_its_mark() {
        let long = format!("{}X{}", "a".repeat(300), "b".repeat(300));
        let (text, marked) = excerpt(&long, "X", 500);
        assert_eq!(marked, "X");
        assert_eq!(text.trim_end().chars().count(), 199);
        assert!(text.starts_with("…a") && text.ends_with("b…\n"));

        let wide = format!("{}X{}", "漢".repeat(300), "漢".repeat(300));
        let (text, _) = excerpt(&wide, "X", 60);
        assert!(columns_of(text.trim_end()) <= 60);
    }

    #[test]
    fn a_span_over_several_lines_is_marked_in_its_first() {
        let file = SourceFile::new("a", "a:\n  - 1\n  - 2\n\nb: 3\n");
        let mark = Mark::new(&file, Span::new(5, 16));
        assert_eq!(
            mark,
            Mark {
                line: 2,
                bytes: 2..5,
                down_to: Some(3)
            }
        );
    }

    #[test]
    fn the_end_of_a_file_is_marked_in_its_last_line() {
        for (text, end) in [("a: 1\n", 5), ("a: 1", 4), ("a: 1\r\n", 6)] {
            let file = SourceFile::new("a", text);
            let mark = Mark::new(&file, Span::new(end, end));
            assert_eq!(
                mark,
                Mark {
                    line: 1,
                    bytes: 4..4,
                    down_to: None
                },
                "{text:?}"
            );
        }
    }

    proptest! {
        #[test]
        fn a_mark_covers_what_the_span_covers(
            before in "(\\PC|\\pC|\t|\n|e\u{301}|漢){0,300}",
            after in "(\\PC|\\pC|\t|\n){0,300}",
            columns in 1_usize..400,
        ) {
            let text = format!("{before}needle{after}");
            let start = u32::try_from(before.len()).unwrap();
            let file = SourceFile::new("a", text);
            let excerpt = Excerpt::new(&file, &[Mark::new(&file, Span::new(start, start + 6))], columns);
            prop_assert_eq!(&excerpt.text[excerpt.marks[0].clone()], "needle");
            for line in excerpt.text.lines() {
                prop_assert!(columns_of(line) <= columns.clamp(SHORTEST_LINE, LONGEST_LINE));
            }
        }
    }
}

//! A file's text, its line index, byte spans and one-based places.
//!
//! Knows nothing of YAML, records or findings; reads no file.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::{Arc, OnceLock};

/// The number of a file in the sorted list of the records' tree.
///
/// Order of ids is order of paths, so sorting by id sorts by path.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FileId(pub u32);

/// A half-open range of bytes, on character boundaries of its text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Span {
    /// The first byte.
    pub start: u32,
    /// One past the last byte; never before `start`.
    pub end: u32,
}

impl Span {
    /// The span from `start` to one before `end`.
    pub const fn new(start: u32, end: u32) -> Self {
        Self { start, end }
    }

    /// The span as a range that slices a text.
    pub const fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }

    /// Its length in bytes.
    pub const fn len(self) -> usize {
        (self.end - self.start) as usize
    }

    /// Whether it covers no byte.
    pub const fn is_empty(self) -> bool {
        self.start == self.end
    }

    /// Whether `other` lies within this span.
    pub const fn contains(self, other: Self) -> bool {
        self.start <= other.start && other.end <= self.end
    }
}

/// A span in a file of the checked tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The file.
    pub file: FileId,
    /// The bytes.
    pub span: Span,
}

/// A value with the bytes it was read from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spanned<T> {
    /// What was read.
    pub value: T,
    /// Where it stands in its file.
    pub span: Span,
}

/// A value with the file and the bytes it was read from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placed<T> {
    /// What was read.
    pub value: T,
    /// Where it stands.
    pub place: Place,
}

impl<T> Spanned<T> {
    /// The same with the file it stands in.
    pub fn in_file(self, file: FileId) -> Placed<T> {
        Placed {
            value: self.value,
            place: Place {
                file,
                span: self.span,
            },
        }
    }
}

/// A one-based line number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Line(pub u32);

/// A one-based column, counted in characters; a byte-order mark counts for none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Column(pub u32);

/// What columns are counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PositionIn {
    /// Bytes of UTF-8.
    Bytes,
    /// Characters.
    Characters,
    /// Units of UTF-16, as the Language Server Protocol counts where nothing else is agreed.
    Utf16,
}

/// A place in a text as others count it: both from zero, and a byte-order mark counts as a character.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// The line, from 0.
    pub line: u32,
    /// The column, from 0, in what was asked for.
    pub column: u32,
}

/// A file's path and text; the line index is built when first asked for.
#[derive(Debug)]
pub struct SourceFile {
    path: Box<str>,
    text: Box<str>,
    line_starts: OnceLock<Box<[u32]>>,
    letters_before: OnceLock<Box<[u32]>>,
}

impl SourceFile {
    /// A file with its path relative to the records' root, parts divided by `/`.
    pub fn new(path: impl Into<Box<str>>, text: impl Into<Box<str>>) -> Self {
        Self {
            path: path.into(),
            text: text.into(),
            line_starts: OnceLock::new(),
            letters_before: OnceLock::new(),
        }
    }

    /// The path relative to the records' root, parts divided by `/`.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The whole text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text a span covers.
    pub fn slice(&self, span: Span) -> &str {
        &self.text[span.range()]
    }

    /// How many lines the text has; a final line feed begins no further line.
    pub fn line_count(&self) -> usize {
        let starts = self.line_starts();
        let last_is_empty = starts
            .last()
            .is_some_and(|&start| start as usize == self.text.len());
        (starts.len() - usize::from(last_is_empty && starts.len() > 1)).max(1)
    }

    /// Line and column of a byte offset, which must be a character boundary within the text.
    pub fn position(&self, offset: u32) -> (Line, Column) {
        let starts = self.line_starts();
        let line = starts.partition_point(|&start| start <= offset);
        let start = starts[line - 1] as usize;
        let mark = self.text[start..offset as usize].starts_with('\u{feff}');
        let before = self.letters_before(offset as usize) - self.letters_before(start);
        (
            Line(as_u32(line)),
            Column(as_u32(before - usize::from(mark) + 1)),
        )
    }

    /// Line and column of a byte offset, counted from zero; none where it is no boundary of a character of this text.
    pub fn position_in(&self, offset: u32, counted_in: PositionIn) -> Option<Position> {
        if !self.text.is_char_boundary(offset as usize) {
            return None;
        }
        let starts = self.line_starts();
        let line = starts.partition_point(|&start| start <= offset);
        let start = starts[line - 1] as usize;
        let before = &self.text[start..offset as usize];
        let column = match counted_in {
            PositionIn::Bytes => before.len(),
            PositionIn::Characters => {
                self.letters_before(offset as usize) - self.letters_before(start)
            }
            PositionIn::Utf16 => before.encode_utf16().count(),
        };
        Some(Position {
            line: as_u32(line - 1),
            column: as_u32(column),
        })
    }

    /// How many characters begin before a byte; counted once every so often, as a line may be very long.
    fn letters_before(&self, offset: usize) -> usize {
        /// The bytes from one count to the next.
        const STRIDE: usize = 1024;
        let counts = self.letters_before.get_or_init(|| {
            let mut count = 0;
            let chunks = self.text.as_bytes().chunks(STRIDE);
            let up_to = chunks.map(|chunk| {
                count += letters_in(chunk);
                as_u32(count)
            });
            std::iter::once(0).chain(up_to).collect()
        });
        let counted = offset / STRIDE;
        counts[counted] as usize + letters_in(&self.text.as_bytes()[counted * STRIDE..offset])
    }

    /// The bytes of a line with its line break; `None` past the last line.
    pub fn line_span(&self, line: Line) -> Option<Span> {
        let starts = self.line_starts();
        let start = *starts.get((line.0 as usize).checked_sub(1)?)?;
        let end = starts
            .get(line.0 as usize)
            .copied()
            .unwrap_or(as_u32(self.text.len()));
        Some(Span::new(start, end))
    }

    fn line_starts(&self) -> &[u32] {
        self.line_starts.get_or_init(|| {
            std::iter::once(0)
                .chain(
                    self.text
                        .bytes()
                        .enumerate()
                        .filter(|&(_, byte)| byte == b'\n')
                        .map(|(at, _)| as_u32(at + 1)),
                )
                .collect()
        })
    }
}

/// The largest text read, in bytes: the longest records of real groups have a hundredth of it.
pub const LARGEST_TEXT: usize = 1024 * 1024;

/// Why a longer text is not read, as a fragment; no record and no rule needs one.
pub fn too_large() -> String {
    format!("larger than the limit of {} MB", LARGEST_TEXT >> 20)
}

/// How many characters begin in these bytes of a text.
fn letters_in(bytes: &[u8]) -> usize {
    let begins = bytes
        .iter()
        .filter(|&&byte| byte & 0b1100_0000 != 0b1000_0000);
    begins.count()
}

fn as_u32(n: usize) -> u32 {
    u32::try_from(n).expect("texts above LARGEST_TEXT are refused before they become a source")
}

/// The files whose text is kept because a label points into them.
#[derive(Debug, Default, Clone)]
pub struct Sources {
    files: BTreeMap<FileId, Arc<SourceFile>>,
}

impl Sources {
    /// Keeps a file.
    pub fn keep(&mut self, id: FileId, file: Arc<SourceFile>) {
        self.files.insert(id, file);
    }

    /// The file, where it is kept.
    pub fn get(&self, id: FileId) -> Option<&Arc<SourceFile>> {
        self.files.get(&id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_count_characters_and_hide_the_byte_order_mark() {
        let file = SourceFile::new("a", "\u{feff}é: 1\r\nb: °2\n");
        assert_eq!(file.position(3), (Line(1), Column(1)));
        assert_eq!(file.position(5), (Line(1), Column(2)));
        let two = u32::try_from(file.text().find('2').unwrap()).unwrap();
        assert_eq!(file.position(two), (Line(2), Column(5)));
        assert_eq!(file.line_count(), 2);
        assert_eq!(file.slice(file.line_span(Line(2)).unwrap()), "b: °2\n");
    }

    #[test]
    fn columns_are_counted_as_is_asked_for() {
        let file = SourceFile::new("a", "x: 1\né: 𝄞 ° 2\n");
        let two = u32::try_from(file.text().find('2').unwrap()).unwrap();
        for (counted_in, column) in [
            (PositionIn::Bytes, 12),
            (PositionIn::Characters, 7),
            (PositionIn::Utf16, 8),
        ] {
            let position = file.position_in(two, counted_in);
            assert_eq!(
                position,
                Some(Position { line: 1, column }),
                "{counted_in:?}"
            );
        }
    }

    #[test]
    fn columns_are_counted_far_into_a_long_line() {
        let text = format!("\u{feff}{}\n{}", "é".repeat(3_000), "a°".repeat(3_000));
        let file = SourceFile::new("a", text.as_str());
        let boundaries = (0..=text.len()).filter(|&at| text.is_char_boundary(at));
        let (mut line, mut column) = (1, 0);
        for (at, letter) in boundaries.zip(text.chars().map(Some).chain([None])) {
            column += u32::from(at != "\u{feff}".len());
            let offset = u32::try_from(at).unwrap();
            assert_eq!(file.position(offset), (Line(line), Column(column)));
            if letter == Some('\n') {
                (line, column) = (line + 1, 0);
            }
        }
    }

    #[test]
    fn an_empty_text_has_one_line() {
        let file = SourceFile::new("a", "");
        assert_eq!(
            (file.line_count(), file.position(0)),
            (1, (Line(1), Column(1)))
        );
    }
}

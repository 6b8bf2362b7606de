//! The plain dialect that records are written in, read straight into the tree.
//!
//! Knows keys and lists by indentation, lists and mappings in brackets on one line, texts on one line with quotes or
//! without, and comments. Anything else, and anything in the least doubtful, is left to the library: a text is read here
//! only if the library reads it without a fault and into the very same tree, as a test with broken texts holds. So it
//! names no fault, and must never be widened by a guess.

use super::bounds::offset;
use super::keys;
use super::tree::{Content, Item, Kept, Tree, Typed, Written};
use crate::source::{LARGEST_TEXT, Span};

/// So deep are records at most, and a good deal more; what is deeper is left to the library.
const DEEPEST: usize = 16;

/// A key that is longer is left to the library, which has a bound for them.
const LONGEST_KEY: usize = 256;

/// The tree of a text in the plain dialect; none for any other.
pub(super) fn read(source: &str) -> Option<Tree<'_>> {
    if source.len() > LARGEST_TEXT || !source.chars().all(is_ordinary) {
        return None;
    }
    let mut reader = Reader {
        bytes: source.as_bytes(),
        at: 0,
        line: 0,
        end: 0,
        depth: 0,
        tree: Tree {
            source,
            // A record has about one node for nine bytes.
            items: Vec::with_capacity(source.len() / 8),
            unescaped: String::new(),
            documents: vec![Some(0)],
        },
        keys: Vec::new(),
    };
    (reader.next_line()? == 0).then_some(())?;
    reader.mapping(0)?;
    reader.next_line().is_none().then_some(reader.tree)
}

/// Whether a character can stand for nothing but itself: no tab, no other line break, no mark of the byte order.
fn is_ordinary(character: char) -> bool {
    matches!(
        character,
        '\n' | ' '..='~' | '\u{a1}'..='\u{1fff}' | '\u{2030}'..='\u{d7ff}' | '\u{10000}'..
    )
}

/// Whether a text without quotes may begin so.
fn begins_text(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || byte == b'.'
}

struct Reader<'s> {
    bytes: &'s [u8],
    /// The first byte not yet taken in.
    at: usize,
    /// Where its line begins.
    line: usize,
    /// Where the last node ends that is complete.
    end: usize,
    /// How many collections are open.
    depth: usize,
    tree: Tree<'s>,
    /// Room for [`keys::check`] to work in.
    keys: Vec<u32>,
}

impl Reader<'_> {
    /// A mapping whose keys begin at `column`, from its first key on.
    fn mapping(&mut self, column: usize) -> Option<()> {
        let mapping = self.open(Content::Mapping { len: 0, after: 0 })?;
        let mut len = 0;
        // A line at another column ends it; whether any collection begins there is for those around it to see.
        while len == 0 || self.next_line() == Some(column) {
            self.key()?;
            self.value(column)?;
            len += 1;
        }
        self.close(mapping, |after| Content::Mapping { len, after })
    }

    /// A list whose dashes stand at `column`, from its first dash on.
    fn sequence(&mut self, column: usize) -> Option<()> {
        let sequence = self.open(Content::Sequence { len: 0, after: 0 })?;
        let mut len = 0;
        while len == 0 || (self.next_line() == Some(column) && self.byte() == b'-') {
            self.item(column)?;
            len += 1;
        }
        self.close(sequence, |after| Content::Sequence { len, after })
    }

    /// An item with its dash: keys, or a value that ends on its line.
    fn item(&mut self, column: usize) -> Option<()> {
        let dash = self.at;
        self.at += 1;
        (self.byte() == b' ').then_some(())?;
        self.skip_spaces();
        if self.is_key() {
            return self.mapping(column + self.at - dash);
        }
        self.value_on_line()
    }

    /// The value of a key in a mapping at `column`, from behind its colon on.
    fn value(&mut self, column: usize) -> Option<()> {
        self.skip_spaces();
        if !self.is_line_done() {
            return self.value_on_line();
        }
        match self.next_line()? {
            next if next == column && self.byte() == b'-' => self.sequence(next),
            next if next > column && self.byte() == b'-' => self.sequence(next),
            next if next > column => self.mapping(next),
            _ => None,
        }
    }

    /// A value that ends on its line, with nothing behind it but a comment.
    fn value_on_line(&mut self) -> Option<()> {
        match self.byte() {
            b'[' | b'{' => self.in_brackets()?,
            b'"' | b'\'' => self.quoted()?,
            byte if begins_text(byte) => self.text(b"")?,
            _ => return None,
        }
        let end = self.at;
        self.skip_spaces();
        let is_separate = self.at > end || self.byte() != b'#';
        (self.is_line_done() && is_separate).then_some(())
    }

    /// A list or mapping in brackets, on one line.
    fn in_brackets(&mut self) -> Option<()> {
        let is_mapping = self.byte() == b'{';
        let (collection, close) = if is_mapping {
            (self.open(Content::Mapping { len: 0, after: 0 })?, b'}')
        } else {
            (self.open(Content::Sequence { len: 0, after: 0 })?, b']')
        };
        self.at += 1;
        self.skip_spaces();
        let mut len = 0;
        while self.byte() != close {
            if len > 0 {
                (self.byte() == b',').then_some(())?;
                self.at += 1;
                self.skip_spaces();
            }
            if is_mapping {
                self.key()?;
                self.skip_spaces();
            }
            match self.byte() {
                b'[' | b'{' => self.in_brackets()?,
                b'"' | b'\'' => self.quoted()?,
                byte if begins_text(byte) => self.text(b",[]{}")?,
                _ => return None,
            }
            self.skip_spaces();
            len += 1;
        }
        self.at += 1;
        self.end = self.at;
        self.close(collection, |after| {
            if is_mapping {
                Content::Mapping { len, after }
            } else {
                Content::Sequence { len, after }
            }
        })
    }

    /// A key and the colon behind it, with a space or the line's end behind that.
    fn key(&mut self) -> Option<()> {
        let len = self.key_len()?;
        self.push_text(self.at, self.at + len, Written::Plain);
        self.at += len + 1;
        matches!(self.byte(), b' ' | b'\n').then_some(())
    }

    fn is_key(&self) -> bool {
        let is_colon = |len| matches!(self.bytes.get(self.at + len + 1), Some(b' ' | b'\n'));
        self.key_len().is_some_and(is_colon)
    }

    /// The length of the word that stands here with a colon right behind it.
    fn key_len(&self) -> Option<usize> {
        let rest = &self.bytes[self.at..];
        let is_of_word = |byte: &&u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_');
        let len = rest.iter().take_while(is_of_word).count();
        let is_key = (1..LONGEST_KEY).contains(&len)
            && rest[0].is_ascii_alphanumeric()
            && rest.get(len) == Some(&b':');
        is_key.then_some(len)
    }

    /// A text in quotes, on one line and without anything to undo in it.
    fn quoted(&mut self) -> Option<()> {
        let quote = self.byte();
        let text = self.at + 1;
        let rest = &self.bytes[text..];
        let len = rest.iter().position(|&byte| byte == quote)?;
        let is_as_written = |byte: &u8| !matches!(byte, b'\n' | b'\\');
        rest[..len].iter().all(is_as_written).then_some(())?;
        self.push_text(text, text + len, Written::Quoted);
        self.at = text + len + 1;
        Some(())
    }

    /// A text without quotes, up to the line's end, a comment, or one of the `ends`; spaces behind it are no part of it.
    fn text(&mut self, ends: &[u8]) -> Option<()> {
        let start = self.at;
        let mut end = start;
        while !matches!(self.byte(), b'\n') && !ends.contains(&self.byte()) {
            match self.byte() {
                b' ' => {}
                b'#' if end < self.at => break,
                // Within a word as in `10:30` it is a letter like others; else it would make a key of what stands before.
                b':' if !self
                    .bytes
                    .get(self.at + 1)
                    .is_some_and(u8::is_ascii_alphanumeric) =>
                {
                    return None;
                }
                _ => end = self.at + 1,
            }
            self.at += 1;
        }
        self.push_text(start, end, Written::Plain);
        self.at = end;
        Some(())
    }

    fn push_text(&mut self, start: usize, end: usize, written: Written) {
        let text = Span::new(offset(start), offset(end));
        let (span, typed) = match written {
            Written::Plain => (text, Typed::Core),
            Written::Quoted => (Span::new(text.start - 1, text.end + 1), Typed::Text),
        };
        let content = Content::Scalar {
            text,
            kept: Kept::Source,
            written,
            typed,
        };
        self.end = span.range().end;
        self.tree.items.push(Item { span, content });
    }

    fn open(&mut self, content: Content) -> Option<usize> {
        self.depth += 1;
        (self.depth <= DEEPEST).then_some(())?;
        let start = offset(self.at);
        let span = Span::new(start, start);
        self.tree.items.push(Item { span, content });
        Some(self.tree.items.len() - 1)
    }

    /// A collection ends with its last node; keys must be what the library would not complain about either.
    fn close(&mut self, opened: usize, content: impl FnOnce(u32) -> Content) -> Option<()> {
        self.depth -= 1;
        let after = offset(self.tree.items.len());
        let item = &mut self.tree.items[opened];
        item.span.end = offset(self.end);
        item.content = content(after);
        let mut is_faulty = false;
        keys::check(&self.tree, offset(opened), &mut self.keys, |_| {
            is_faulty = true;
        });
        (!is_faulty).then_some(())
    }

    /// Goes on to the next line that is neither blank nor a comment alone, and gives its column.
    ///
    /// Stays where such a line begins that was not yet taken in.
    fn next_line(&mut self) -> Option<usize> {
        loop {
            self.skip_spaces();
            match self.byte() {
                b'#' => self.skip_line(),
                b'\n' if self.at < self.bytes.len() => {
                    self.at += 1;
                    self.line = self.at;
                }
                b'\n' => return None,
                _ => return Some(self.at - self.line),
            }
        }
    }

    /// Whether nothing but a comment stands before the line's end.
    fn is_line_done(&self) -> bool {
        matches!(self.byte(), b'\n' | b'#')
    }

    fn skip_line(&mut self) {
        while self.byte() != b'\n' {
            self.at += 1;
        }
    }

    fn skip_spaces(&mut self) {
        while self.byte() == b' ' {
            self.at += 1;
        }
    }

    /// The next byte; the end of the text is the end of a line.
    fn byte(&self) -> u8 {
        self.bytes.get(self.at).copied().unwrap_or(b'\n')
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::FileId;
    use crate::yaml::build;
    use proptest::prelude::*;
    use proptest::sample::{Index, select};

    /// Texts that come near every turn of the reader, to be broken.
    const TEXTS: [&str; 6] = [
        "record: calibration\nmachine: heron   # the bird\ndate: 2026-03-09\n\npreparation: {rinsed: true, gear: [gloves, eye protection]}\n",
        "a:\n  - b: 36 psi\n    c: 30 s\n    d:              # note\n      e: [36.5, [36.0, 36.5], missed]\n      f: []\n  - {b: 1, c: {3: 36.5}}   # again\nz: 34.5 psi",
        "boom:\n  spacing: 20 in\n  sections:\n    # left to right\n    - {name: far-left, nozzles: 3}\n\n    - {name: left, nozzles: 3}\nsetups:\n  greens: {nozzle: {size: \"08\"}, rate: 2 gal/1000 ft2}\n",
        "list:\n- one\n- 'two'\n- x: 1\n  y: 10:30\n- [1]\nlast: \"text with: # all\"\n",
        "°: 1\na: 14 °C # °\nb: {w: 'ü, ü', x: ''}\nc: {}\n",
        "deep:\n  deeper:\n    deepest:\n      - - 1\n    b: 2\n  c:\n    d: 3\ne: 4\n",
    ];

    const SCRAPS: [&str; 44] = [
        ":", ": ", " :", "-", "- ", "\n- ", "#", " #", " # c", "[", "]", "{", "}", ",", ", ", "'",
        "\"", "\\", " ", "  ", "\n", "\n\n", "\n  ", "\t", "\r\n", "|", ">", "&a ", "*a", "!!str ",
        "? ", "---", "\n---\n", "\n...\n", "%", "@", "~", "<<: ", "a: 1\n", "é", "\u{a0}",
        "\u{2028}", "\u{feff}", "\u{7}",
    ];

    /// The reader may leave any text to the library, but must not see in one what the library does not.
    fn assert_reads_as_the_library(text: &str) {
        let Some(tree) = read(text) else { return };
        let parsed = build::build(FileId(0), text);
        assert!(
            parsed.problems.is_empty(),
            "{text:?}: {:?}",
            parsed.problems
        );
        assert_eq!(tree.items, parsed.tree.items, "{text:?}");
        assert_eq!(tree.documents, parsed.tree.documents, "{text:?}");
    }

    #[derive(Clone, Debug)]
    enum Edit {
        Insert(Index, &'static str),
        DropCharacter(Index),
        DropLine(Index),
        RepeatLine(Index, Index),
        IndentLine(Index),
        OutdentLine(Index),
        CutBehind(Index),
    }

    fn edit() -> impl Strategy<Value = Edit> {
        prop_oneof![
            4 => (any::<Index>(), select(&SCRAPS[..])).prop_map(|(at, scrap)| Edit::Insert(at, scrap)),
            2 => any::<Index>().prop_map(Edit::DropCharacter),
            1 => any::<Index>().prop_map(Edit::DropLine),
            1 => (any::<Index>(), any::<Index>()).prop_map(|(from, to)| Edit::RepeatLine(from, to)),
            1 => any::<Index>().prop_map(Edit::IndentLine),
            1 => any::<Index>().prop_map(Edit::OutdentLine),
            1 => any::<Index>().prop_map(Edit::CutBehind),
        ]
    }

    fn edited(text: &str, edit: &Edit) -> String {
        let mut characters: Vec<char> = text.chars().collect();
        let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_owned).collect();
        if characters.is_empty() {
            return String::new();
        }
        let (n_characters, n_lines) = (characters.len(), lines.len());
        match *edit {
            Edit::Insert(at, scrap) => {
                let at = at.index(n_characters + 1);
                characters.splice(at..at, scrap.chars());
                return characters.into_iter().collect();
            }
            Edit::DropCharacter(at) => {
                characters.remove(at.index(n_characters));
                return characters.into_iter().collect();
            }
            Edit::CutBehind(at) => return characters[..at.index(n_characters)].iter().collect(),
            Edit::DropLine(at) => drop(lines.remove(at.index(n_lines))),
            Edit::RepeatLine(from, to) => {
                let line = lines[from.index(n_lines)].clone();
                lines.insert(to.index(n_lines), line);
            }
            Edit::IndentLine(at) => lines[at.index(n_lines)].insert(0, ' '),
            Edit::OutdentLine(at) => {
                let line = &mut lines[at.index(n_lines)];
                *line = line.strip_prefix(' ').unwrap_or(line).to_owned();
            }
        }
        lines.concat()
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 4_000, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn broken_texts_are_read_as_by_the_library_or_left_to_it(
            text in select(&TEXTS[..]),
            edits in proptest::collection::vec(edit(), 0..5),
        ) {
            assert_reads_as_the_library(&edits.iter().fold(text.to_owned(), |text, edit| edited(&text, edit)));
        }

        #[test]
        fn texts_of_any_such_characters_are_read_as_by_the_library_or_left_to_it(
            text in r#"(a: ?|a:\n ?|- )?[ab1:\-\[\]{},#'". \n]{0,24}"#,
        ) {
            assert_reads_as_the_library(&text);
        }

        #[test]
        fn texts_of_short_words_are_read_as_by_the_library_or_left_to_it(
            words in proptest::collection::vec(select(&[
                "a: ", "b:", "c: 1", "- ", "-", "\n", "\n", "\n  ", "\n    ", "\n ", "[", "]", "{", "}", ", ", "x", "1.5 psi", " # c", "'q'", "\"r\"", "#",
            ][..]), 0..16),
        ) {
            assert_reads_as_the_library(&words.concat());
        }
    }

    #[test]
    fn records_as_people_write_them_need_no_library() {
        for text in &TEXTS[..4] {
            assert!(read(text).is_some(), "{text}");
        }
    }
}

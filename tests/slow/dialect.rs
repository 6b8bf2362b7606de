//! The reader of the plain dialect against the YAML library: whatever it accepts has the very same tree, and no fault.
//!
//! Seeded, so that every run is the same; `DIALECT_ROUNDS=100` makes it a hundred times as long, with other seeds.
#![expect(
    clippy::disallowed_methods,
    reason = "tests read fixtures, and how long to go on"
)]

use crate::generator::{Size, generate};
use std::fs;
use std::path::{Path, PathBuf};
use swathlint::source::FileId;
use swathlint::yaml;

/// Whether the reader accepts a text; if so, all that can be asked of it must be as by the library.
fn accepts(text: &str) -> bool {
    let Some(tree) = yaml::read_plain(text) else {
        return false;
    };
    let library = yaml::parse_by_library(FileId(0), text);
    assert!(
        library.problems.is_empty(),
        "accepted, but the library finds {:?}:\n{text}",
        library.problems
    );
    assert_eq!(tree, library.tree, "{text}");
    let differently = |root| yaml::read_differently(FileId(0), root, &[]);
    assert_eq!(
        tree.root().map(differently),
        library.tree.root().map(differently),
        "{text}"
    );
    true
}

/// How many times as long as usual to go on.
fn rounds() -> u64 {
    let asked = std::env::var("DIALECT_ROUNDS").ok();
    asked.map_or(1, |rounds| rounds.parse().expect("a number of rounds"))
}

/// Every text under a folder that has a name like a record's.
fn texts_under(folder: &Path, texts: &mut Vec<String>) {
    let mut entries: Vec<_> = fs::read_dir(folder).unwrap().map(Result::unwrap).collect();
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let path = entry.path();
        if path.is_dir() {
            texts_under(&path, texts);
        } else if path
            .extension()
            .is_some_and(|ending| ending == "yaml" || ending == "yml")
        {
            texts.push(String::from_utf8_lossy(&fs::read(&path).unwrap()).into_owned());
        }
    }
}

fn under(folder: &str) -> Vec<String> {
    let mut texts = Vec::new();
    texts_under(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join(folder),
        &mut texts,
    );
    assert!(!texts.is_empty(), "{folder}");
    texts
}

fn generated() -> Vec<String> {
    let size = Size {
        calibrations: 200,
        applications: 1,
        service_after: 5,
        machines: 10,
        faulty: 10,
        seed: 3,
    };
    let mut texts = Vec::new();
    generate(&size, |_, text| texts.push(text.to_owned()));
    texts
}

/// What the documents show as records.
fn shown() -> Vec<String> {
    let mut texts = Vec::new();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let pages = fs::read_dir(root.join("docs")).unwrap();
    let mut documents: Vec<PathBuf> = pages.map(|page| page.unwrap().path()).collect();
    documents.sort();
    documents.extend(["README.md", "DEVELOPERS.md"].map(|page| root.join(page)));
    for document in documents {
        let text = fs::read_to_string(document).unwrap();
        let blocks = text.split("```yaml\n").skip(1);
        texts.extend(blocks.map(|block| block.split("```").next().unwrap().to_owned()));
    }
    assert!(!texts.is_empty());
    texts
}

fn share_accepted(texts: &[String]) -> f64 {
    let accepted = texts.iter().filter(|text| accepts(text)).count();
    let count = |count: usize| f64::from(u32::try_from(count).unwrap());
    count(accepted) / count(texts.len())
}

#[test]
fn records_are_read_as_by_the_library_and_nearly_all_without_it() {
    for (texts, least) in [
        (generated(), 1.0),
        (under("fixtures/records"), 1.0),
        (under("fixtures/saltmere"), 0.95),
        (under("fixtures"), 0.55),
        (shown(), 0.5),
    ] {
        let share = share_accepted(&texts);
        assert!(least <= share, "{share} of {}", texts[0]);
    }
}

/// A xorshift generator (Journal of Statistical Software 8 (2003) 14), seeded.
struct Random(u64);

impl Random {
    fn new(seed: u64) -> Self {
        let mut random = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
        (0..8).for_each(|_| _ = random.next());
        random
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, end: usize) -> usize {
        usize::try_from((self.next() >> 16) % u64::try_from(end.max(1)).unwrap()).unwrap()
    }

    fn one_of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len())]
    }

    /// Whether something happens that does so once in `times`.
    fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }
}

/// What means something to a reader of YAML, or looks as if it did.
const SCRAPS: &[&str] = &[
    ":",
    ": ",
    " :",
    ":\n",
    "::",
    "a:b",
    "a: ",
    "-",
    "- ",
    "- - ",
    "\n- ",
    "--",
    "---",
    "\n---\n",
    "--- ",
    "\n...\n",
    "...",
    "#",
    " #",
    "# ",
    " # c",
    "[",
    "]",
    "{",
    "}",
    "[]",
    "{}",
    ",",
    ", ",
    ",,",
    "'",
    "\"",
    "''",
    "\"\"",
    "\\",
    "\\n",
    "\\\"",
    " ",
    "  ",
    "   ",
    "\n",
    "\n\n",
    "\n ",
    "\n  ",
    "\n    ",
    "\t",
    "\n\t",
    " \t",
    "\r",
    "\r\n",
    "|",
    ">",
    "|-",
    ">+2",
    " |\n",
    "&a ",
    "&a",
    "*a",
    "*",
    "&",
    "!!str ",
    "!x ",
    "!",
    "?",
    "? ",
    "\n? ",
    "%",
    "\n%YAML 1.2\n",
    "@",
    "`",
    "~",
    "null",
    "true",
    "no",
    "0x1F",
    "1_000",
    ".5",
    "..",
    ".inf",
    "<<",
    "<<: ",
    "<<: *a\n",
    "=",
    "a: 1\n",
    "machine: x\n",
    "é",
    "°",
    "漢字",
    "🚜",
    "\u{a0}",
    "\u{ad}",
    "\u{85}",
    "\u{2028}",
    "\u{2029}",
    "\u{200b}",
    "\u{200e}",
    "\u{3000}",
    "\u{feff}",
    "\u{fffd}",
    "\u{fffe}",
    "\u{10ffff}",
    "\u{1fffe}",
    "\u{e000}",
    "\u{0}",
    "\u{7}",
    "\u{7f}",
    "\u{301}",
];

/// A text with one thing done to it that people, editors and tools do, or nobody does.
fn mutated(text: &str, random: &mut Random) -> String {
    let at = |random: &mut Random| text.floor_char_boundary(random.below(text.len() + 1));
    let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_owned).collect();
    let line = random.below(lines.len());
    match random.below(20) {
        // A byte flipped, as far as the text stays one.
        0 | 1 => {
            let mut bytes = text.as_bytes().to_vec();
            let at = random.below(bytes.len());
            if let Some(byte) = bytes.get_mut(at) {
                *byte ^= 1 << random.below(8);
            }
            return String::from_utf8_lossy(&bytes).into_owned();
        }
        2..=8 => {
            let at = at(random);
            return [&text[..at], random.one_of(SCRAPS), &text[at..]].concat();
        }
        // A scrap where it is likeliest to mean something: beside a mark that does.
        9 | 10 => {
            let marks: Vec<usize> = text
                .match_indices([':', '-', ',', '[', '{', '}', ']', '#', '"', '\'', '\n'])
                .map(|(at, _)| at)
                .collect();
            if marks.is_empty() {
                return text.to_owned();
            }
            let at = random.one_of(&marks) + random.below(2);
            return [&text[..at], random.one_of(SCRAPS), &text[at..]].concat();
        }
        11 => {
            let (from, to) = (at(random), at(random));
            let (from, to) = (from.min(to), from.max(to).min(text.len()));
            let to = if to - from > 12 {
                text.floor_char_boundary(from + random.below(12)).max(from)
            } else {
                to
            };
            return [&text[..from], &text[to..]].concat();
        }
        12 => return text[..at(random)].to_owned(),
        13 => {
            return text.replace(
                '\n',
                random.one_of(&["\r\n", "\r", "\n\n", " \n", "\n ", "\u{2028}"]),
            );
        }
        14 => {
            return text.replacen(
                random.one_of(&[": ", "- ", ", ", " "]),
                random.one_of(SCRAPS),
                1 + random.below(2),
            );
        }
        _ if lines.is_empty() => {}
        15 => {
            let by = random.below(5);
            lines[line].insert_str(0, &" ".repeat(by));
        }
        16 => {
            let spaces = lines[line].len() - lines[line].trim_start_matches(' ').len();
            lines[line] = lines[line][random.below(spaces + 1)..].to_owned();
        }
        17 => {
            let moved = lines.remove(line);
            if random.once_in(2) {
                let to = random.below(lines.len() + 1);
                lines.insert(to, moved);
            }
        }
        18 => {
            let copy = lines[line].clone();
            let to = random.below(lines.len() + 1);
            lines.insert(to, copy);
        }
        _ => {
            let long =
                "x".repeat(random.one_of(&[200, 254, 255, 256, 257, 1023, 1024, 1025, 3000]));
            let joined = lines[line].trim_end_matches('\n').to_owned();
            lines[line] = match random.below(4) {
                0 => joined,
                1 => joined + " ",
                2 => format!("{long}{}", lines[line]),
                _ => format!("{joined}{long}\n"),
            };
        }
    }
    lines.concat()
}

/// A few lines of a text, moved to the left as far as they go.
fn excerpt(text: &str, random: &mut Random) -> String {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let from = random.below(lines.len());
    let to = (from + 1 + random.below(7)).min(lines.len());
    let indent = |line: &str| line.len() - line.trim_start_matches(' ').len();
    let first = lines.get(from).map_or(0, |line| indent(line));
    let lines = lines[from..to]
        .iter()
        .map(|line| &line[first.min(indent(line))..]);
    let lines: String = lines.collect();
    // What begins with an item stands under a key.
    if lines.starts_with('-') {
        format!("k:\n{lines}")
    } else {
        lines
    }
}

#[test]
fn mutations_of_records_are_read_as_by_the_library_or_left_to_it() {
    let texts = [under("fixtures"), under("rules"), shown(), generated()].concat();
    let mut accepted = 0_u32;
    for round in 0..rounds() {
        let mut random = Random::new(1 + round);
        for turn in 0..240_000 {
            let text = &texts[random.below(texts.len())];
            let is_whole = turn % 200 == 0;
            let mut text = if is_whole {
                text.clone()
            } else {
                excerpt(text, &mut random)
            };
            for _ in 0..=random.below(3) {
                text = mutated(&text, &mut random);
            }
            accepted += u32::from(accepts(&text));
        }
    }
    // A reader that declined everything would prove nothing.
    assert!(30_000 < accepted, "{accepted}");
}

/// Texts by the grammar of the dialect, with now and then something that lies just beyond it.
struct Grammar<'r> {
    random: &'r mut Random,
    text: String,
    /// How seldom something lies beyond.
    seldom: usize,
}

impl Grammar<'_> {
    fn mapping(&mut self, column: usize, depth: usize) {
        for key in 0..=self.random.below(3) {
            if key > 0 {
                self.indent(column);
            }
            self.key();
            self.value(column, depth);
        }
    }

    fn key(&mut self) {
        let key = self.random.one_of(&[
            "a",
            "b",
            "c",
            "date",
            "left-2",
            "k_e_y",
            "1",
            "0",
            "true",
            "null",
            "2026-03-09",
        ]);
        self.text += key;
        let beyond = self.random.one_of(&[
            " :", "", ":", ": :", ":\t", " ", "é:", "'x':", "\"\":", ".a:", "?:", ":-",
        ]);
        let added = if self.is_beyond() { beyond } else { ":" };
        self.text += added;
    }

    fn value(&mut self, column: usize, depth: usize) {
        match self.random.below(5) {
            0 | 1 if depth < 4 => {
                self.line_end();
                let is_list = self.random.once_in(2);
                let least = usize::from(!is_list);
                let deeper = column + least + self.random.below(3);
                let beyond = self.random.below(deeper + 2);
                let deeper = if self.is_beyond() { beyond } else { deeper };
                self.indent(deeper);
                if is_list {
                    self.list(deeper, depth + 1);
                } else {
                    self.mapping(deeper, depth + 1);
                }
            }
            2 => {
                self.text += " ";
                self.brackets(0);
                self.line_end();
            }
            _ => {
                let added = self.random.one_of(&[" ", "  "]);
                self.text += added;
                self.scalar();
                self.line_end();
            }
        }
    }

    fn list(&mut self, column: usize, depth: usize) {
        for item in 0..=self.random.below(3) {
            if item > 0 {
                self.indent(column);
            }
            let beyond = self.random.one_of(&[
                "-", "- - ", "-\n", "- # c\n", "-\t", "- ? ", "- &a ", "- !!map ", "-  \n", "--",
            ]);
            let dash = if self.is_beyond() {
                beyond
            } else {
                self.random.one_of(&["- ", "-  ", "-   "])
            };
            self.text += dash;
            match self.random.below(3) {
                0 if depth < 4 => self.mapping(column + dash.len(), depth + 1),
                1 => {
                    self.brackets(0);
                    self.line_end();
                }
                _ => {
                    self.scalar();
                    self.line_end();
                }
            }
        }
    }

    fn brackets(&mut self, depth: usize) {
        let is_mapping = self.random.once_in(2);
        self.text += if is_mapping { "{" } else { "[" };
        self.space();
        for entry in 0..self.random.below(4) {
            if entry > 0 {
                let beyond = self
                    .random
                    .one_of(&["", ",,", " ", "\n,", ",\n  ", ", # c\n", ":"]);
                let added = if self.is_beyond() { beyond } else { "," };
                self.text += added;
                self.space();
            }
            if is_mapping {
                self.key();
                self.text += " ";
            }
            if depth < 3 && self.random.once_in(4) {
                self.brackets(depth + 1);
            } else {
                self.scalar();
            }
            self.space();
        }
        let beyond = self
            .random
            .one_of(&["", "]", "}", ",]", ",}", "]]", "}:", "] x", "}#"]);
        let close = if is_mapping { "}" } else { "]" };
        let added = if self.is_beyond() { beyond } else { close };
        self.text += added;
    }

    fn scalar(&mut self) {
        let plain = [
            "36 psi",
            "36.5",
            "0",
            "x",
            "2026-03-09",
            "10:30",
            "a b",
            "turf",
            "1000 ft2",
            ".5",
            "no",
            "06",
            "x#y",
            "x - y",
            "it's",
            "5\" tall",
            "a&b*c!d%e",
            "a\\b",
            "14 °C",
            "漢",
            "a|b",
            "a>b",
            "a?b",
            "true",
            "null",
            "a:b:c",
            "...",
            "'q'",
            "\"q\"",
            "''",
            "\"\"",
            "' x '",
            "\"a: b # c\"",
            "'[1, {2'",
            "\" \"",
        ];
        let beyond = [
            "",
            "a: b",
            "a:",
            "x #y",
            "- x",
            "-1",
            "+1",
            "~",
            "|",
            ">",
            "|-\n   x",
            "*a",
            "&a x",
            "!!int 1",
            "@x",
            "`x",
            "%x",
            "? x",
            "x\n  y",
            "x, y",
            "x]",
            "x}",
            "[x",
            "{x",
            "'it''s'",
            "\"a\\\"b\"",
            "\"a\\nb\"",
            "'a\n b'",
            "'open",
            "\"open",
            "\"q\"x",
            "'q'#",
            "\"q\": 1",
            "a :b",
            "a:[",
            "a:,",
            "a:é",
            ":x",
            "a:-",
            "\u{a0}",
            "x\u{a0}",
            "x\t",
            "x\u{85}y",
            "x\u{2028}y",
            "é",
            "=",
            "---",
            "x ---",
            "<<",
            "a: [1]",
            "#x",
            ",x",
            "_x",
            "/x",
            "(x)",
        ];
        let added = if self.is_beyond() {
            self.random.one_of(&beyond)
        } else {
            self.random.one_of(&plain)
        };
        self.text += added;
    }

    fn line_end(&mut self) {
        let ends = [
            "\n",
            "\n",
            "\n",
            " \n",
            "  # note\n",
            " #\n",
            "\n\n",
            "\n   # note\n",
            "\n# a: b\n",
            "\n \n",
        ];
        let beyond = [
            "",
            "#c\n",
            "\t\n",
            "\t# c\n",
            "\r\n",
            "\n---\n",
            "\n...\n",
            " x\n",
            "\n\t\n",
            "\n%x\n",
            "\n  x\n",
            "\n- x\n",
            "\n: x\n",
            "\n? x\n",
            "\n--- a\n",
        ];
        let added = if self.is_beyond() {
            self.random.one_of(&beyond)
        } else {
            self.random.one_of(&ends)
        };
        self.text += added;
    }

    fn space(&mut self) {
        let added = self.random.one_of(&["", "", " ", "  "]);
        self.text += added;
    }

    fn indent(&mut self, column: usize) {
        let column = if self.is_beyond() {
            self.random.below(column + 3)
        } else {
            column
        };
        self.text += &" ".repeat(column);
    }

    fn is_beyond(&mut self) -> bool {
        self.random.once_in(self.seldom)
    }
}

#[test]
fn texts_of_the_dialect_and_just_beyond_are_read_as_by_the_library_or_left_to_it() {
    let mut accepted = 0_u32;
    for round in 0..rounds() {
        let mut random = Random::new(1_000_000 + round);
        for turn in 0..60_000 {
            let seldom = if turn % 4 == 0 {
                usize::MAX
            } else {
                5 + random.below(60)
            };
            let mut grammar = Grammar {
                random: &mut random,
                text: String::new(),
                seldom,
            };
            grammar.mapping(0, 0);
            let text = grammar.text;
            let is_cut = random.once_in(8);
            let text = if is_cut {
                text.trim_end_matches('\n')
            } else {
                &text
            };
            accepted += u32::from(accepts(text));
        }
    }
    assert!(15_000 < accepted, "{accepted}");
}

#[test]
fn every_character_is_read_as_by_the_library_or_left_to_it() {
    // Characters are alike in long stretches, so that a part of them does in a usual run.
    let step = if 1 < rounds() { 1 } else { 97 };
    let common = '\0'..='\u{3000}';
    for character in common.chain(('\u{3001}'..=char::MAX).step_by(step)) {
        // Where a character is not ordinary nothing more is asked; where it is, it must be so in every place.
        let text = format!("a: x{character}y\nb: [x{character}, \"{character}\"]  # {character}\n");
        if yaml::read_plain(&text).is_some() || character.is_ascii() {
            accepts(&text);
            accepts(&format!("a: {character}\n"));
            accepts(&format!("{character}: a\n"));
            accepts(&format!("a{character}: a\n"));
            accepts(&format!("a:{character}a\n"));
            accepts(&format!("a: [{character}]\n"));
            accepts(&format!("a: 'x{character}'{character}\n"));
            accepts(&format!("a:\n {character} x\n"));
        }
    }
}

#[test]
fn size_and_depth_are_bounded() {
    let deep = |levels: usize| {
        let levels = (0..levels).map(|level| format!("{}a:\n", " ".repeat(level)));
        levels.collect::<String>() + &" ".repeat(100) + "b: 1\n"
    };
    let flow = |levels: usize| format!("a: {}{}\n", "[".repeat(levels), "]".repeat(levels));
    for levels in [1, 14, 15, 16, 17, 18, 63, 64, 65, 100_000] {
        accepts(&flow(levels));
    }
    for levels in [1, 14, 15, 16, 17, 63, 64, 65, 1_000] {
        accepts(&deep(levels));
    }
    assert!(accepts(&flow(5)) && accepts(&deep(5)));
    for length in [1, 254, 255, 256, 1_023, 1_024, 1_025, 100_000] {
        let long = "x".repeat(length);
        accepts(&format!("{long}: 1\n"));
        accepts(&format!("a: {{{long}: 1}}\n"));
        accepts(&format!("a:\n  - {long}\n  - {long}: 1\n"));
        accepts(&format!("a: [{long}, \"{long}\"]  # {long}\n"));
        accepts(&format!("a: {long}\n{}b: 1\n", "\n".repeat(length)));
        accepts(&format!("a: x{}# c\n", " ".repeat(length)));
        accepts(&format!("a:{}x\n", " ".repeat(length)));
        accepts(&format!("a: [{}1]\n", "1, ".repeat(length)));
    }
    for text in [
        "", "\n", " ", "# only\n", "a", "a:", "a: ", "a: 1", "a:\n", "- 1\n", "[1]\n", "{a: 1}\n",
        "x\n",
    ] {
        accepts(text);
    }
}

/// Twice the text takes about twice the time, whatever it repeats: no look ahead is made again and again.
#[test]
fn long_texts_take_no_more_than_their_length() {
    for (head, unit) in [
        ("", "a1: 1\n"),
        ("a:\n", "- x\n"),
        ("a:\n", "- 'x\n"),
        ("a: [", "1, "),
        ("a: [", "'x', "),
        ("a: {", "a: 1, "),
        ("a: ", "x "),
        ("a: ", " "),
        ("", "\n"),
        ("a:\n", "# c\n"),
        ("", "- "),
        ("a: '", "x"),
        ("a: ", "["),
    ] {
        let text = head.to_owned() + &unit.repeat(2_000_000 / unit.len());
        // Two megabytes in quadratic time would take hours.
        assert!(yaml::read_plain(&text).is_none_or(|tree| tree.text() == text));
    }
}

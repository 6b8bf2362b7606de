//! A finished text in which nothing drives a log or a terminal: the only kind of text that is ever written.
//!
//! Knows no format's content. A renderer cleans what comes from records so that it reads well; what is promised here
//! holds even where one forgets to.

use crate::render::clean::{Brackets, MARK};
use crate::render::ink::{COLORS, Look};
use crate::words::clean::is_invisible;
use std::fmt::{self, Write};
use std::iter;
use std::ops::Deref;

/// What logs of build runners obey or fold away where a line begins with it, after spaces.
const OPENINGS: [&str; 6] = ["::", "[command]", "--- ", "+++ ", "~~~ ", "^^^ "];

/// The commands that we give ourselves: each marks a place, and obeys nothing.
const COMMANDS: [&str; 3] = ["::error ", "::warning ", "::notice "];

/// Characters of the longest opening.
const LONGEST_OPENING: usize = 9;

/// A finished text: no line begins like a command, no bracket ends the beginning of one (`##[`, `##vso[`), and there
/// is no invisible character but the line ends of its format and our own colors.
#[derive(Default, Clone, Debug, PartialEq, Eq)]
pub struct Harmless(String);

impl Harmless {
    /// Lines without color; what is harmful is marked.
    pub(crate) fn lines(text: &str) -> Self {
        Self::guarded(text, &LINES)
    }

    /// Lines in our own colors, where the look has any; what is harmful is marked.
    pub(crate) fn painted(text: &str, look: &Look) -> Self {
        Self::guarded(text, if look.color { &PAINTED } else { &LINES })
    }

    /// Comma-separated values; what is harmful is marked.
    pub(crate) fn csv(text: &str) -> Self {
        Self::guarded(text, &CSV)
    }

    /// A calendar with its lines folded; what is harmful takes no more octets than before, as lines have a most.
    pub(crate) fn calendar(text: &str) -> Self {
        Self::guarded(text, &CALENDAR)
    }

    /// JSON, of which nothing is lost: what is harmful stands within its strings, and is escaped there.
    pub(crate) fn json(text: &str) -> Self {
        Self::guarded(text, &JSON)
    }

    /// Commands of ours to the log of a build runner, one a line: each begins with one of [`COMMANDS`], and what is
    /// harmful behind that is marked, line ends too.
    pub(crate) fn commands(lines: &[String]) -> Self {
        let mut out = String::new();
        for line in lines {
            let command = COMMANDS.iter().find(|command| line.starts_with(**command));
            let (command, rest) = line.split_at(command.map_or(0, |command| command.len()));
            out.push_str(command);
            LINES.push_line(&mut out, rest);
            out.push('\n');
        }
        Self(out)
    }

    /// The same with another behind it; both end with a whole line.
    pub(crate) fn and(mut self, other: &Self) -> Self {
        self.0.push_str(other);
        self
    }

    fn guarded(text: &str, guard: &Guard) -> Self {
        let mut out = String::with_capacity(text.len());
        for line in text.split_inclusive('\n') {
            let (line, line_end) = match line.strip_suffix(guard.line_end) {
                Some(line) => (line, guard.line_end),
                None => (line, ""),
            };
            guard.push_line(&mut out, line);
            out.push_str(line_end);
        }
        Self(out)
    }
}

/// Whether a log could take a line that begins so for a command.
pub(crate) fn begins_like_a_command(line: &str) -> bool {
    LINES.second_letter_of_opening(line).is_some()
}

impl Deref for Harmless {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Harmless {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self)
    }
}

/// The escape of JSON for a character.
fn escaped(letter: char) -> String {
    let mut escaped = String::new();
    for unit in letter.encode_utf16(&mut [0; 2]) {
        write!(escaped, "\\u{unit:04x}").expect("writing to a string does not fail");
    }
    escaped
}

/// What a format allows, and what it writes in place of what it does not.
struct Guard {
    colors: &'static [&'static str],
    line_end: &'static str,
    stand_in: fn(char) -> String,
}

const LINES: Guard = Guard {
    colors: &[],
    line_end: "\n",
    stand_in: |_| MARK.into(),
};

const PAINTED: Guard = Guard {
    colors: &COLORS,
    ..LINES
};

const CSV: Guard = Guard {
    line_end: "\r\n",
    ..LINES
};

const CALENDAR: Guard = Guard {
    line_end: "\r\n",
    stand_in: |_| "?".into(),
    ..LINES
};

const JSON: Guard = Guard {
    stand_in: escaped,
    ..LINES
};

/// A part of a line: a sequence that colors, which is ours, or a character.
enum Part {
    Color(&'static str),
    Letter(char),
}

impl Guard {
    fn push_line(&self, out: &mut String, line: &str) {
        let broken = self.second_letter_of_opening(line);
        let mut brackets = Brackets::default();
        let mut at = 0;
        for part in self.parts(line) {
            match part {
                Part::Color(color) => out.push_str(color),
                Part::Letter(letter) => {
                    let is_command = brackets.ends_command(letter) || broken == Some(at);
                    if is_command || is_invisible(letter) {
                        out.push_str(&(self.stand_in)(letter));
                    } else {
                        out.push(letter);
                    }
                    at += 1;
                }
            }
        }
    }

    /// The parts of a line; a log may show it without its colors, so that they hide nothing.
    fn parts(&self, line: &str) -> impl Iterator<Item = Part> {
        let mut rest = line;
        iter::from_fn(move || {
            let letter = rest.chars().next()?;
            let color = self.colors.iter().find(|color| rest.starts_with(**color));
            let (part, length) = match color {
                Some(color) => (Part::Color(color), color.len()),
                None => (Part::Letter(letter), letter.len_utf8()),
            };
            rest = &rest[length..];
            Some(part)
        })
    }

    /// Which character to break in a line that begins like a command.
    ///
    /// Only the finished lines show where one begins, because texts are wrapped and folded.
    fn second_letter_of_opening(&self, line: &str) -> Option<usize> {
        let letters = || {
            self.parts(line).filter_map(|part| match part {
                Part::Letter(letter) => Some(letter),
                Part::Color(_) => None,
            })
        };
        let n_spaces = letters()
            .take_while(|letter| letter.is_whitespace())
            .count();
        let beginning: String = letters().skip(n_spaces).take(LONGEST_OPENING).collect();
        let is_opening = OPENINGS
            .iter()
            .any(|opening| beginning.starts_with(opening));
        is_opening.then_some(n_spaces + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const COLORED: Look = Look {
        color: true,
        width: 80,
    };

    #[test]
    fn a_line_that_begins_like_a_command_is_broken() {
        let rows = [
            ("::error::x\n", ":\u{fffd}error::x\n"),
            ("a\n   ::debug::y", "a\n   :\u{fffd}debug::y"),
            ("a\n\u{a0}\u{3000}::x", "a\n\u{a0}\u{3000}:\u{fffd}x"),
            ("\u{1b}[1m:\u{1b}[0m:x\n", "\u{1b}[1m:\u{1b}[0m\u{fffd}x\n"),
            (" [command]rm\n[COMMAND]", " [\u{fffd}ommand]rm\n[COMMAND]"),
            (
                "--- a\n+++ b\n~~~ c\n^^^ +++",
                "-\u{fffd}- a\n+\u{fffd}+ b\n~\u{fffd}~ c\n^\u{fffd}^ +++",
            ),
            ("---\n----\n- - -", "---\n----\n- - -"),
            ("a ::b\n:a:\n:::\n", "a ::b\n:a:\n:\u{fffd}:\n"),
            ("##[error]x", "##\u{fffd}error]x"),
            (
                "a ##vso[b]##TeamCity[c] ###x.y-z_1[d]",
                "a ##vso\u{fffd}b]##TeamCity\u{fffd}c] ###x.y-z_1\u{fffd}d]",
            ),
            (
                "##\u{1b}[1m[error]\u{1b}[0m",
                "##\u{1b}[1m\u{fffd}error]\u{1b}[0m",
            ),
            (
                "# #[a] ## [b] #c[d] ##e f[g]",
                "# #[a] ## [b] #c[d] ##e f[g]",
            ),
            (
                "a\r::b\u{9b}31m\u{1b}[5m",
                "a\u{fffd}::b\u{fffd}31m\u{fffd}[5m",
            ),
            (
                "a\tb\u{85}c\u{2028}d\u{202e}e\u{200b}f",
                "a\u{fffd}b\u{fffd}c\u{fffd}d\u{fffd}e\u{fffd}f",
            ),
        ];
        for (raw, harmless) in rows {
            assert_eq!(&*Harmless::painted(raw, &COLORED), harmless, "{raw:?}");
        }
        assert_eq!(
            &*Harmless::lines("\u{1b}[1ma"),
            "\u{fffd}[1ma",
            "no colors were asked for"
        );
    }

    #[test]
    fn each_format_stays_what_it_is() {
        assert_eq!(
            &*Harmless::csv("::a,\"b\n::c\"\r\n##[d]\r\n"),
            ":\u{fffd}a,\"b\u{fffd}:\u{fffd}c\"\r\n##\u{fffd}d]\r\n"
        );
        assert_eq!(
            &*Harmless::calendar("A:b\r\n ::c\r\n --- \t\r\n"),
            "A:b\r\n :?c\r\n -?- ?\r\n"
        );
        assert_eq!(
            &*Harmless::json("{\"a##\":[\"##[\u{9b}\u{e0041}##vso[\"]}\n"),
            "{\"a##\":[\"##\\u005b\\u009b\\udb40\\udc41##vso\\u005b\"]}\n"
        );
    }

    #[test]
    fn a_command_of_ours_stays_and_no_other() {
        let lines = [
            "::error file=a::b\n::error file=c::d ##[e]",
            "::stop-commands::x",
            "::error::y",
        ]
        .map(str::to_owned);
        assert_eq!(
            &*Harmless::commands(&lines),
            "::error file=a::b\u{fffd}::error file=c::d ##\u{fffd}e]\n\
             :\u{fffd}stop-commands::x\n:\u{fffd}error::y\n"
        );
    }

    #[test]
    fn the_longest_opening_is_looked_for() {
        let longest = OPENINGS.iter().map(|opening| opening.len()).max();
        assert_eq!(longest, Some(LONGEST_OPENING));
    }

    proptest! {
        #[test]
        fn json_keeps_the_value(raw in "(\\PC|\\pC|#|\\[|\"|\\\\|##vso\\[){0,40}") {
            let json = serde_json::to_string(&raw).unwrap();
            prop_assert_eq!(serde_json::from_str::<String>(&Harmless::json(&json)).unwrap(), raw);
        }

        #[test]
        fn harmless_is_harmless(raw in "(\\PC|\\pC|#|\\[|:|-| |\n|\r\n|\u{1b}\\[1m){0,60}") {
            for harmless in [Harmless::lines, Harmless::csv, Harmless::calendar, Harmless::json] {
                let once = harmless(&raw);
                prop_assert_eq!(&harmless(&once), &once);
            }
            let once = Harmless::painted(&raw, &COLORED);
            prop_assert_eq!(&Harmless::painted(&once, &COLORED), &once);
        }
    }
}

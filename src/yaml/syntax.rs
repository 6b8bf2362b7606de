//! The parser's complaints in plain words: why a text stops being readable, and where the slip was made.
//!
//! Looks at the text round the place only to find the likely slip; reads nothing in the parser's stead.

use super::build::offset;
use super::fault::{Fault, Found};
use crate::source::Span;
use granit_parser::ErrorKind;

/// Why a text stops being readable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cause {
    /// A tab where only spaces count.
    Tab,
    /// A quote that is never closed, or closed by the next one further down.
    OpenQuote(char),
    /// Something behind a closing quote.
    AfterQuote(char),
    /// A backslash with something behind it that means nothing.
    Escape,
    /// A bracket that is never closed.
    OpenBracket(char),
    /// A closing bracket of the other kind.
    OtherBracket { open: char, close: char },
    /// A closing bracket too many.
    StrayBracket,
    /// Within brackets, something else than a comma or the closing bracket.
    CommaOrBracket(char),
    /// `key:value`.
    ColonWithoutSpace,
    /// `key: text: more`.
    SecondColon,
    /// A line that is no key, no item and no part of the line above.
    NoColon,
    /// A line that starts at a column of its own.
    Indentation,
    /// `key: - item`.
    ItemBesideKey,
    /// `- item` within brackets.
    ItemInBrackets,
    /// A character that begins something else than a text.
    Reserved(char),
    /// A character that is not to be seen.
    Invisible(char),
    /// An alias of nothing.
    UnknownAlias,
    /// `text# comment`.
    CommentWithoutSpace,
    /// A comment in the midst of a text of several lines.
    CommentInText,
    /// Something behind `|` or `>`.
    AfterBlockMark,
    /// Anything else.
    Other,
}

impl Cause {
    /// A fragment that follows a colon.
    pub(super) fn words(self) -> String {
        match self {
            Self::Tab => "a tab stands where only spaces may".to_owned(),
            Self::OpenQuote(quote) => format!("the quote {quote} is opened and not closed"),
            Self::AfterQuote(quote) => format!("something follows the closing quote {quote}"),
            Self::Escape => {
                "the backslash in double quotes has no meaning with what follows it".to_owned()
            }
            Self::OpenBracket(bracket) => format!("the bracket {bracket} is opened and not closed"),
            Self::OtherBracket { open, close } => {
                format!("the bracket {open} is closed by {close}")
            }
            Self::StrayBracket => "a bracket closes that was never opened".to_owned(),
            Self::CommaOrBracket(close) => {
                format!("a comma or the closing {close} is missing before this")
            }
            Self::ColonWithoutSpace => {
                "a colon without a space after it does not end a key".to_owned()
            }
            Self::SecondColon => "a second colon in one line".to_owned(),
            Self::NoColon => {
                "the line has no colon, so it is neither a key nor a list item".to_owned()
            }
            Self::Indentation => "the line does not begin under those it belongs with".to_owned(),
            Self::ItemBesideKey => "a list item stands on the line of its key".to_owned(),
            Self::ItemInBrackets => "an item with a dash stands in brackets".to_owned(),
            Self::Reserved(character) => {
                format!("a text without quotes cannot begin with {character}")
            }
            Self::Invisible(character) => {
                format!("an invisible character, U+{:04X}", u32::from(character))
            }
            Self::UnknownAlias => "nothing further up is marked with this name".to_owned(),
            Self::CommentWithoutSpace => "a comment begins without a space before it".to_owned(),
            Self::CommentInText => "a comment stands between the lines of one text".to_owned(),
            Self::AfterBlockMark => "the text must begin on the line after | or >".to_owned(),
            Self::Other => "it is not YAML".to_owned(),
        }
    }

    /// What to do; begins with a verb.
    pub(super) fn help(self) -> String {
        let help = match self {
            Self::Tab => "indent with spaces",
            Self::OpenQuote('\'') => {
                "close the quote, or double an apostrophe that belongs to the text"
            }
            Self::OpenQuote(_) => "close the quote on the line it was opened on",
            Self::AfterQuote('\'') => {
                "put the whole text in quotes, and double an apostrophe that belongs to it"
            }
            Self::AfterQuote(_) => {
                "put the whole text in quotes; single ones where it has double ones in it"
            }
            Self::Escape => "use single quotes, in which a backslash is a backslash",
            Self::OpenBracket(_) | Self::OtherBracket { .. } => {
                "close the bracket where its list ends"
            }
            Self::StrayBracket => "delete the bracket, or put quotes round the text it belongs to",
            Self::CommaOrBracket(_) => {
                "put a comma between two entries, or close the bracket before this"
            }
            Self::ColonWithoutSpace => "put a space after the colon",
            Self::SecondColon => "put quotes round the text that has the colon in it",
            Self::NoColon => "write it as `key: value`, or indent it as part of the text above",
            Self::Indentation => "indent it as far as the line above that it belongs with",
            Self::ItemBesideKey => "begin the list on the next line, or put quotes round the text",
            Self::ItemInBrackets => "part the entries with commas",
            Self::Reserved(_) => "put quotes round the text",
            Self::Invisible('\0') => "save the file as UTF-8",
            Self::Invisible(_) => "delete the character",
            Self::UnknownAlias => "put quotes round a text that begins with *",
            Self::CommentWithoutSpace => "put a space before the #, or quotes round the text",
            Self::CommentInText => "move the comment above the text",
            Self::AfterBlockMark => "begin the text on the next line, or put quotes round it",
            Self::Other => {
                "put quotes round a text that has other characters in it than letters, digits and spaces"
            }
        };
        help.to_owned()
    }
}

/// What the parser had understood when it gave up.
pub(super) struct Surroundings<'s> {
    pub(super) source: &'s str,
    /// The end of the last token that it understood.
    pub(super) reached: usize,
    /// The innermost bracket it was in.
    pub(super) bracket: Option<Span>,
}

impl Surroundings<'_> {
    /// The parser's complaint about `at` in our words, and at the place of the slip.
    pub(super) fn explain(&self, complaint: &ErrorKind, at: usize) -> Found {
        let _ = (self.reached, self.bracket, complaint);
        Found::new(Fault::Unreadable(Cause::Other), self.character(at))
    }

    /// The character at an offset; nothing at the end of the text.
    fn character(&self, at: usize) -> Span {
        let start = self.source.floor_char_boundary(at.min(self.source.len()));
        let len = self.source[start..]
            .chars()
            .next()
            .map_or(0, char::len_utf8);
        Span::new(offset(start), offset(start + len))
    }
}

//! Why a text stops being readable, in plain words, and what to do about it.
//!
//! Finds nothing: where the slip was made is for [`super::syntax`] to say.

use super::bounds::LONGEST_KEY;

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
    /// `key:` or `-` and a space that YAML takes for a letter.
    OddSpace(char),
    /// A line indented with a space that YAML takes for a letter.
    OddIndentation(char),
    /// A further line of a text in quotes or brackets that is not indented under its key.
    Outdented,
    /// A key too long to be taken for one.
    LongKey,
    /// `key: text: more`.
    SecondColon,
    /// `-item`.
    DashWithoutSpace,
    /// A line that is no key, no item and no part of the line above.
    NoColon,
    /// A line that starts at a column of its own.
    Indentation,
    /// Something behind the end of a value.
    AfterValue,
    /// A comma in brackets with nothing before it.
    EmptyEntry,
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
            Self::Tab => "a tab is used where only spaces are allowed".to_owned(),
            Self::OpenQuote(quote) => {
                format!("the quote {quote} is opened and not closed on its line")
            }
            Self::AfterQuote(quote) => format!("something follows the closing quote {quote}"),
            Self::Escape => "the backslash has no meaning in double quotes here".to_owned(),
            Self::OpenBracket(bracket) => format!("the bracket {bracket} is opened and not closed"),
            Self::OtherBracket { open, close } => {
                format!("the bracket {open} is closed by a {close}")
            }
            Self::StrayBracket => "a bracket is closed that was never opened".to_owned(),
            Self::CommaOrBracket(close) => {
                format!("a comma or the closing {close} is missing before this")
            }
            Self::ColonWithoutSpace => {
                "a colon without a space after it does not end a key".to_owned()
            }
            Self::OddSpace(space) => {
                format!(
                    "the space here is U+{:04X}, which YAML takes for a letter",
                    u32::from(space)
                )
            }
            Self::OddIndentation(space) => {
                format!(
                    "the line is indented with U+{:04X}, which YAML takes for a letter",
                    u32::from(space)
                )
            }
            Self::Outdented => {
                "a line within quotes or brackets is not indented under its key".to_owned()
            }
            Self::LongKey => format!("a key has at most {LONGEST_KEY} characters"),
            Self::SecondColon => "a second colon in one line".to_owned(),
            Self::DashWithoutSpace => {
                "a dash without a space after it does not begin a list item".to_owned()
            }
            Self::NoColon => {
                "the line has no colon, so it is neither a key nor a list item".to_owned()
            }
            Self::Indentation => {
                "the line is not indented like the lines it belongs with".to_owned()
            }
            Self::AfterValue => "something follows the end of a value".to_owned(),
            Self::EmptyEntry => "nothing stands before the comma".to_owned(),
            Self::ItemBesideKey => "a list item stands on the line of its key".to_owned(),
            Self::ItemInBrackets => "an item with a dash stands in brackets".to_owned(),
            Self::Reserved(character) => {
                format!("a text without quotes cannot begin with {character}")
            }
            Self::Invisible(character) => {
                format!(
                    "a character that cannot be seen, U+{:04X}",
                    u32::from(character)
                )
            }
            Self::UnknownAlias => "nothing above is marked with this name".to_owned(),
            Self::CommentWithoutSpace => "a comment begins without a space before it".to_owned(),
            Self::CommentInText => "a comment stands between the lines of one text".to_owned(),
            Self::AfterBlockMark => "a text marked with | or > begins on the next line".to_owned(),
            Self::Other => "YAML has no meaning for this".to_owned(),
        }
    }

    /// What to do; begins with a verb.
    pub(super) fn help(self) -> &'static str {
        match self {
            Self::Tab => "indent with spaces",
            Self::OpenQuote('\'') => {
                "close the quote, and double an apostrophe that belongs to the text"
            }
            Self::OpenQuote(_) => "close the quote where the text ends",
            Self::AfterQuote('\'') => {
                "end the text with the quote, and double an apostrophe that belongs to it"
            }
            Self::AfterQuote(_) => {
                "end the text with the quote, or put a comma between two entries"
            }
            Self::Escape => "use single quotes, in which a backslash stands for itself",
            Self::OpenBracket(_) | Self::OtherBracket { .. } => {
                "close the bracket where its list ends"
            }
            Self::StrayBracket => "delete the bracket, or put quotes around the text it belongs to",
            Self::CommaOrBracket(_) => {
                "put a comma between two entries, or close the bracket before this"
            }
            Self::ColonWithoutSpace => "put a space after the colon",
            Self::OddIndentation(_) => "indent with spaces from the keyboard",
            Self::Outdented => "indent the line further than its key",
            Self::OddSpace(_) => "put a space from the keyboard in its place",
            Self::LongKey => "shorten the key",
            Self::SecondColon => "put quotes around the text that has the colon in it",
            Self::DashWithoutSpace => "put a space after the dash",
            Self::NoColon => "write it as `key: value`, or indent it as part of the text above",
            Self::Indentation => "indent it as far as the lines it belongs with",
            Self::AfterValue => "begin a new line, or put quotes around the whole text",
            Self::EmptyEntry => "write what is missing, or delete the comma",
            Self::ItemBesideKey => "begin the list on the next line, or put quotes around the text",
            Self::ItemInBrackets => {
                "put commas between the entries and leave out the dashes; \
                 for a reading that was not taken write missed"
            }
            Self::Reserved('-') => {
                "write missed for a reading that was not taken, or put quotes around the text"
            }
            Self::Reserved(_) => "put quotes around the text",
            Self::Invisible('\0') => "save the file as UTF-8",
            Self::Invisible(_) => "delete the character",
            Self::UnknownAlias => "put quotes around a text that begins with *",
            Self::CommentWithoutSpace => "put a space before the #, or quotes around the text",
            Self::CommentInText => "move the comment above the text",
            Self::AfterBlockMark => "begin the text on the next line, or put quotes around it",
            Self::Other => {
                "put quotes around a text that has more in it than letters, digits and spaces"
            }
        }
    }
}

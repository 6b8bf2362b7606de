//! The parser's complaints: why a text stops being readable, and where the slip was made.
//!
//! Looks at the text round the place only to find the likely slip; reads nothing in the parser's stead.

use super::bounds::{LONGEST_KEY, offset};
use super::cause::Cause;
use super::fault::{Fault, Found};
use crate::source::Span;
use granit_parser::ErrorKind;

/// How far round a complaint's place its slip is looked for, so that many complaints cannot cost more than their text.
const NEARBY: usize = 1024;

/// What the parser had understood when it gave up.
pub(super) struct Surroundings<'s> {
    pub(super) source: &'s str,
    /// The end of the last token that it understood.
    pub(super) reached: usize,
    /// The last node that it understood.
    pub(super) last: Span,
    /// The innermost bracket that it had understood as opened.
    pub(super) bracket: Option<Span>,
}

impl Surroundings<'_> {
    /// The parser's complaint about `at` in our words, and at the place of the slip.
    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "the parser's kinds may grow, and those left out concern inputs and options not used here"
    )]
    pub(super) fn explain(&self, complaint: &ErrorKind, at: usize) -> Found {
        let at = self.source.floor_char_boundary(at.min(self.source.len()));
        match complaint {
            ErrorKind::RecursionLimitExceeded => {
                Found::new(Fault::NestedTooDeep, self.character(at))
            }
            ErrorKind::TabInPlainScalar
            | ErrorKind::TabInBlockIndentation
            | ErrorKind::TabNotAllowed
            | ErrorKind::TabInIndentation
            | ErrorKind::TabAtBlockScalarStart
            | ErrorKind::InvalidBlockEntryWhitespace => self.tab(at),
            ErrorKind::UnclosedQuotedScalar | ErrorKind::DocumentIndicatorInQuotedScalar => {
                self.at(Cause::OpenQuote(self.byte(at)), at)
            }
            ErrorKind::InvalidTrailingSingleQuotedScalar => self.after_quote('\'', at),
            ErrorKind::InvalidTrailingDoubleQuotedScalar => self.after_quote('"', at),
            ErrorKind::UnknownQuotedScalarEscape
            | ErrorKind::InvalidQuotedScalarHexEscape
            | ErrorKind::InvalidLowSurrogateHexEscape
            | ErrorKind::InvalidLowSurrogate
            | ErrorKind::MissingLowSurrogate
            | ErrorKind::UnpairedLowSurrogate
            | ErrorKind::InvalidUnicodeEscape => self.at(Cause::Escape, self.bad_escape(at)),
            ErrorKind::UnclosedFlowCollection { open } => self.at(Cause::OpenBracket(*open), at),
            ErrorKind::MismatchedFlowCollectionEnd { open, close } => self.at(
                Cause::OtherBracket {
                    open: *open,
                    close: *close,
                },
                at,
            ),
            ErrorKind::MisplacedFlowCollectionEnd => self.at(Cause::StrayBracket, at),
            ErrorKind::ExpectedFlowMappingSeparator
            | ErrorKind::ExpectedFlowSequenceSeparator
            | ErrorKind::InvalidColonPlacement
            | ErrorKind::UnexpectedEofFlowSequence
            | ErrorKind::UnexpectedEofFlowMapping
            | ErrorKind::UnexpectedEofImplicitFlowMapping
            | ErrorKind::UnexpectedEofBlockSequence
            | ErrorKind::UnexpectedEofBlockMapping
            | ErrorKind::UnexpectedEof
            | ErrorKind::ExpectedNodeContent
            | ErrorKind::UnexpectedEndOfPlainScalar => self.within_brackets(at),
            ErrorKind::FlowMappingValueAdjacentCollection
            | ErrorKind::InvalidMappingValueWhitespace => self.at(Cause::ColonWithoutSpace, at),
            ErrorKind::MappingValueNotAllowed => self.second_colon(at),
            ErrorKind::SimpleKeyExpected | ErrorKind::InvalidSimpleKey => self.no_key(at),
            ErrorKind::ExpectedBlockMappingKey | ErrorKind::ExpectedBlockSequenceEntry => {
                self.unaligned(at)
            }
            ErrorKind::InvalidIndentation
            | ErrorKind::InvalidFlowScalarIndent
            | ErrorKind::InvalidQuotedScalarIndent
            | ErrorKind::InvalidBlockScalarIndent => self.line(Cause::Indentation, at),
            ErrorKind::ExpectedDocumentStart
            | ErrorKind::MissingDocumentEndBeforeDirective
            | ErrorKind::DuplicateVersionDirective
            | ErrorKind::UnsupportedYamlMajorVersion
            | ErrorKind::DuplicateTagDirective
            | ErrorKind::InvalidDirectiveTerminator
            | ErrorKind::MissingYamlVersionSeparator
            | ErrorKind::MissingDirectiveName
            | ErrorKind::InvalidDirectiveName
            | ErrorKind::DirectiveByteLimitExceeded { .. }
            | ErrorKind::YamlVersionTooLong
            | ErrorKind::MissingYamlVersion
            | ErrorKind::InvalidTagDirectiveTerminator
            | ErrorKind::ExpectedTagDirectiveBang => match self.directive(at) {
                Some(percent) => self.at(Cause::Reserved('%'), percent),
                None => self.unaligned(at),
            },
            ErrorKind::InvalidDocumentEnd => self.at(Cause::AfterValue, at),
            ErrorKind::BlockSequenceEntryNotAllowed => self.at(Cause::ItemBesideKey, at),
            ErrorKind::BlockEntryInFlowCollection => self.at(Cause::ItemInBrackets, at),
            ErrorKind::UnexpectedCharacter { character } => {
                let cause = if character.is_ascii_graphic() {
                    Cause::Reserved
                } else {
                    Cause::Invisible
                };
                self.at(cause(*character), self.nearby(at, *character))
            }
            ErrorKind::BomInsideDocument => self.at(Cause::Invisible('\u{feff}'), at),
            ErrorKind::UnknownAnchor => {
                Found::new(Fault::Unreadable(Cause::UnknownAlias), self.word(at))
            }
            ErrorKind::CommentNotSeparated => self.at(Cause::CommentWithoutSpace, at),
            ErrorKind::CommentInterceptedScalar => self.at(Cause::CommentInText, at),
            ErrorKind::InvalidBlockScalarHeader | ErrorKind::ZeroBlockScalarIndent => {
                self.at(Cause::AfterBlockMark, at)
            }
            ErrorKind::MappingKeyNotAllowed
            | ErrorKind::PlainScalarStartsWithDashFlowIndicator
            | ErrorKind::MissingAnchorOrAliasName
            | ErrorKind::UndeclaredTagHandle
            | ErrorKind::ExpectedTagBang
            | ErrorKind::InvalidGlobalTagCharacter
            | ErrorKind::InvalidTagTerminator
            | ErrorKind::MissingTagUri
            | ErrorKind::UnclosedVerbatimTag
            | ErrorKind::InvalidTagEscape
            | ErrorKind::InvalidTagUtf8LeadingByte
            | ErrorKind::InvalidTagUtf8TrailingByte
            | ErrorKind::InvalidTagUtf8 => self.reserved(at),
            _ => self.at(Cause::Other, at),
        }
    }

    /// The tab that begins the line of a complaint or the next such line; a tab further on in a line is none.
    fn tab(&self, at: usize) -> Found {
        let start = self.line_start(at);
        let end = self
            .source
            .floor_char_boundary((at + NEARBY).min(self.source.len()));
        let mut line = start;
        for text in self.source[start..end].split_inclusive('\n') {
            let content = text.trim_start_matches(' ');
            if content.starts_with('\t') {
                return self.at(Cause::Tab, line + text.len() - content.len());
            }
            line += text.len();
        }
        self.at(Cause::Tab, self.nearby(at, '\t'))
    }

    /// Behind a closing quote; where the quote was opened on an earlier line, it was meant to be closed there.
    fn after_quote(&self, quote: char, at: usize) -> Found {
        let Some(open) = self.opening_quote(quote, at) else {
            return self.at(Cause::AfterQuote(quote), at);
        };
        if self.source[open..at].contains('\n') {
            return self.at(Cause::OpenQuote(quote), open);
        }
        let found = self.at(Cause::AfterQuote(quote), at);
        Found {
            related: Some((self.character(open), "opened here")),
            ..found
        }
    }

    /// Where brackets are open, an entry is amiss; elsewhere, the character is one that begins no text.
    fn within_brackets(&self, at: usize) -> Found {
        let Some(bracket) = self.bracket else {
            return self.reserved(at);
        };
        if self.byte(at) == ',' {
            return self.at(Cause::EmptyEntry, at);
        }
        let close = if self.byte(bracket.start as usize) == '[' {
            ']'
        } else {
            '}'
        };
        let mut found = self.at(Cause::CommaOrBracket(close), at);
        if self.byte(at) == ':' && self.text_start(at) < self.line_start(at) {
            // The key of the next line was taken for more of the text above it.
            found.span.start = self.line(Cause::Indentation, at).span.start;
            found.span.end = offset(at);
        }
        Found {
            related: Some((bracket, "opened here")),
            ..found
        }
    }

    /// A colon where none may be: the second of its line, or the first after a line that was to end with one.
    fn second_colon(&self, at: usize) -> Found {
        let text = self.text_start(at);
        let begins_its_line = self.source[self.line_start(text)..text]
            .trim_matches([' ', '-'])
            .is_empty();
        match (text >= self.line_start(at), begins_its_line) {
            (true, true) if at - text > LONGEST_KEY => self.at(Cause::LongKey, text),
            (true, _) => self.at(Cause::SecondColon, at),
            (false, true) => self.no_key(text),
            (false, false) => self.line(Cause::Indentation, at),
        }
    }

    /// A line that should be a key or an item and is neither.
    fn no_key(&self, at: usize) -> Found {
        let line = &self.source[at..self.line_end(at)];
        let (mark, cause) = match line.find(':') {
            _ if line.starts_with('-') => (at, Cause::DashWithoutSpace),
            Some(colon) => (at + colon, Cause::ColonWithoutSpace),
            None => return self.line(Cause::NoColon, at),
        };
        match self.source[mark + 1..].chars().next() {
            Some(space) if !space.is_ascii() && space.is_whitespace() => {
                self.at(Cause::OddSpace(space), mark + 1)
            }
            Some(' ' | '\t' | '\r' | '\n') | None => self.at(Cause::LongKey, at),
            Some(_) => self.at(cause, mark),
        }
    }

    /// Something where a new line should have begun, or a line that begins at the wrong column.
    fn unaligned(&self, at: usize) -> Found {
        let line = self.line_start(at);
        let before = self.source[line..at].trim_start_matches([' ', '-', '?', ':']);
        if before.is_empty() {
            self.line(Cause::Indentation, at)
        } else {
            self.at(Cause::AfterValue, at)
        }
    }

    fn reserved(&self, at: usize) -> Found {
        match self.byte(at) {
            character if character.is_ascii_punctuation() => {
                self.at(Cause::Reserved(character), at)
            }
            _ => self.at(Cause::Other, at),
        }
    }

    fn at(&self, cause: Cause, at: usize) -> Found {
        Found::new(Fault::Unreadable(cause), self.character(at))
    }

    /// The whole line round an offset, without its indentation.
    fn line(&self, cause: Cause, at: usize) -> Found {
        let line = &self.source[self.line_start(at)..self.line_end(at)];
        let start = self.line_end(at) - line.trim_start_matches(' ').len();
        let end = start + self.source[start..self.line_end(at)].trim_end().len();
        Found::new(
            Fault::Unreadable(cause),
            Span::new(offset(start), offset(end)),
        )
    }

    /// Where the text begins that ends at an offset: the last scalar, or what was not understood any more.
    fn text_start(&self, at: usize) -> usize {
        let unread = &self.source[self.reached.min(at)..at];
        if unread.trim().is_empty() {
            return (self.last.start as usize).min(at);
        }
        at - unread
            .trim_start_matches([' ', '\t', '\r', '\n', ':', '-', '?'])
            .len()
    }

    /// The quote that opened the text which was closed just before `at`.
    fn opening_quote(&self, quote: char, at: usize) -> Option<usize> {
        let mut from = self.reached.min(at);
        loop {
            let open = from + self.source[from..at].find(quote)?;
            let close = open + 1 + closing_quote(&self.source[open + 1..at], quote)?;
            if at <= close + 1 || self.source[close + 1..at].trim().is_empty() {
                return Some(open);
            }
            from = close + 1;
        }
    }

    /// The backslash of a text in double quotes that means nothing with what follows it.
    fn bad_escape(&self, quote: usize) -> usize {
        let mut at = quote + 1;
        while let Some(next) = self.source[at..].find('\\') {
            at += next;
            let mut following = self.source[at + 1..].chars();
            let means_something = match following.next() {
                Some('x') => is_character(following.as_str(), 2),
                Some('u') => is_character(following.as_str(), 4),
                Some('U') => is_character(following.as_str(), 8),
                Some(character) => "0abt\tnvfre \"/\\N_LP\r\n".contains(character),
                None => false,
            };
            if !means_something {
                return at;
            }
            at += 2;
        }
        quote
    }

    /// The percent sign that begins the line of a complaint, or a line just above it.
    fn directive(&self, at: usize) -> Option<usize> {
        let from = self
            .source
            .ceil_char_boundary(at.saturating_sub(NEARBY).max(self.reached.min(at)));
        let before = &self.source[from..self.line_end(at)];
        let line = before.rfind("\n%").map(|line_feed| from + line_feed + 1);
        line.or_else(|| (self.byte(from) == '%').then_some(from))
    }

    /// The first such character from an offset on; the offset itself, if it is not close by.
    fn nearby(&self, at: usize, character: char) -> usize {
        let end = self
            .source
            .floor_char_boundary((at + NEARBY).min(self.source.len()));
        self.source[at..end]
            .find(character)
            .map_or(at, |distance| at + distance)
    }

    /// The ASCII character at an offset; NUL for any other and at the end.
    fn byte(&self, at: usize) -> char {
        self.source
            .as_bytes()
            .get(at)
            .filter(|byte| byte.is_ascii())
            .map_or('\0', |&byte| char::from(byte))
    }

    /// The character at an offset; nothing at the end of the text.
    fn character(&self, at: usize) -> Span {
        let len = self.source[at..].chars().next().map_or(0, char::len_utf8);
        Span::new(offset(at), offset(at + len))
    }

    fn word(&self, at: usize) -> Span {
        let len = self.source[at..]
            .find([' ', '\t', '\r', '\n', ',', ']', '}'])
            .unwrap_or(self.source.len() - at);
        Span::new(offset(at), offset(at + len))
    }

    fn line_start(&self, at: usize) -> usize {
        self.source[..at]
            .rfind('\n')
            .map_or(0, |line_feed| line_feed + 1)
    }

    fn line_end(&self, at: usize) -> usize {
        self.source[at..]
            .find('\n')
            .map_or(self.source.len(), |line_feed| at + line_feed)
    }
}

/// Where a quoted text ends, from behind its opening quote on.
fn closing_quote(text: &str, quote: char) -> Option<usize> {
    let mut characters = text.char_indices().peekable();
    while let Some((at, character)) = characters.next() {
        let is_escape = if quote == '"' {
            character == '\\'
        } else {
            text[at..].starts_with("''")
        };
        if is_escape {
            characters.next();
        } else if character == quote {
            return Some(at);
        }
    }
    None
}

/// Whether the text begins with the hexadecimal number of a character, written in `digits` digits.
fn is_character(text: &str, digits: usize) -> bool {
    text.get(..digits)
        .and_then(|number| u32::from_str_radix(number, 16).ok())
        .is_some_and(|number| char::from_u32(number).is_some())
}

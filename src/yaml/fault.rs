//! The faults of a text: their names, what is said of each, and what to do.
//!
//! Finds none of them. Words on why a text stops being readable are the business of [`super::cause`].

use super::bounds::{DEEPEST, MOST_ALIASED, MOST_LISTED};
use super::cause::Cause;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span, too_large};
use std::collections::BTreeMap;

/// The names of all faults of a text, as they stand in brackets behind a message.
pub const FAULTS: [&str; 18] = [
    "unreadable-yaml",
    "merge-conflict",
    "large-file-pointer",
    "web-page",
    "line-end",
    "yaml-version",
    "not-utf-8",
    "file-too-large",
    "empty-file",
    "several-documents",
    "duplicate-key",
    "key-not-text",
    "merge-key",
    "unknown-tag",
    "alias-too-large",
    "alias-in-itself",
    "nested-too-deep",
    "further-faults",
];

/// What is wrong with a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// The parser lost the thread.
    Unreadable(Cause),
    /// A mark that git leaves where a merge was not finished.
    MergeConflict,
    /// What stands for a file in git's large-file storage.
    LargeFilePointer,
    /// A page of HTML, as a failed download leaves.
    WebPage,
    /// A line that ends with a carriage return and no line feed.
    LoneCarriageReturn,
    /// A directive for another version of YAML.
    OtherVersion { version: String },
    /// `count` places are not UTF-8, the first of them at `byte`.
    NotUtf8 { byte: u8, count: usize },
    /// A byte-order mark says that the file is in another encoding.
    OtherEncoding(&'static str),
    /// More text than offsets and memory are meant for.
    TooLarge,
    /// Nothing but blank lines.
    Empty,
    /// Nothing but comments.
    OnlyComments,
    /// `count` documents in one file.
    SeveralDocuments { count: usize },
    /// A key that its mapping has already.
    DuplicateKey { key: String },
    /// A list or a mapping as a key.
    KeyNotText,
    /// A colon with nothing before it.
    KeyAbsent,
    /// `{shown:197 ft}`: a key with a colon in it and nothing behind it.
    ColonInKey { key: String },
    /// A key `<<`.
    MergeKey,
    /// A tag outside the core schema, or one that what follows does not fit.
    UnknownTag { tag: String },
    /// Aliases that stand for too much.
    AliasTooLarge,
    /// An alias within what it stands for.
    AliasInItself { alias: String },
    /// Collections too deep within each other.
    NestedTooDeep,
    /// `count` faults beyond those listed.
    FurtherFaults { count: usize },
}

impl Fault {
    /// Whether it leaves open what its document says, so that the document is better not judged at all.
    ///
    /// Asked of the faults of keys; faults that end the reading of a document spoil it in any case.
    pub(super) fn spoils_document(&self) -> bool {
        match self {
            Self::DuplicateKey { .. } | Self::UnknownTag { .. } | Self::SeveralDocuments { .. } => {
                false
            }
            Self::Unreadable(_)
            | Self::MergeConflict
            | Self::LargeFilePointer
            | Self::WebPage
            | Self::LoneCarriageReturn
            | Self::OtherVersion { .. }
            | Self::NotUtf8 { .. }
            | Self::OtherEncoding(_)
            | Self::TooLarge
            | Self::Empty
            | Self::OnlyComments
            | Self::KeyNotText
            | Self::KeyAbsent
            | Self::ColonInKey { .. }
            | Self::MergeKey
            | Self::AliasTooLarge
            | Self::AliasInItself { .. }
            | Self::NestedTooDeep
            | Self::FurtherFaults { .. } => true,
        }
    }

    fn id(&self) -> &'static str {
        match self {
            Self::Unreadable(_) | Self::ColonInKey { .. } => "unreadable-yaml",
            Self::MergeConflict => "merge-conflict",
            Self::LargeFilePointer => "large-file-pointer",
            Self::WebPage => "web-page",
            Self::LoneCarriageReturn => "line-end",
            Self::OtherVersion { .. } => "yaml-version",
            Self::NotUtf8 { .. } | Self::OtherEncoding(_) => "not-utf-8",
            Self::TooLarge => "file-too-large",
            Self::Empty | Self::OnlyComments => "empty-file",
            Self::SeveralDocuments { .. } => "several-documents",
            Self::DuplicateKey { .. } => "duplicate-key",
            Self::KeyNotText | Self::KeyAbsent => "key-not-text",
            Self::MergeKey => "merge-key",
            Self::UnknownTag { .. } => "unknown-tag",
            Self::AliasTooLarge => "alias-too-large",
            Self::AliasInItself { .. } => "alias-in-itself",
            Self::NestedTooDeep => "nested-too-deep",
            Self::FurtherFaults { .. } => "further-faults",
        }
    }

    fn message(&self) -> String {
        match self {
            Self::Unreadable(cause) => {
                format!("the text stops being readable here: {}", cause.words())
            }
            Self::MergeConflict => {
                "git left a mark of a merge conflict here, so both versions are in the file"
                    .to_owned()
            }
            Self::LargeFilePointer => {
                "the file is a pointer of git's large-file storage, not the record".to_owned()
            }
            Self::WebPage => "the file is a web page, not a record".to_owned(),
            Self::LoneCarriageReturn => {
                "the line ends with a carriage return alone, which many programs do not show"
                    .to_owned()
            }
            Self::OtherVersion { version } => format!(
                "the file says it is YAML {}; records are YAML 1.2, where some words mean other things",
                shown(version)
            ),
            Self::NotUtf8 { byte, count: 1 } => {
                format!("the byte {byte:02X} here is not UTF-8 text")
            }
            Self::NotUtf8 { byte, count } => {
                format!(
                    "the byte {byte:02X} here is not UTF-8 text, as in {} more places",
                    count - 1
                )
            }
            Self::OtherEncoding(encoding) => {
                format!("the file is saved as {encoding}; records are kept in UTF-8")
            }
            Self::TooLarge => format!("the file is {}", too_large()),
            Self::Empty => "the file is empty".to_owned(),
            Self::OnlyComments => "the file holds nothing but comments".to_owned(),
            Self::SeveralDocuments { count } => {
                format!("the file holds {count} records where one belongs; only the first counts")
            }
            Self::DuplicateKey { key } => format!("the key `{}` is written again", shown(key)),
            Self::KeyNotText => {
                "a key here is a list or a mapping; it must be a word or a number".to_owned()
            }
            Self::KeyAbsent => "a value stands here without its key".to_owned(),
            Self::ColonInKey { key } => format!(
                "`{}` is one key without a value, as no space follows its colon",
                shown(key)
            ),
            Self::MergeKey => {
                "the key `<<` copies keys from elsewhere, which records do not do".to_owned()
            }
            Self::UnknownTag { tag } => format!(
                "the tag `{}` says nothing that a record can use",
                shown(tag)
            ),
            Self::AliasTooLarge => {
                format!(
                    "aliases stand for more than {MOST_ALIASED} values, and no record needs that"
                )
            }
            Self::AliasInItself { alias } => {
                format!("`{}` stands for a value that contains it", shown(alias))
            }
            Self::NestedTooDeep => {
                format!("lists and mappings stand more than {DEEPEST} deep within each other here")
            }
            Self::FurtherFaults { count: 1 } => {
                "1 more fault of this file is not listed".to_owned()
            }
            Self::FurtherFaults { count } => {
                format!("{count} more faults of this file are not listed")
            }
        }
    }

    fn help(&self) -> String {
        let text = match self {
            Self::Unreadable(cause) => cause.help(),
            Self::MergeConflict => {
                "keep the version that is right, and delete the other and all lines of marks"
            }
            Self::LargeFilePointer => {
                "save the record itself in its place, as `git lfs pull` does; keep records out of that storage"
            }
            Self::WebPage => {
                "save the record itself in its place; the page may be a failed download"
            }
            Self::LoneCarriageReturn => "save the file with line ends of your system, LF or CRLF",
            Self::OtherVersion { .. } => "delete the line",
            Self::NotUtf8 {
                byte: byte @ 0xa0..,
                ..
            } => {
                return format!(
                    "save the file as UTF-8; in Latin-1 this byte is `{}`",
                    char::from(*byte)
                );
            }
            Self::NotUtf8 { .. } | Self::OtherEncoding(_) => "save the file as UTF-8",
            Self::TooLarge => "keep one visit to a file",
            Self::Empty | Self::OnlyComments => "write the record, or delete the file",
            Self::SeveralDocuments { .. } => {
                "move every further record to a file of its own; a line `---` begins one"
            }
            Self::DuplicateKey { .. } => "keep the one that holds and delete the other",
            Self::KeyNotText => "put quotes around a key that begins with `[` or `{`",
            Self::KeyAbsent => "write the key before the colon",
            Self::ColonInKey { .. } => "put a space after the colon",
            Self::MergeKey => "write the keys out here",
            Self::AliasTooLarge | Self::AliasInItself { .. } => "write out here what is meant",
            Self::UnknownTag { .. } => {
                "delete the tag; put quotes around a text that begins with `!`"
            }
            Self::NestedTooDeep => {
                "close brackets where their lists end, and begin keys that belong together at one column"
            }
            Self::FurtherFaults { .. } => "correct the listed errors and check again",
        };
        text.to_owned()
    }

    /// A few words on what stands at the place.
    fn label(&self) -> &'static str {
        match self {
            Self::Unreadable(_)
            | Self::MergeConflict
            | Self::LargeFilePointer
            | Self::WebPage
            | Self::OtherVersion { .. }
            | Self::TooLarge
            | Self::Empty
            | Self::OnlyComments
            | Self::AliasInItself { .. }
            | Self::MergeKey
            | Self::UnknownTag { .. } => "",
            Self::LoneCarriageReturn => "a line ends here",
            Self::NotUtf8 { .. } => "shown as \u{fffd}",
            Self::OtherEncoding(_) => "the file begins here",
            Self::SeveralDocuments { .. } => "a second record begins here",
            Self::DuplicateKey { .. } => "written again",
            Self::KeyNotText => "a key",
            Self::KeyAbsent => "no key",
            Self::ColonInKey { .. } => "all of this is the key",
            Self::AliasTooLarge => "too much",
            Self::NestedTooDeep => "too deep",
            Self::FurtherFaults { .. } => "the first of them",
        }
    }
}

/// A fault at its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Found {
    pub(super) fault: Fault,
    pub(super) span: Span,
    pub(super) related: Option<(Span, &'static str)>,
}

impl Found {
    /// A fault that one place explains.
    pub(super) fn new(fault: Fault, span: Span) -> Self {
        Self {
            fault,
            span,
            related: None,
        }
    }

    /// The finding to tell the user.
    pub(super) fn diagnostic(&self, file: FileId) -> Diagnostic {
        let label = |span, text| Label::new(Place { file, span }, text);
        let primary = label(self.span, self.fault.label());
        let diagnostic = Diagnostic::new(
            self.fault.id(),
            Severity::Error,
            self.fault.message(),
            primary,
        );
        let diagnostic = match self.related {
            Some((span, text)) => diagnostic.also(label(span, text)),
            None => diagnostic,
        };
        diagnostic.help(self.fault.help())
    }
}

/// The faults of one text; those beyond [`MOST_LISTED`] of a kind are only counted.
#[derive(Default)]
pub(super) struct Faults {
    found: Vec<Found>,
    /// How many of each kind there are, by name.
    counts: BTreeMap<&'static str, usize>,
    first_not_listed: Option<Span>,
}

impl Faults {
    pub(super) fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// Whether one of them begins within a span.
    pub(super) fn has_one_in(&self, span: Span) -> bool {
        let mut found = self.found.iter();
        found.any(|found| (span.start..=span.end).contains(&found.span.start))
    }

    /// Tells of one fault in place of all others, which come of it.
    pub(super) fn replace_by(&mut self, found: Found) {
        *self = Self::default();
        self.report(found);
    }

    pub(super) fn report(&mut self, found: Found) {
        if found.fault == Fault::KeyNotText {
            self.forget_within(found.span);
        }
        let count = self.counts.entry(found.fault.id()).or_default();
        *count += 1;
        if *count <= MOST_LISTED {
            self.found.push(found);
        } else {
            self.first_not_listed.get_or_insert(found.span);
        }
    }

    /// Forgets the keys just found that are no texts and stand within such a key: the outermost explains them all.
    fn forget_within(&mut self, key: Span) {
        while let Some(inner) = self
            .found
            .pop_if(|inner| inner.fault == Fault::KeyNotText && key.contains(inner.span))
        {
            self.counts
                .entry(inner.fault.id())
                .and_modify(|count| *count -= 1);
        }
    }

    /// The findings in order of place, then how many more there are.
    pub(super) fn diagnostics(mut self, file: FileId) -> Vec<Diagnostic> {
        self.found.sort_by_key(|found| found.span);
        if let Some(span) = self.first_not_listed {
            let count = self.counts.values().sum::<usize>() - self.found.len();
            self.found
                .push(Found::new(Fault::FurtherFaults { count }, span));
        }
        self.found
            .iter()
            .map(|found| found.diagnostic(file))
            .collect()
    }
}

/// As much of a text from the file as a one-line message has room for.
fn shown(text: &str) -> String {
    const ROOM: usize = 40;
    match text.char_indices().nth(ROOM) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

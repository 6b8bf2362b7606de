//! Words of records that were renamed before the first release: they stay readable, and a note says what to write.
//!
//! The tree is read as if it had the new words, so nothing behind this module knows the old ones.

use super::kind::Kind;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place};
use crate::yaml::{Role, Tree};

/// The name of the note, as it stands in brackets behind its message.
pub const OLD_WORD: &str = "old-word";

/// A word that was renamed, and where it counts.
struct Renamed {
    kind: Kind,
    /// The keys it lies under, from the root inward; lists have none, and `*` is any key.
    under: &'static [&'static str],
    role: Role,
    words: Words,
}

type Words = &'static [(&'static str, &'static str)];

const fn renamed(kind: Kind, role: Role, under: &'static [&'static str], words: Words) -> Renamed {
    Renamed {
        kind,
        under,
        role,
        words,
    }
}

/// Old and new names of rules and their figures.
const RULES: &[(&str, &str)] = &[
    ("catch-short", "short-catch"),
    ("course-short", "short-speed-course"),
    ("landed-altered", "merged-altered"),
    ("landed-amended", "merged-amended"),
    ("landed-deleted", "merged-deleted"),
    ("landed-without-sheet", "merged-without-machine-file"),
    ("runs-few", "too-few-runs"),
    ("step-to-re-check", "step-to-recheck"),
    ("surface-hard", "hard-surface"),
];

const FILL_METER: &[(&str, &str)] = &[("refill meter", "fill meter")];
const FILL_METER_KEY: &[(&str, &str)] = &[("refill-meter", "fill-meter")];
const GPS: &[(&str, &str)] = &[("satellite", "gps")];

const RENAMED: &[Renamed] = &[
    renamed(Kind::Fleet, Role::Key, &["usual"], FILL_METER_KEY),
    renamed(
        Kind::Fleet,
        Role::Value,
        &["instruments", "*", "type"],
        FILL_METER,
    ),
    renamed(Kind::Fleet, Role::Key, &["limits"], RULES),
    renamed(Kind::Fleet, Role::Key, &["limits", "at-course", "*"], RULES),
    renamed(
        Kind::Fleet,
        Role::Key,
        &["limits", "at-machine", "*"],
        RULES,
    ),
    renamed(Kind::Machine, Role::Value, &["speed-source"], GPS),
    renamed(
        Kind::Calibration,
        Role::Key,
        &["preparation"],
        &[("neutralised", "neutralized")],
    ),
    renamed(
        Kind::Calibration,
        Role::Value,
        &["meter-tests", "known-by"],
        FILL_METER,
    ),
    renamed(
        Kind::Calibration,
        Role::Key,
        &["meter-tests"],
        FILL_METER_KEY,
    ),
    renamed(
        Kind::Calibration,
        Role::Key,
        &["section-balance"],
        &[("shut", "sections-off")],
    ),
    renamed(Kind::Service, Role::Key, &["work"], &[("tyres", "tires")]),
    renamed(
        Kind::Service,
        Role::Value,
        &["work", "speed-source", "to"],
        GPS,
    ),
    renamed(Kind::Application, Role::Value, &["volume-by"], FILL_METER),
    renamed(Kind::Application, Role::Key, &[], FILL_METER_KEY),
    renamed(Kind::Waivers, Role::Value, &["waivers", "rule"], RULES),
    renamed(Kind::Rule, Role::Value, &["id"], RULES),
    renamed(Kind::Rule, Role::Value, &["figure"], RULES),
    renamed(Kind::Rule, Role::Value, &["follows"], RULES),
    renamed(Kind::Rule, Role::Value, &["applies", "speed-source"], GPS),
];

impl Renamed {
    fn lies_under(&self, keys: &[&str]) -> bool {
        let is_alike = |(wanted, key): (&&str, &&str)| *wanted == "*" || wanted == key;
        self.under.len() == keys.len() && self.under.iter().zip(keys).all(is_alike)
    }

    fn now(&self, word: &str) -> Option<&'static str> {
        let mut words = self.words.iter();
        words.find(|(was, _)| *was == word).map(|(_, now)| *now)
    }
}

/// Reads old words of a record as the new ones, and tells of each at its place.
pub fn reword(kind: Kind, file: FileId, tree: &mut Tree<'_>) -> Vec<Diagnostic> {
    let of_kind = || RENAMED.iter().filter(|renamed| renamed.kind == kind);
    let mut old_words = of_kind().flat_map(|renamed| renamed.words);
    // Nearly every record has none, and is not walked.
    if !old_words.any(|(was, _)| tree.text().contains(was)) {
        return Vec::new();
    }
    let reworded = tree.reword(&|under, role, word| {
        let mut here =
            of_kind().filter(|renamed| renamed.role == role && renamed.lies_under(under));
        here.find_map(|renamed| renamed.now(word))
    });
    let note = |word: crate::yaml::Reworded| {
        let place = Place {
            file,
            span: word.span,
        };
        let was = &tree.text()[word.span.range()];
        let message = format!("`{was}` is now written `{}`", word.now);
        Diagnostic::new(OLD_WORD, Severity::Note, message, Label::new(place, ""))
            .help(format!("write `{}`; the old word is still read", word.now))
    };
    reworded.into_iter().map(note).collect()
}

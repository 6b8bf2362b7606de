//! The rules that guard merged records, which nothing of the group's overrules.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::Place;

/// How a rule that nothing of a change may silence gets its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Guard {
    /// It has those of its file, and no group sets others.
    Fixed,
    /// A group may set them; those count that stood at the revision compared with.
    AsBefore,
}

/// The name of the rule on what asks for less than before.
pub const REQUIREMENT_RELAXED: &str = "requirement-relaxed";

/// The rules that a change must not silence: no waiver, date, house rule or limit that it brings does.
const GUARDS: [(&str, Guard); 4] = [
    ("landed-record-altered", Guard::Fixed),
    ("landed-record-amended", Guard::AsBefore),
    ("landed-record-deleted", Guard::Fixed),
    (REQUIREMENT_RELAXED, Guard::AsBefore),
];

/// How the rule of a name guards; none where it does not.
pub fn guard(rule: &str) -> Option<Guard> {
    let found = GUARDS.iter().find(|(name, _)| *name == rule);
    found.map(|(_, guard)| *guard)
}

/// Whether the rule of a name is one that a change must not silence.
pub fn is_guard(rule: &str) -> bool {
    guard(rule).is_some()
}

/// Whether a finding of this name tells of merged records, or of an attempt to silence what does.
pub fn is_of_guard(name: &str) -> bool {
    is_guard(name) || [GUARD_OVERRULED, WITHOUT_MACHINE_FILE, RENAMED].contains(&name)
}

/// The name of the finding of an attempt to change what a guard finds.
const GUARD_OVERRULED: &str = "guard-overruled";

/// The name of the finding of merged records that were altered where their machine has no machine file.
pub const WITHOUT_MACHINE_FILE: &str = "merged-without-machine-file";

/// The name of the finding of a machine whose file, folders and name were changed together.
pub const RENAMED: &str = "machine-renamed";

/// The finding of an attempt to change what a guard finds; `because` says what was tried.
pub fn guard_overruled(at: Place, because: &str, rule: &str) -> Diagnostic {
    let message = format!("`{rule}` guards merged records, so {because}");
    Diagnostic::new(
        GUARD_OVERRULED,
        Severity::Error,
        message,
        Label::new(at, ""),
    )
    .help("delete this; enter what was altered under amends in the record, what was deleted under deleted in waivers.yaml")
}

//! The rules that guard merged records, which nothing of the group's overrules.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::Place;

/// The rules that guard merged records.
///
/// What an author changes together with the records must not silence them: no limit, waiver, date or house rule does.
const GUARDS: [&str; 2] = ["landed-record-altered", "landed-record-deleted"];

/// Whether the rule of a name guards merged records.
pub fn is_guard(rule: &str) -> bool {
    GUARDS.contains(&rule)
}

/// Whether a finding of this name tells of merged records, or of an attempt to silence what does.
pub fn is_of_guard(name: &str) -> bool {
    is_guard(name) || [GUARD_OVERRULED, WITHOUT_SHEET].contains(&name)
}

/// The name of the finding of an attempt to change what a guard finds.
const GUARD_OVERRULED: &str = "guard-overruled";

/// The name of the finding of merged records that were altered where their machine has no sheet.
pub const WITHOUT_SHEET: &str = "landed-without-sheet";

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

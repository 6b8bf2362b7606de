//! What the page asks. A request is one of a few, has all of its fields, and no other.

use crate::draft::Kept;
use crate::words::clean;
use crate::words::phrases::shortened;
use serde::Deserialize;
use std::collections::BTreeMap;

/// So many bytes of what is wrong with a request are told.
const LONGEST_REASON: usize = 100;

/// A request; a new one is a variant here, and an arm in `answered`.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) enum Request {
    /// Opens records.
    Open(Open),
    /// Gives a file a text.
    Set(Set),
    /// Checks all records.
    Check {},
    /// Begins a visit.
    Begin(Begin),
    /// Tells what the visit takes in.
    Form {},
    /// Types a value.
    Type(Type),
    /// Leaves a value as it is, and goes on.
    Leave(Leave),
    /// Asks for one more test of a step.
    Again(Again),
    /// Takes back what was typed last.
    Undo {},
    /// Tells what is said of the visit so far.
    SoFar {},
    /// Gives the record of the visit.
    Record {},
    /// Tells what this was built of.
    MadeOf {},
}

/// A visit, and what is kept of it.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Begin {
    pub(super) machine: String,
    pub(super) setup: Option<String>,
    pub(super) day: String,
    pub(super) by: Option<String>,
    #[serde(default)]
    pub(super) kept: KeptFields,
}

/// What is kept of a visit.
#[derive(Debug, Default, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub(super) struct KeptFields {
    /// What was typed, in its order.
    log: Vec<(String, String)>,
    /// Its record, and how many of the values that were typed it had.
    record: Option<String>,
    recorded: usize,
    /// Where its record was to go.
    path: Option<String>,
    /// Where those of the other visits go that are kept.
    taken: Vec<String>,
}

impl From<KeptFields> for Kept {
    fn from(fields: KeptFields) -> Self {
        let KeptFields {
            log,
            record,
            recorded,
            path,
            taken,
        } = fields;
        Self {
            log,
            record: record.map(|record| (recorded, record)),
            path,
            taken,
        }
    }
}

/// A value, by its name, and what stands in its box; `again` where that takes the place of what was typed there last, as
/// while somebody types on in the same box.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Type {
    pub(super) value: String,
    pub(super) text: String,
    #[serde(default)]
    pub(super) again: bool,
}

/// A value that is left as it is, by its name.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Leave {
    pub(super) value: String,
}

/// A step that is tested once more, by its word.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Again {
    pub(super) step: String,
}

/// Records, and the day they are judged on.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Open {
    pub(super) files: BTreeMap<String, String>,
    pub(super) today: String,
}

/// A file and its text.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Set {
    pub(super) path: String,
    pub(super) text: String,
}

impl Request {
    pub(super) fn read(text: &str) -> Result<Self, String> {
        serde_json::from_str(text).map_err(|error| {
            let reason = error.to_string();
            let reason = clean::clean(&reason);
            let reason = shortened(&reason, LONGEST_REASON);
            format!("this is no request: {reason}")
        })
    }
}

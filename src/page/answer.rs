//! What the page is answered.

use super::form::FormFields;
use super::so_far::SoFarFields;
use serde::Serialize;

/// An answer.
#[derive(Debug)]
pub(super) enum Answer {
    /// It is done.
    Done,
    /// What a check finds.
    Checked(Checked),
    /// What a visit takes in.
    Form(Box<FormFields>),
    /// What is said of a visit so far.
    SoFar(Box<SoFarFields>),
    /// A record, and where it goes.
    Record(RecordFields),
    /// What this was built of.
    MadeOf(&'static str),
    /// Why there is no other answer.
    Error(String),
}

/// What a check finds, in two formats.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct Checked {
    /// As `plain`.
    pub(super) report: String,
    /// As `jsonl`.
    pub(super) lines: String,
}

/// A record, and where it goes.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct RecordFields {
    /// From the records' root.
    pub(super) path: String,
    /// Its text.
    pub(super) text: String,
    /// What was typed and is not in it, in words; empty where all is.
    pub(super) left_out: String,
}

#[derive(Serialize)]
struct Done {}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct MadeOf {
    made_of: &'static str,
}

#[derive(Serialize)]
struct Error<'a> {
    error: &'a str,
}

impl Answer {
    pub(super) fn to_json(&self) -> String {
        match self {
            Self::Done => json(&Done {}),
            Self::Checked(checked) => json(checked),
            Self::Form(form) => json(form),
            Self::SoFar(so_far) => json(so_far),
            Self::Record(record) => json(record),
            Self::MadeOf(made_of) => json(&MadeOf { made_of }),
            Self::Error(error) => json(&Error { error }),
        }
    }
}

fn json(fields: &impl Serialize) -> String {
    serde_json::to_string(fields).expect("answers hold only texts and numbers")
}

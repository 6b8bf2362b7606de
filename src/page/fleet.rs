//! The records of the page: opened, changed, checked.

use super::answer::{Answer, Checked};
use super::request::{Open, Set};
use crate::Workspace;
use crate::render::{jsonl, plain};
use crate::tree::is_record;
use crate::words::clean;
use crate::words::phrases::shortened;
use jiff::civil::Date;

/// So many bytes of what a request says are repeated.
const LONGEST_REPEATED: usize = 60;

/// What is said where a request needs records.
pub(super) const NOTHING_OPEN: &str = "no records are open: open some first";

pub(super) fn opened(open: Open) -> Result<Workspace, String> {
    let Open { files, today } = open;
    let day: Result<Date, _> = today.parse();
    let day = day.map_err(|_| format!("{} is no day such as 2026-06-01", repeated(&today)))?;
    let mut fleet = Workspace::new(day);
    for (path, text) in files {
        set(&mut fleet, Set { path, text })?;
    }
    Ok(fleet)
}

pub(super) fn set(fleet: &mut Workspace, set: Set) -> Result<(), String> {
    let Set { path, text } = set;
    if !is_record(&path) {
        return Err(format!("{} is no path of a record", repeated(&path)));
    }
    fleet.set(&path, text);
    Ok(())
}

pub(super) fn checked(fleet: &mut Workspace) -> Answer {
    let report = fleet.check();
    Answer::Checked(Checked {
        report: plain(&report).to_string(),
        lines: jsonl(&report).to_string(),
    })
}

pub(super) fn repeated(text: &str) -> String {
    let text = clean::clean(text);
    format!("`{}`", shortened(&text, LONGEST_REPEATED))
}

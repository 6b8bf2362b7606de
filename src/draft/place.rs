//! Where the record of a visit goes among those of its day.

use super::text::record_path;
use super::typed::Refused;
use super::{Entered, Form, read_back};
use crate::assess::MOST_A_DAY;
use crate::tree::{FilePlace, place_of};
use crate::wording::visit;
use crate::workspace::Workspace;
use jiff::civil::Date;

/// The file of a visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordPlace {
    /// Its path from the records' root.
    pub path: String,
    /// Whether it is there already: a record of this machine, day and setup, or one that cannot be read.
    pub is_there: bool,
}

/// A visit that is kept elsewhere than among the records, to go on with.
#[derive(Debug, Clone, Default)]
pub struct Kept {
    /// What was typed, in its order.
    pub log: Vec<(String, String)>,
    /// What its record was after so many of the values that were typed.
    pub record: Option<(usize, String)>,
    /// Where its record was to go.
    pub path: Option<String>,
    /// Where the records of the other visits go that are kept beside it.
    pub taken: Vec<String>,
}

/// The file of a visit: the record of the setup and day where there is one, else the first name that is free.
///
/// # Errors
/// Where the day has as many records of the machine as are checked, all of other setups.
pub fn record_place(fleet: &Workspace, form: &Form) -> Result<RecordPlace, Refused> {
    for path in paths(form) {
        let Some(known) = there(fleet, form, &path) else {
            return Ok(RecordPlace {
                path,
                is_there: false,
            });
        };
        if text(fleet, &known).is_none_or(|text| read_back::may_be_of(form, text)) {
            return Ok(RecordPlace {
                path: known,
                is_there: true,
            });
        }
    }
    Err(day_is_full(form))
}

/// The file of a visit that is kept elsewhere, and what was typed of it: the record that it goes on with, where there is one,
/// else a name that is free. A record that holds anything else is never the one.
///
/// # Errors
/// Where the day has as many records of the machine as are checked.
pub(super) fn kept_place(
    fleet: &Workspace,
    form: &Form,
    kept: &Kept,
    typed: Entered,
) -> Result<(String, Entered), Refused> {
    let own = kept.path.as_deref();
    let (first, others): (Vec<_>, Vec<_>) =
        paths(form).partition(|path| own == Some(path.as_str()));
    for path in first.into_iter().chain(others) {
        if kept.taken.iter().any(|taken| stem(taken) == stem(&path)) {
            continue;
        }
        let Some(known) = there(fleet, form, &path) else {
            return Ok((path, typed));
        };
        let read = text(fleet, &known).filter(|text| read_back::may_be_of(form, text));
        let Some(read) = read.and_then(|text| Entered::of_record(form, text).ok()) else {
            continue;
        };
        if typed.is_empty() {
            return Ok((known, read));
        }
        if typed.goes_on_with(&read, form) {
            return Ok((known, typed));
        }
    }
    Err(day_is_full(form))
}

/// The paths that the records of a day have, in their order.
fn paths(form: &Form) -> impl Iterator<Item = String> {
    (1..=MOST_A_DAY).map(|number| numbered(&form.machine, form.day, number))
}

/// The path of one of several records of a day, from 1.
fn numbered(machine: &str, day: Date, number: usize) -> String {
    let first = record_path(machine, day);
    match first.strip_suffix(".yaml") {
        Some(stem) if 1 < number => format!("{stem}-{number}.yaml"),
        Some(_) | None => first,
    }
}

/// The record of the machine that has this path. A name of another ending or case is the same record on some systems, and so
/// on all.
fn there(fleet: &Workspace, form: &Form, path: &str) -> Option<String> {
    let is_of_machine = |path: &String| match place_of(path) {
        Some(FilePlace::Calibration { machine: of }) => of == form.machine,
        _ => false,
    };
    let mut known = fleet.paths().into_iter().filter(is_of_machine);
    known.find(|known| stem(known) == stem(path))
}

fn stem(path: &str) -> String {
    let stem = path.rsplit_once('.').map_or(path, |(stem, _)| stem);
    stem.to_lowercase()
}

/// The text of a record; none where it is not UTF-8.
fn text<'f>(fleet: &'f Workspace, path: &str) -> Option<&'f str> {
    let bytes = fleet.text(path)?;
    std::str::from_utf8(bytes).ok()
}

fn day_is_full(form: &Form) -> Refused {
    Refused {
        message: visit::day_is_full(&form.machine, form.day, MOST_A_DAY),
        help: visit::USE_ONE_OF_THE_DAY.to_owned(),
    }
}

//! Where the record of a visit goes among those of its day.

use super::text::record_path;
use super::typed::Refused;
use super::{Form, read_back};
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

/// The path of one of several records of a day, from 1.
fn numbered(machine: &str, day: Date, number: usize) -> String {
    let first = record_path(machine, day);
    match first.strip_suffix(".yaml") {
        Some(stem) if 1 < number => format!("{stem}-{number}.yaml"),
        Some(_) | None => first,
    }
}

/// The file of a visit: the record of the setup and day where there is one, else the first name that is free.
///
/// # Errors
/// Where the day has as many records of the machine as are checked, all of other setups.
pub fn record_place(fleet: &Workspace, form: &Form) -> Result<RecordPlace, Refused> {
    let there = fleet.paths();
    let machine = &form.machine;
    let is_of_machine = |path: &str| match place_of(path) {
        Some(FilePlace::Calibration { machine: of }) => of == *machine,
        _ => false,
    };
    // A name of another ending or case is the same record on some systems, and so on all.
    let stem = |path: &str| {
        let stem = path.rsplit_once('.').map_or(path, |(stem, _)| stem);
        stem.to_lowercase()
    };
    for number in 1..=MOST_A_DAY {
        let path = numbered(machine, form.day, number);
        let mut of_day = there.iter().filter(|path| is_of_machine(path));
        let Some(known) = of_day.find(|known| stem(known) == stem(&path)) else {
            return Ok(RecordPlace {
                path,
                is_there: false,
            });
        };
        let text = fleet
            .text(known)
            .and_then(|bytes| std::str::from_utf8(bytes).ok());
        if text.is_none_or(|text| read_back::may_be_of(form, text)) {
            return Ok(RecordPlace {
                path: known.clone(),
                is_there: true,
            });
        }
    }
    Err(Refused {
        message: visit::day_is_full(machine, form.day, MOST_A_DAY),
        help: visit::USE_ONE_OF_THE_DAY.to_owned(),
    })
}

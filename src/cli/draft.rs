//! `draft`: the record of the next visit, with everything known filled in and each reading empty.

use crate::cli::args::DraftArguments;
use crate::cli::exit::EXIT_CLEAN;
use crate::cli::failure::CannotCheck;
use crate::cli::output;
use crate::cli::record_file::RecordFile;
use crate::cli::visit::{Visited, form, place, visited};
use crate::draft::{self, Entered, Extent, Form, Wanted};
use crate::render::{self, Harmless};
use crate::wording::visit;
use jiff::civil::Date;

/// The schema of such a record, from the records' root.
const SCHEMA: &str = "schemas/calibration.json";

pub(super) fn draft(arguments: &DraftArguments, today: Date) -> Result<u8, CannotCheck> {
    let of = &arguments.visit;
    let day = of.date.unwrap_or(today);
    let mut visited = visited(&of.machine, day)?;
    may_be_drafted(&visited)?;
    let wanted = Wanted {
        machine: &of.machine,
        setup: of.setup.as_deref(),
        day,
        by: arguments.by.as_deref(),
    };
    let form = form(&mut visited, &wanted)?;
    if !arguments.all && !form.is_anything_due() {
        let nothing_due = visit::nothing_due(&form.machine);
        output::to_errors(&render::each_in_a_line(&[nothing_due]));
    }
    let text = Harmless::lines(&text(&visited, &form, arguments.all));
    if !arguments.write {
        output::to_output(&text)?;
        return Ok(EXIT_CLEAN);
    }
    let place = place(&visited, &form)?;
    if place.is_there {
        return Err(CannotCheck::Asked {
            message: visit::is_there(&place.path),
            help: visit::fill_in_or_enter(&form.enter_command()),
        });
    }
    RecordFile::new(&visited.scope.root, &place.path, None).write(&text)?;
    output::to_output(&Harmless::lines(&visit::begun(&place.path)))?;
    Ok(EXIT_CLEAN)
}

/// A record is not begun from records of which some could not be read: what is due, and what was left last, may differ.
pub(super) fn may_be_drafted(visited: &Visited) -> Result<(), CannotCheck> {
    let Some(failure) = visited.failures.first() else {
        return Ok(());
    };
    Err(CannotCheck::Asked {
        message: format!("{} could not be read: {}", failure.path, failure.reason),
        help: "check who may read it".to_owned(),
    })
}

fn text(visited: &Visited, form: &Form, all: bool) -> String {
    let has_schema = std::fs::symlink_metadata(visited.scope.root.join(SCHEMA))
        .is_ok_and(|schema| schema.is_file());
    let schema = format!("../../{SCHEMA}");
    let begun = Extent::Begun {
        all,
        schema: has_schema.then_some(&schema),
    };
    draft::text(form, &Entered::default(), begun).text
}

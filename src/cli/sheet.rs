//! `sheet`: a page to write on at the machine, or to type into.

use crate::cli::args::{ColorChoice, SheetArguments, SheetFormat};
use crate::cli::failure::CannotCheck;
use crate::cli::visit::{Visited, form, setups, visited};
use crate::cli::{EXIT_CLEAN, EXIT_COULD_NOT_CHECK, output, screen};
use crate::draft::Wanted;
use crate::render::{Harmless, Look, Page, Paper, Sheet, module, page};
use crate::report::Failure;
use crate::tree::{FilePlace, place_of};
use crate::words::dates;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Paper has neither the colors nor the columns of a terminal.
const ON_PAPER: Look = Look {
    color: false,
    width: 80,
};

/// Writes the sheet; `today` is its day where no option says.
pub(super) fn sheet(arguments: &SheetArguments, today: Date) -> Result<u8, CannotCheck> {
    let day = arguments.date.unwrap_or(today);
    let mut visited = visited(&arguments.machine, day)?;
    let wanted = Wanted {
        machine: &arguments.machine,
        setup: arguments.setup.as_deref(),
        day,
        by: None,
    };
    let written = match arguments.format {
        SheetFormat::Paper(format) => {
            let sheet = on_paper(&mut visited, &wanted, arguments.paper)?;
            (format.write)(&sheet, &ON_PAPER)
        }
        SheetFormat::Page => for_phone(&mut visited, &wanted, arguments.date)?,
    };
    output::to_output(&written)?;
    if visited.failures.is_empty() {
        return Ok(EXIT_CLEAN);
    }
    output::tell(
        "some files or folders could not be read",
        "run `swathlint check` to see which, and why",
        screen::of_errors(ColorChoice::Auto),
    );
    Ok(EXIT_COULD_NOT_CHECK)
}

fn on_paper(
    visited: &mut Visited,
    wanted: &Wanted<'_>,
    paper: Paper,
) -> Result<Sheet, CannotCheck> {
    let form = form(visited, wanted)?;
    Ok(Sheet { form, paper })
}

/// The page that judges; its day is the one on which it is opened, unless one is asked for.
fn for_phone(
    visited: &mut Visited,
    wanted: &Wanted<'_>,
    day: Option<Date>,
) -> Result<Harmless, CannotCheck> {
    let module = module().map_err(|none| CannotCheck::Asked {
        message: none.to_string(),
        help: none.help().to_owned(),
    })?;
    let setups = setups(visited, wanted)?;
    let is_of_another = |path: &String| matches!(place_of(path), Some(FilePlace::MachineFile { machine }) if machine != wanted.machine);
    let mut files = BTreeMap::new();
    for path in visited.fleet.paths() {
        if is_of_another(&path) {
            continue;
        }
        let text = visited.fleet.text(&path).unwrap_or_default().to_vec();
        match String::from_utf8(text) {
            Ok(text) => drop(files.insert(path, text)),
            Err(_) => visited.failures.push(Failure {
                path,
                reason: "it is not UTF-8".to_owned(),
            }),
        }
    }
    let made = Page {
        machine: wanted.machine.to_owned(),
        setups,
        day: day.map(dates::date),
        files,
    };
    Ok(page(&made, module))
}

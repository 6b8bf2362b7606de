//! `enter`: a visit typed reading by reading, its record written after every value.
//!
//! What is asked and said is the dialogue's. Questions go to the standard error, as those of `start` do, and the report
//! to the standard output, so that a script reads what it reads of `check`.

mod lines;

use crate::cli::args::EnterArguments;
use crate::cli::draft::may_be_drafted;
use crate::cli::exit::{EXIT_CLEAN, EXIT_FINDINGS};
use crate::cli::failure::CannotCheck;
use crate::cli::output;
use crate::cli::record_file::RecordFile;
use crate::cli::screen;
use crate::cli::visit::{Visited, form, place, visited};
use crate::diagnostic::Severity;
use crate::draft::{Dialogue, Entered, Session, Wanted};
use crate::render::{self, Harmless};
use crate::wording::visit;
use jiff::civil::Date;
use lines::{Line, Lines};

pub(super) fn enter(arguments: &EnterArguments, today: Date) -> Result<u8, CannotCheck> {
    let of = &arguments.visit;
    let day = of.date.unwrap_or(today);
    let visited = visited(&of.machine, day)?;
    may_be_drafted(&visited)?;
    let wanted = Wanted {
        machine: &of.machine,
        setup: of.setup.as_deref(),
        day,
        by: None,
    };
    let (mut dialogue, mut file) = begun(visited, &wanted, arguments.all)?;
    said(&dialogue.opening());
    asked(&mut dialogue, &mut file)?;
    if dialogue.entered().is_empty() {
        said(&[visit::NOTHING_WRITTEN.to_owned()]);
        return Ok(EXIT_CLEAN);
    }
    said(&[
        String::new(),
        visit::written(dialogue.path(), &dialogue.command()),
    ]);
    let report = dialogue.check();
    let look = screen::of_output(&arguments.screen);
    output::to_output(&render::terminal(&report, &look))?;
    let (mut closing, due) = dialogue.closing();
    closing.extend(render::due_not_told(&due));
    output::to_output(&render::each_in_a_line(&closing))?;
    let has_error = report
        .heaviest()
        .is_some_and(|heaviest| Severity::Error <= heaviest);
    Ok(if has_error { EXIT_FINDINGS } else { EXIT_CLEAN })
}

/// The visit, gone on with where its record is there, and the file of the record.
fn begun(
    mut visited: Visited,
    wanted: &Wanted<'_>,
    all: bool,
) -> Result<(Dialogue, RecordFile), CannotCheck> {
    let form = form(&mut visited, wanted)?;
    let place = place(&visited, &form)?;
    let known = visited.fleet.text(&place.path).map(<[u8]>::to_vec);
    let file = RecordFile::new(&visited.scope.root, &place.path, known.clone());
    let session = Session::open_at(visited.fleet, wanted, place.path.clone())?;
    let entered = match known {
        None => Entered::default(),
        Some(bytes) => {
            let text = str::from_utf8(&bytes).map_err(|_| CannotCheck::Asked {
                message: format!("{} is not UTF-8 text, and stays as it is", place.path),
                help: "save it as UTF-8 in your editor, then run it again".to_owned(),
            })?;
            let read = Entered::of_record(session.form(), text);
            read.map_err(|refused| CannotCheck::Asked {
                message: format!("{}: {}", place.path, refused.message),
                help: refused.help,
            })?
        }
    };
    Ok((Dialogue::new(session, entered, all), file))
}

/// Asks until all was read, somebody is done, or the lines end.
fn asked(dialogue: &mut Dialogue, file: &mut RecordFile) -> Result<(), CannotCheck> {
    let mut lines = Lines::new();
    while let Some(question) = dialogue.question() {
        said(&question.heading);
        let line = match lines.next(&question.words)? {
            Line::Typed(line) => line,
            Line::NoText => {
                said(&[visit::NO_TEXT.to_owned()]);
                continue;
            }
            Line::End => return Ok(()),
        };
        let answer = dialogue.answer(&line);
        if answer.is_changed {
            file.write(&Harmless::lines(&dialogue.record()))?;
        }
        said(&answer.lines);
        if answer.is_end {
            return Ok(());
        }
    }
    Ok(())
}

fn said(lines: &[String]) {
    output::to_errors(&render::each_in_a_line(lines));
}

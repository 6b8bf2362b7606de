//! Writing: a report in a format, to the standard output; messages to the standard error.
//!
//! Nothing but a [`Harmless`] text is written, here or to a file.
//! A reader that stops reading is no error: whoever closed the pipe has seen enough.

use crate::cli::args::{DueFormat, Format};
use crate::cli::failure::{CannotCheck, reason};
use crate::render::{self, Harmless, Look};
use crate::report::{DueList, Report};
use std::io::{self, ErrorKind, Write};

/// The report in a format.
pub(crate) fn written(report: &Report, format: Format, look: &Look) -> Harmless {
    match format {
        Format::Terminal => render::terminal(report, look),
        Format::Plain => render::plain(report),
        Format::Jsonl => render::jsonl(report),
    }
}

/// The list of what is due in a format.
pub(crate) fn due_written(due: &DueList, format: DueFormat, look: &Look) -> Harmless {
    match format {
        DueFormat::Text => render::due_text(due, look),
        DueFormat::Markdown => render::due_markdown(due),
        DueFormat::Csv => render::due_csv(due),
        DueFormat::Jsonl => render::due_jsonl(due),
        DueFormat::Ics => render::due_calendar(due),
    }
}

/// Writes to the standard output.
pub(crate) fn to_output(text: &Harmless) -> Result<(), CannotCheck> {
    let mut output = io::stdout().lock();
    match output
        .write_all(text.as_bytes())
        .and_then(|()| output.flush())
    {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(CannotCheck::Write {
            to: "the output".to_owned(),
            reason: reason(&error),
        }),
        Ok(()) | Err(_) => Ok(()),
    }
}

/// Writes to the standard error.
pub(crate) fn to_errors(text: &Harmless) {
    // There is nowhere left to say that the last place to say something is gone.
    io::stderr().lock().write_all(text.as_bytes()).ok();
}

/// Tells on the standard error why nothing was checked, and what to do.
pub(crate) fn tell(message: &str, help: &str, look: Look) {
    to_errors(&render::failure(message, help, &look));
}

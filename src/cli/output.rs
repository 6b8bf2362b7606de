//! Writing: what a command made to the standard output, messages to the standard error.
//!
//! Nothing but a [`Harmless`] text is written, here or to a file.
//! A reader that stops reading is no error: whoever closed the pipe has seen enough.

use crate::cli::failure::{CannotCheck, reason};
use crate::render::{self, Harmless, Look};
use std::io::{self, ErrorKind, Write};

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

//! A fault of the program, caught at its edge: what failed, and which file was read last.
//!
//! Hides none: whoever catches one ends with the exit code for what could not be checked.

use std::cell::RefCell;
use std::panic::{self, AssertUnwindSafe, PanicHookInfo};
use std::sync::{Arc, Mutex, PoisonError};

thread_local! {
    /// The file that this thread read last.
    static LAST_READ: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// A fault of the program.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Fault {
    /// What the program says of it.
    message: String,
    /// Where in the program.
    location: Option<String>,
    /// The file that was read last by the thread that failed.
    last_read: Option<String>,
}

impl Fault {
    /// What happened, for the user.
    pub(crate) fn message(&self) -> String {
        let Self {
            message,
            location,
            last_read,
        } = self;
        let location = location
            .as_ref()
            .map_or_else(String::new, |location| format!(" ({location})"));
        let read = last_read.as_ref().map_or_else(String::new, |file| {
            format!("; the file read last was {file}")
        });
        format!("internal error: {message}{location}{read}")
    }

    /// What to do about it.
    pub(crate) fn help(&self) -> String {
        let file = if self.last_read.is_some() {
            " and this file"
        } else {
            ""
        };
        format!("report this message{file} to the people who maintain swathlint")
    }

    fn new(info: &PanicHookInfo<'_>) -> Self {
        Self {
            message: info
                .payload_as_str()
                .unwrap_or("it gives no reason")
                .to_owned(),
            location: info.location().map(ToString::to_string),
            last_read: LAST_READ.with(|file| file.try_borrow().ok().and_then(|file| file.clone())),
        }
    }
}

/// Notes that this thread reads a file.
pub(crate) fn reading(path: &str) {
    LAST_READ.with(|file| *file.borrow_mut() = Some(path.to_owned()));
}

/// Does some work; a fault in it, on whatever thread, comes back as the first one told.
pub(crate) fn caught<T>(work: impl FnOnce() -> T) -> Result<T, Fault> {
    let first: Arc<Mutex<Option<Fault>>> = Arc::default();
    let told = Arc::clone(&first);
    let usual = panic::take_hook();
    panic::set_hook(Box::new(move |info| {
        let mut first = told.lock().unwrap_or_else(PoisonError::into_inner);
        first.get_or_insert_with(|| Fault::new(info));
    }));
    // Nothing that the work has left half done is looked at again.
    let done = panic::catch_unwind(AssertUnwindSafe(work));
    panic::set_hook(usual);
    done.map_err(|_| {
        first
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take()
            .unwrap_or_default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::{Look, failure};
    use rayon::prelude::*;

    /// What a fault calls is one for the whole process.
    static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());

    #[test]
    fn a_fault_on_any_thread_names_the_file_that_was_read() {
        let _alone = ONE_AT_A_TIME.lock();
        let fault = caught(|| {
            (0..100).into_par_iter().for_each(|n| {
                reading(&format!("machines/{n}.yaml"));
                assert!(n != 42, "no machine is the {n}nd");
            });
        })
        .unwrap_err();
        let message = fault.message();
        assert!(message.starts_with("internal error: no machine is the 42nd (src/cli/fault.rs:"));
        assert!(
            message.ends_with("; the file read last was machines/42.yaml"),
            "{message}"
        );
        assert!(fault.help().contains("and this file"));
        assert_eq!(caught(|| 1), Ok(1));
    }

    #[test]
    fn a_fault_with_the_text_of_a_record_drives_no_log() {
        let _alone = ONE_AT_A_TIME.lock();
        let fault = caught(|| {
            reading("machines/\n::error::x.yaml");
            panic!("no \u{9b}31m ##[error] \n::error::y");
        })
        .unwrap_err();
        let look = Look {
            color: false,
            width: 40,
        };
        let told = failure(&fault.message(), &fault.help(), &look);
        for harmful in ["##[", "\u{9b}", "\n::", "\n  ::"] {
            assert!(!told.contains(harmful), "{told}");
        }
        for shown in [r"\n::error::x", r"\u{9b}31m", r"##\u{5b}error]"] {
            assert!(told.contains(shown), "{told}");
        }
    }
}

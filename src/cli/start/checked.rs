//! Whether the files of a started repository check clean.

use super::files::{Files, listing, read};
use crate::Settings;
use crate::cli::failure::CannotCheck;
use crate::diagnostic::NOT_FILLED_IN;
use jiff::civil::Date;

/// Whether `check` would find nothing but what is still to be filled in.
pub(super) fn checks_clean(files: &Files, date: Date) -> Result<(), CannotCheck> {
    let report = crate::check(&listing(files), &read(files), &Settings::on(date));
    let mut findings = report.findings.iter();
    match findings.find(|finding| finding.rule() != NOT_FILLED_IN) {
        Some(finding) => Err(CannotCheck::StartFound {
            message: finding.message().to_owned(),
            help: finding.help_text().unwrap_or_default().to_owned(),
        }),
        None => Ok(()),
    }
}

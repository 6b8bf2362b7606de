//! What came of reading the files of the group, or of one machine.

use crate::diagnostic::Diagnostic;
use crate::source::FileId;
use crate::tree::{Failure, Reader, Record};
use std::sync::Arc;

/// What came of reading some files.
#[derive(Debug, Clone, Default)]
pub struct Texts {
    /// What is wrong with them.
    pub findings: Vec<Diagnostic>,
    /// Those that could not be read at all.
    pub failures: Vec<Failure>,
    /// How many there are.
    pub records: usize,
    /// Those that nothing can be made of.
    pub unreadable: Vec<FileId>,
    /// House rules that are not run.
    pub rules_not_run: usize,
    /// How many YAML files in other places are no records.
    pub ignored: usize,
}

impl Texts {
    /// A record of the kind that its place wants; none where nothing can be made of it, or where it does not count.
    pub(super) fn record<R: Record>(
        &mut self,
        reader: &Reader<'_>,
        file: FileId,
    ) -> Option<Arc<R>> {
        self.records += 1;
        if reader.tree.is_refused(file) {
            self.unreadable.push(file);
            return None; // Its finding is one with those of the files it cannot be told from.
        }
        let read = reader.record::<R>(file);
        self.findings.extend(read.findings.iter().cloned());
        self.failures.extend(read.failure.clone());
        if read.record.is_none() {
            self.unreadable.push(file);
        }
        read.record.clone()
    }
}

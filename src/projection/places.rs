//! Places as other programs want them: path, line, column.

use crate::report::RowPlace;
use crate::source::{FileId, Place, SourceFile};
use crate::tree::Reader;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Finds lines and columns; a text is read again once for all places in it.
pub(crate) struct Places<'r> {
    reader: &'r Reader<'r>,
    /// None where a file can no longer be read.
    sources: BTreeMap<FileId, Option<Arc<SourceFile>>>,
}

impl<'r> Places<'r> {
    pub(crate) fn new(reader: &'r Reader<'r>) -> Self {
        Self {
            reader,
            sources: BTreeMap::new(),
        }
    }

    pub(crate) fn at(&mut self, place: Place) -> RowPlace {
        let reader = self.reader;
        let source = self
            .sources
            .entry(place.file)
            .or_insert_with(|| reader.text(place.file).ok());
        let (line, column) = source.as_ref().map_or((1, 1), |source| {
            let (line, column) = source.position(place.span.start);
            (line.0, column.0)
        });
        RowPlace {
            path: reader.tree.path(place.file).to_owned(),
            line,
            column,
        }
    }
}

//! The files of a repository before they are written.

use crate::Listing;
use std::collections::BTreeMap;

/// The files of a repository, by path from its folder.
pub(super) type Files = BTreeMap<String, String>;

/// Their paths.
pub(super) fn listing(files: &Files) -> Listing {
    Listing {
        paths: files.keys().cloned().collect(),
        ..Listing::default()
    }
}

/// Reads files that are not yet written.
pub(super) fn read(files: &Files) -> impl Fn(&str) -> Result<Vec<u8>, String> + Sync {
    |path| match files.get(path) {
        Some(text) => Ok(text.clone().into_bytes()),
        None => Err("it is not there".to_owned()),
    }
}

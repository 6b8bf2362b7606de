//! What marks the root of the records, and the top of a repository.

use std::path::Path;

/// Names of the file that marks the root of the records.
const FLEET_FILES: [&str; 2] = ["fleet.yaml", "fleet.yml"];

/// The folder that marks the root as well.
const MACHINES: &str = "machines";

/// Everything that may mark the root.
pub(crate) const MARKS: [&str; 3] = [FLEET_FILES[0], FLEET_FILES[1], MACHINES];

/// The root among some folders, from the inside out: the nearest with a fleet file or machines.
///
/// A fleet file above a folder with machines of its own does not take them over: a change could put one there.
pub(crate) fn nearest_root<F: Copy>(
    mut folders: impl Iterator<Item = F>,
    has_file: impl Fn(F, &str) -> bool,
    has_folder: impl Fn(F, &str) -> bool,
) -> Option<F> {
    let has_fleet = |folder: F| FLEET_FILES.iter().any(|name| has_file(folder, name));
    folders.find(|&folder| has_fleet(folder) || has_folder(folder, MACHINES))
}

/// Whether a folder has what marks a repository; a name that git writes differently on some systems is none.
pub(crate) fn has_git(folder: &Path) -> bool {
    folder.join(".git").symlink_metadata().is_ok()
}

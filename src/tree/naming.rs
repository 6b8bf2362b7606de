//! Names by which it is open which file counts: two files of one thing, and known names in the wrong case.
//!
//! Of two files of one thing neither counts, since whoever adds the second may be the one who is to be checked. Some
//! systems take names that differ only in case for one, so that what counts there must count nowhere else.

use super::listing::{ending_of, is_record, stem};
use crate::source::FileId;
use std::collections::{BTreeMap, BTreeSet};

/// Files that do not count, and why.
#[derive(Debug)]
pub struct Refusal {
    /// Why they do not.
    pub why: Why,
    /// The first file of each name.
    pub first: Vec<FileId>,
}

/// Why files do not count.
#[derive(Debug)]
pub enum Why {
    /// Files of one thing.
    Twice,
    /// Names that only differ in case, of files or of folders.
    AlikeButForCase {
        /// The names.
        names: Vec<String>,
        /// Whether they are of folders.
        is_folder: bool,
    },
    /// A known name in the wrong case.
    WrongCase {
        /// As written.
        name: String,
        /// As it must be written.
        right: String,
    },
}

/// The files of each written name.
type Names<'p> = BTreeMap<&'p str, Vec<FileId>>;

/// Why files of these paths do not count, and which they are.
pub(super) fn refusals<'p>(
    files: impl Iterator<Item = (FileId, &'p str)>,
) -> (Vec<Refusal>, BTreeSet<FileId>) {
    let mut refusals = Vec::new();
    let mut refused = BTreeSet::new();
    let records: Vec<(FileId, &str)> = files.filter(|(_, path)| is_record(path)).collect();
    // The outermost name explains all below it.
    for depth in 1..=3 {
        let mut alike: BTreeMap<(bool, String), Names<'_>> = BTreeMap::new();
        for &(file, path) in records.iter().filter(|(file, _)| !refused.contains(file)) {
            if let Some(name) = up_to(path, depth) {
                let is_folder = name.len() < path.len();
                let compared = if is_folder { name } else { stem(name) };
                let names = alike.entry((is_folder, compared.to_lowercase()));
                names.or_default().entry(name).or_default().push(file);
            }
        }
        for ((is_folder, _), names) in alike {
            let Some(why) = why(&names, is_folder, depth) else {
                continue;
            };
            let first = names.values().filter_map(|files| files.first().copied());
            refusals.push(Refusal {
                why,
                first: first.collect(),
            });
            refused.extend(names.into_values().flatten());
        }
    }
    (refusals, refused)
}

/// The first so many parts of a path.
fn up_to(path: &str, depth: usize) -> Option<&str> {
    let mut ends = path.match_indices('/').map(|(at, _)| at);
    match ends.nth(depth - 1) {
        Some(end) => Some(&path[..end]),
        None => (path.matches('/').count() + 1 == depth).then_some(path),
    }
}

fn why(names: &Names<'_>, is_folder: bool, depth: usize) -> Option<Why> {
    let written: Vec<&str> = names.keys().copied().collect();
    if let [name] = written[..] {
        // The group chooses the names of machines; ours are those at the root, and the endings.
        let right = match (depth, is_folder) {
            (1, _) => name.to_lowercase(),
            (_, true) => return None,
            (_, false) => format!("{}{}", stem(name), ending_of(name).to_lowercase()),
        };
        let name = name.to_owned();
        return (name != right).then_some(Why::WrongCase { name, right });
    }
    let is_one_stem = written.windows(2).all(|two| stem(two[0]) == stem(two[1]));
    Some(if is_one_stem && !is_folder {
        Why::Twice
    } else {
        let names = written.into_iter().map(str::to_owned).collect();
        Why::AlikeButForCase { names, is_folder }
    })
}

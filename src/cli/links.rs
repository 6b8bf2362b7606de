//! Links on the way to a file or folder that was named, and whose they are.
//!
//! A way in, to the records, may lead through links of the user's own, but through none that is under version control:
//! whoever changes the records may have put that there, and would choose by it which records are read and what they are
//! compared with. A way out, to a file that is written, leads through no link in the repository at all, tracked or not:
//! nothing is lost by naming the folder itself. Links in the place of records are none of these: they are never
//! followed, wherever they lead.

use crate::cli::failure::CannotCheck;
use crate::cli::git::repository::Repository;
use crate::cli::marks::has_git;
use std::ffi::OsString;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// So many links may be on one way, as in most systems.
const MOST_LINKS: usize = 40;

/// A link by the folder that it lies in, without links, and its name there.
#[derive(Debug)]
struct Link {
    folder: PathBuf,
    name: OsString,
}

impl Link {
    fn path(&self) -> PathBuf {
        self.folder.join(&self.name)
    }
}

/// Refuses a way in through a link that is under version control.
pub(crate) fn refuse_planted(way: &Path) -> Result<(), CannotCheck> {
    for link in links_on(way) {
        match Repository::keeps(&link.folder, &link.name) {
            Ok(false) => {}
            Ok(true) => return Err(CannotCheck::PlantedLink { link: link.path() }),
            Err(cannot) => {
                return Err(CannotCheck::UnclearLink {
                    link: link.path(),
                    reason: cannot.to_string(),
                });
            }
        }
    }
    Ok(())
}

/// The first link on a way out that lies in the repository of the records.
pub(crate) fn within_repository(way: &Path, root: &Path) -> Option<PathBuf> {
    let repository = root.ancestors().find(|folder| has_git(folder));
    let repository = repository.unwrap_or(root);
    let mut links = links_on(way).into_iter();
    let link = links.find(|link| link.folder.starts_with(repository));
    link.map(|link| link.path())
}

/// Every link that an absolute way leads through, those that links lead to among them, as far as it can be followed.
fn links_on(way: &Path) -> Vec<Link> {
    let mut at = PathBuf::new();
    let mut ahead: Vec<OsString> = parts(way);
    let mut links = Vec::new();
    while let Some(part) = ahead.pop() {
        if part == ".." {
            at.pop();
            continue;
        }
        let there = at.join(&part);
        let is_link = fs::symlink_metadata(&there).is_ok_and(|there| there.is_symlink());
        let target = is_link.then(|| fs::read_link(&there).ok()).flatten();
        let Some(target) = target.filter(|_| links.len() < MOST_LINKS) else {
            at = there;
            continue;
        };
        links.push(Link {
            folder: at.clone(),
            name: part,
        });
        // What begins at the top takes the place of all before it.
        ahead.extend(parts(&target));
    }
    links
}

/// The parts of a way, the first one last.
fn parts(way: &Path) -> Vec<OsString> {
    let parts = way.components().filter(|part| *part != Component::CurDir);
    parts
        .rev()
        .map(|part| part.as_os_str().to_owned())
        .collect()
}

#[cfg(unix)]
#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::symlink;

    #[test]
    fn every_link_on_a_way_is_met() {
        let folder = tempfile::tempdir().unwrap();
        let top = fs::canonicalize(folder.path()).unwrap();
        fs::create_dir_all(top.join("real/records")).unwrap();
        for (target, link) in [
            ("real", "one"),
            ("one/records", "two"),
            ("../real/../two", "real/three"),
            ("circle", "circle"),
        ] {
            symlink(target, top.join(link)).unwrap();
        }
        symlink(top.join("two"), top.join("whole")).unwrap();
        let rows: [(&str, &[&str]); 7] = [
            ("real/records", &[]),
            ("one/records", &["one"]),
            ("two", &["two", "one"]),
            ("real/three/x", &["real/three", "two", "one"]),
            ("whole", &["whole", "two", "one"]),
            ("one/../two/./y", &["one", "two", "one"]),
            ("nothing/at/all", &[]),
        ];
        for (way, expected) in rows {
            let met: Vec<PathBuf> = links_on(&top.join(way)).iter().map(Link::path).collect();
            let expected: Vec<PathBuf> = expected.iter().map(|link| top.join(link)).collect();
            assert_eq!(met, expected, "{way}");
        }
        assert_eq!(links_on(&top.join("circle")).len(), MOST_LINKS);
    }
}

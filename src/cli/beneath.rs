//! A folder that is held open, and the files below it, opened without following a link.
//!
//! What a path led to when it was listed is not trusted to be there still: each name on the way is opened from the
//! folder before it, so that whatever is put in its place meanwhile, nothing outside is opened.

#[cfg(unix)]
pub(crate) use unix::Folder;

#[cfg(not(unix))]
pub(crate) use other::Folder;

/// Why nothing is opened where a link now lies.
const BECAME_LINK: &str = "it is now a link, and a link is not followed";

/// Whether each part of a path is a name, so that it leads down only.
fn leads_down(path: &str) -> bool {
    path.split('/')
        .all(|part| !matches!(part, "" | "." | "..") && !part.contains(std::path::MAIN_SEPARATOR))
}

#[cfg(unix)]
mod unix {
    use super::{BECAME_LINK, leads_down};
    use rustix::fd::OwnedFd;
    use rustix::fs::{CWD, Mode, OFlags, openat};
    use rustix::io::{Errno, retry_on_intr};
    use std::fs::File;
    use std::io::{self, ErrorKind};
    use std::path::Path;

    const FOLDER: OFlags = OFlags::DIRECTORY.union(OFlags::CLOEXEC);

    /// A pipe is not waited for, and no terminal takes charge of the program.
    const FILE: OFlags = OFlags::NOFOLLOW
        .union(OFlags::NONBLOCK)
        .union(OFlags::NOCTTY)
        .union(OFlags::CLOEXEC);

    /// A folder that stays the same one, whatever is put in its place.
    #[derive(Debug)]
    pub(crate) struct Folder(OwnedFd);

    impl Folder {
        /// Opens a folder that the user named, through links or not.
        pub(crate) fn open(path: &Path) -> io::Result<Self> {
            let opened = retry_on_intr(|| openat(CWD, path, FOLDER, Mode::empty()))?;
            Ok(Self(opened))
        }

        /// Opens what lies at a path below, whatever it is, unless a link is on the way or at its end.
        pub(crate) fn open_below(&self, path: &str) -> io::Result<File> {
            if !leads_down(path) {
                return Err(ErrorKind::NotFound.into());
            }
            // Where the system refuses or does not know how, the longer way tells why.
            #[cfg(target_os = "linux")]
            if let Ok(file) = self.open_at_once(path) {
                return Ok(file);
            }
            self.open_by_names(path)
        }

        /// Has the system look out for links: one call instead of one for each name.
        #[cfg(target_os = "linux")]
        pub(super) fn open_at_once(&self, path: &str) -> io::Result<File> {
            use rustix::fs::{ResolveFlags, openat2};
            let resolve = ResolveFlags::BENEATH.union(ResolveFlags::NO_SYMLINKS);
            let opened = retry_on_intr(|| openat2(&self.0, path, FILE, Mode::empty(), resolve))?;
            Ok(File::from(opened))
        }

        pub(super) fn open_by_names(&self, path: &str) -> io::Result<File> {
            let open = |folder: Option<&OwnedFd>, name: &str, flags| {
                let folder = folder.unwrap_or(&self.0);
                retry_on_intr(|| openat(folder, name, flags, Mode::empty())).map_err(not_opened)
            };
            let mut folder = None;
            let mut rest = path;
            while let Some((name, below)) = rest.split_once('/') {
                folder = Some(open(folder.as_ref(), name, FOLDER.union(OFlags::NOFOLLOW))?);
                rest = below;
            }
            Ok(File::from(open(folder.as_ref(), rest, FILE)?))
        }
    }

    /// Systems say in different ways that they do not follow a link.
    fn not_opened(error: Errno) -> io::Error {
        if matches!(error, Errno::LOOP | Errno::MLINK) {
            io::Error::other(BECAME_LINK)
        } else {
            error.into()
        }
    }
}

#[cfg(not(unix))]
mod other {
    use super::{BECAME_LINK, leads_down};
    use std::fs::{self, File};
    use std::io::{self, ErrorKind};
    use std::path::{Path, PathBuf};

    /// A folder; what the system can hold open is its files alone.
    #[derive(Debug)]
    pub(crate) struct Folder(PathBuf);

    impl Folder {
        /// Takes a folder that the user named, through links or not.
        pub(crate) fn open(path: &Path) -> io::Result<Self> {
            Ok(Self(fs::canonicalize(path)?))
        }

        /// Opens what lies at a path below, unless a link is on the way or at its end, before or after.
        pub(crate) fn open_below(&self, path: &str) -> io::Result<File> {
            if !leads_down(path) {
                return Err(ErrorKind::NotFound.into());
            }
            self.refuse_links(path)?;
            let file = File::open(self.0.join(path))?;
            self.refuse_links(path)?;
            Ok(file)
        }

        fn refuse_links(&self, path: &str) -> io::Result<()> {
            let mut place = self.0.clone();
            for name in path.split('/') {
                place.push(name);
                if fs::symlink_metadata(&place)?.is_symlink() {
                    return Err(io::Error::other(BECAME_LINK));
                }
            }
            Ok(())
        }
    }
}

#[cfg(unix)]
#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;
    use std::io::{self, Read};
    use std::os::unix::fs::symlink;

    /// What is in a file, or why it is not opened.
    fn told(opened: io::Result<fs::File>) -> Result<String, String> {
        let mut text = String::new();
        opened
            .and_then(|mut file| file.read_to_string(&mut text))
            .map(|_| text)
            .map_err(|error| error.to_string())
    }

    #[test]
    fn each_way_opens_files_below_and_follows_no_link() {
        let around = tempfile::tempdir().unwrap();
        let at = |path: &str| around.path().join(path);
        fs::create_dir_all(at("root/a/b")).unwrap();
        for file in ["outside.yaml", "root/top.yaml", "root/a/b/deep.yaml"] {
            fs::write(at(file), file).unwrap();
        }
        symlink("top.yaml", at("root/link.yaml")).unwrap();
        symlink(at("outside.yaml"), at("root/out.yaml")).unwrap();
        symlink("a", at("root/c")).unwrap();
        symlink("/proc/self", at("root/magic")).unwrap();
        let root = Folder::open(&at("root")).unwrap();
        let rows = [
            ("top.yaml", true),
            ("a/b/deep.yaml", true),
            ("link.yaml", false),
            ("out.yaml", false),
            ("c/b/deep.yaml", false),
            ("magic/environ", false),
            ("none.yaml", false),
        ];
        for (path, is_opened) in rows {
            let expected = is_opened.then(|| format!("root/{path}"));
            #[cfg(target_os = "linux")]
            assert_eq!(told(root.open_at_once(path)).ok(), expected, "{path}");
            assert_eq!(told(root.open_by_names(path)).ok(), expected, "{path}");
            assert_eq!(told(root.open_below(path)).ok(), expected, "{path}");
        }
        assert_eq!(
            told(root.open_below("link.yaml")),
            Err(BECAME_LINK.to_owned())
        );
    }

    #[test]
    fn no_path_leads_up() {
        let around = tempfile::tempdir().unwrap();
        fs::create_dir(around.path().join("root")).unwrap();
        fs::write(around.path().join("outside.yaml"), "").unwrap();
        let root = Folder::open(&around.path().join("root")).unwrap();
        let outside = around.path().join("outside.yaml");
        for path in [
            "../outside.yaml",
            outside.to_str().unwrap(),
            "..",
            "",
            "./x",
        ] {
            assert!(root.open_below(path).is_err(), "{path}");
        }
    }
}

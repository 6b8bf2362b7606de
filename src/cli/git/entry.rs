//! What git keeps at a path, as it lists a commit or the index.

/// One entry of a list.
#[derive(Debug)]
pub(crate) struct Entry {
    pub(crate) kind: EntryKind,
    /// The name git has for the contents.
    pub(crate) object: String,
}

/// What an entry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum EntryKind {
    File,
    Link,
    Submodule,
    /// A folder, where a list does not go into it.
    Folder,
}

impl Entry {
    /// `MODE TYPE OBJECT<tab>PATH`, of a commit.
    pub(crate) fn of_tree(entry: &[u8]) -> Option<(Self, &[u8])> {
        let ([mode, _, object], path) = parts(entry)?;
        Some((Self::new(mode, object), path))
    }

    /// `MODE OBJECT STAGE<tab>PATH`, of the index; the stage is 0 where nothing is in conflict.
    pub(crate) fn of_index(entry: &[u8]) -> Option<(Self, bool, &[u8])> {
        let ([mode, object, stage], path) = parts(entry)?;
        Some((Self::new(mode, object), stage == "0", path))
    }

    fn new(mode: &str, object: &str) -> Self {
        let kind = match mode {
            "120000" => EntryKind::Link,
            "160000" => EntryKind::Submodule,
            "040000" => EntryKind::Folder,
            _ => EntryKind::File,
        };
        Self {
            kind,
            object: object.to_owned(),
        }
    }
}

/// The three words before the tab, and the path behind it.
fn parts(entry: &[u8]) -> Option<([&str; 3], &[u8])> {
    let tab = entry.iter().position(|byte| *byte == b'\t')?;
    let head = std::str::from_utf8(&entry[..tab]).ok()?;
    let words: Vec<&str> = head.split(' ').filter(|word| !word.is_empty()).collect();
    Some((words.try_into().ok()?, &entry[tab + 1..]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_of_a_commit_and_of_the_index() {
        let (entry, path) = Entry::of_tree(b"160000 commit abc\ta\tb").unwrap();
        assert_eq!(
            (entry.kind, entry.object.as_str(), path),
            (EntryKind::Submodule, "abc", &b"a\tb"[..])
        );
        let (entry, is_settled, path) = Entry::of_index(b"120000 abc 2\tx").unwrap();
        assert_eq!(
            (entry.kind, is_settled, path),
            (EntryKind::Link, false, &b"x"[..])
        );
        assert!(Entry::of_tree(b"100644 blob\tx").is_none());
        assert!(Entry::of_tree(b"no tab").is_none());
    }
}

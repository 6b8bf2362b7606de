//! Contents that git keeps, by their names, and the names of contents.

use crate::cli::failure::reason;
use crate::cli::git::command::Git;
use crate::source::{LARGEST_TEXT, too_large};
use std::io::{self, BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, ChildStdout};

/// The names that git gives contents with SHA-1: as they are, and with the line ends that git keeps.
///
/// Git, Documentation: hash-function-transition: the hash of `blob SIZE`, a NUL and the bytes.
#[derive(Debug)]
pub(crate) struct Names {
    as_it_is: String,
    with_line_feeds: Option<String>,
}

impl Names {
    /// The names of contents.
    pub(crate) fn of(bytes: &[u8]) -> Self {
        Self {
            as_it_is: sha1_of(bytes),
            with_line_feeds: with_line_feeds(bytes).map(|bytes| sha1_of(&bytes)),
        }
    }

    /// Whether a name is one of them.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.as_it_is == name || self.with_line_feeds.as_deref() == Some(name)
    }
}

fn sha1_of(bytes: &[u8]) -> String {
    let mut hash = sha1_smol::Sha1::new();
    hash.update(format!("blob {}\0", bytes.len()).as_bytes());
    hash.update(bytes);
    hash.digest().to_string()
}

/// Line ends of Windows as a repository usually keeps them; none where there are none, or more than git would make.
fn with_line_feeds(bytes: &[u8]) -> Option<Vec<u8>> {
    let has = |ends: &[u8]| bytes.windows(ends.len()).any(|some| some == ends);
    if !has(b"\r\n") || has(b"\r\r\n") {
        return None;
    }
    let is_end = |at: usize| bytes[at] == b'\r' && bytes.get(at + 1) == Some(&b'\n');
    let kept = (0..bytes.len()).filter(|&at| !is_end(at));
    Some(kept.map(|at| bytes[at]).collect())
}

/// One process that gives contents as they are asked for.
#[derive(Debug)]
pub(crate) struct ContentsReader {
    process: Child,
    asking: ChildStdin,
    answers: BufReader<ChildStdout>,
}

impl Drop for ContentsReader {
    fn drop(&mut self) {
        // Nothing can be done about a process that cannot be ended.
        self.process.kill().ok();
        self.process.wait().ok();
    }
}

impl ContentsReader {
    /// Starts the process.
    pub(crate) fn start(git: &Git) -> Result<Self, String> {
        let mut process = git.contents()?;
        let (asking, answers) = (process.stdin.take(), process.stdout.take());
        Ok(Self {
            process,
            asking: asking.expect("the process was started with a pipe there"),
            answers: BufReader::new(answers.expect("the process was started with a pipe there")),
        })
    }

    /// The contents with a name, and the process where it can be asked again.
    pub(crate) fn read(mut self, name: &str) -> Result<(Self, Result<Vec<u8>, String>), String> {
        let bytes = self
            .ask(name)
            .map_err(|error| format!("git did not give it: {}", reason(&error)))?;
        Ok((self, bytes))
    }

    /// An error where the process answers no more; within it, why there are no contents.
    fn ask(&mut self, name: &str) -> io::Result<Result<Vec<u8>, String>> {
        writeln!(self.asking, "{name}")?;
        self.asking.flush()?;
        let mut head = String::new();
        self.answers.read_line(&mut head)?;
        // `OBJECT TYPE SIZE`, or `OBJECT missing`.
        let size = head.trim_end().split(' ').nth(2);
        let Some(size) = size.and_then(|size| size.parse::<u64>().ok()) else {
            if head.is_empty() {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
            return Ok(Err("git does not have what it was".to_owned()));
        };
        if usize::try_from(size).is_ok_and(|size| size <= LARGEST_TEXT) {
            let mut bytes = Vec::new();
            (&mut self.answers).take(size).read_to_end(&mut bytes)?;
            self.answers.read_exact(&mut [0])?;
            return Ok(Ok(bytes));
        }
        io::copy(&mut (&mut self.answers).take(size + 1), &mut io::sink())?;
        Ok(Err(too_large()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: `git hash-object --stdin`, run on these texts.
    #[test]
    fn names_are_those_git_gives() {
        let has_name = |bytes: &[u8], name: &str| Names::of(bytes).has(name);
        assert!(has_name(b"", "e69de29bb2d1d6434b8b29ae775ad8c2e48c5391"));
        assert!(has_name(
            b"what is up, doc?",
            "bd9dbf5aae1a3862dd1526723246b20206e5fc37"
        ));
        let two_lines = "422c2b7ab3b3c668038da977e4e93a5fc623169c";
        assert!(has_name(b"a\r\nb\r\n", two_lines));
        assert!(!has_name(b"a\rb\n", two_lines));
        assert!(!has_name(b"a\r\r\nb\r\r\n", two_lines));
    }
}

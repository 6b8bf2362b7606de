//! A small repository of records in memory, and what the program computes of it.
//!
//! Judges nothing and recomputes nothing: every number comes out of the program.

pub(crate) mod computed;

use jiff::civil::Date;
use std::collections::BTreeMap;
use std::path::Path;
use swathlint::report::FigureRow;
use swathlint::{Listing, Report, Settings};

/// The files of a repository by path, parts divided by `/`.
#[derive(Clone, Debug, Default)]
pub(crate) struct Repository {
    pub(crate) files: BTreeMap<String, String>,
}

impl Repository {
    /// The files given.
    pub(crate) fn of<'f>(files: impl IntoIterator<Item = (&'f str, String)>) -> Self {
        Self {
            files: files
                .into_iter()
                .map(|(path, text)| (path.to_owned(), text))
                .collect(),
        }
    }

    /// Those files of a folder of fixtures whose path names one of `wanted`, or all.
    #[expect(
        clippy::disallowed_methods,
        reason = "fixtures are files of the package"
    )]
    pub(crate) fn fixture(folder: &str, wanted: &[&str]) -> Self {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("fixtures")
            .join(folder);
        let mut files = BTreeMap::new();
        for entry in walkdir::WalkDir::new(&root) {
            let entry = entry.unwrap();
            let inside = entry.path().strip_prefix(&root).unwrap();
            let path = inside.to_str().unwrap().replace('\\', "/");
            let is_wanted = wanted.is_empty() || wanted.iter().any(|part| path.contains(part));
            if entry.file_type().is_file() && is_wanted {
                files.insert(path, std::fs::read_to_string(entry.path()).unwrap());
            }
        }
        assert!(!files.is_empty(), "no such fixture: {folder} {wanted:?}");
        Self { files }
    }

    /// The same with one file changed, or with one more.
    #[must_use]
    pub(crate) fn with(mut self, path: &str, text: impl Into<String>) -> Self {
        self.files.insert(path.to_owned(), text.into());
        self
    }

    /// Every figure, as the program shows it in a table.
    pub(crate) fn figures(&self, today: Date) -> Vec<FigureRow> {
        let read = |path: &str| Ok(self.files[path].clone().into_bytes());
        let table = swathlint::figures(&self.listing(), &read, &settings(today));
        assert!(
            table.totals.failures.is_empty(),
            "{:?}",
            table.totals.failures
        );
        table.rows
    }

    /// What a check finds.
    pub(crate) fn check(&self, today: Date) -> Report {
        let read = |path: &str| Ok(self.files[path].clone().into_bytes());
        // What explains a finding is no matter here.
        let by_rules = Settings {
            rule_by_rule: true,
            ..settings(today)
        };
        swathlint::check(&self.listing(), &read, &by_rules)
    }

    fn listing(&self) -> Listing {
        Listing {
            paths: self.files.keys().cloned().collect(),
            ..Listing::default()
        }
    }
}

fn settings(today: Date) -> Settings {
    Settings::on(today)
}

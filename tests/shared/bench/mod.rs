//! The benches: clean fleets under `fixtures/benches/`, and cases of one or two faults, each with the cause that must be told.
//!
//! `fixtures/benches/README.md` says how a case is written. A case is laid over its fleet in memory and checked; what is told
//! is read off the JSON lines alone, so that a case outlives any change of the program's insides.

#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the fixtures and one variable that says whether to accept"
)]

pub(crate) mod told;
pub(crate) mod wanted;

use crate::advice;
use crate::fixture::{Files, checked, folder, tree};
use regex::Regex;
use std::fs;
use swathlint::Report;
use swathlint::render::{Look, jsonl, terminal};
use told::Told;
use wanted::Wanted;

/// The day of every check.
pub(crate) const TODAY: &str = "2026-06-01";

/// A fleet of one machine with two visits.
pub(crate) struct Bench {
    /// Its folder, which is the machine's name too.
    pub(crate) name: &'static str,
    visit: &'static str,
    last_visit: &'static str,
    /// The day of a service record, which only cases have: two days before the visit.
    service: &'static str,
    /// The end of the gauge's scale, in bar.
    pub(crate) gauge_span: f64,
}

/// All of them; 60 psi is 4.137 bar.
pub(crate) const BENCHES: [Bench; 3] = [
    Bench {
        name: "robin",
        visit: "2026-05-20",
        last_visit: "2025-05-20",
        service: "2026-05-18",
        gauge_span: 4.137,
    },
    Bench {
        name: "plover",
        visit: "2026-04-13",
        last_visit: "2025-04-14",
        service: "2026-04-11",
        gauge_span: 6.0,
    },
    Bench {
        name: "lapwing",
        visit: "2026-04-20",
        last_visit: "2025-04-21",
        service: "2026-04-18",
        gauge_span: 4.137,
    },
];

impl Bench {
    /// The clean fleet.
    pub(crate) fn clean(&self) -> Files {
        tree(&folder().join("benches").join(self.name).join("good"))
    }

    /// The file that a letter of a case stands for.
    fn path(&self, letter: char) -> String {
        let name = self.name;
        match letter {
            'C' => format!("calibrations/{name}/{}.yaml", self.visit),
            'L' => format!("calibrations/{name}/{}.yaml", self.last_visit),
            'M' => format!("machines/{name}.yaml"),
            'F' => "fleet.yaml".to_owned(),
            'S' => format!("service/{name}/{}.yaml", self.service),
            _ => panic!("{name}: no file is called {letter}"),
        }
    }

    /// Its cases, in the order of the table.
    pub(crate) fn cases(&self) -> Vec<BenchCase> {
        let path = folder().join("benches").join(self.name).join("cases.tsv");
        let table = fs::read_to_string(path).unwrap();
        let rows = table.lines().filter(|line| !line.starts_with('#'));
        rows.map(|row| BenchCase::read(self, row)).collect()
    }
}

/// One case, laid over its fleet.
pub(crate) struct BenchCase {
    /// Bench and case: `robin/time-tenth`.
    pub(crate) name: String,
    pub(crate) files: Files,
    /// What must be told.
    pub(crate) wanted: Wanted,
    never: Vec<Regex>,
    gauge_span: f64,
}

impl BenchCase {
    fn read(bench: &Bench, row: &str) -> Self {
        let columns: Vec<&str> = row.split('\t').collect();
        let &[case, letters, old, new, first, ref rest @ ..] = columns.as_slice() else {
            panic!("{}: `{row}` has too few columns", bench.name);
        };
        let name = format!("{}/{case}", bench.name);
        let (old, new): (Vec<&str>, Vec<&str>) =
            (old.split("@@").collect(), new.split("@@").collect());
        assert_eq!(old.len(), new.len(), "{name}: each old text has a new one");
        let letters: Vec<char> = letters.chars().collect();
        let mut files = bench.clean();
        for (at, (old, new)) in old.iter().zip(&new).enumerate() {
            // One letter stands for all, and the last of several for the rest.
            let letter = letters.get(at).or(letters.last());
            let path = bench.path(*letter.expect("a letter"));
            // A clean fleet has no service record: an empty old text begins it.
            if letter == Some(&'S') {
                files.entry(path.clone()).or_default();
            }
            let text = files.get_mut(&path).expect("a file of the fleet");
            let old = old.replace('~', "\n");
            assert!(text.contains(&old), "{name}: {path} has no `{old}`");
            *text = text.replacen(&old, &new.replace('~', "\n"), 1);
        }
        let never = rest.first().unwrap_or(&"").split(" ;; ");
        let never = never.filter(|pattern| !pattern.is_empty());
        Self {
            wanted: Wanted::parse(&name, first),
            never: never.map(|pattern| Regex::new(pattern).unwrap()).collect(),
            gauge_span: bench.gauge_span,
            name,
            files,
        }
    }

    pub(crate) fn checked(&self) -> Report {
        checked(&self.files, TODAY)
    }

    /// What is wrong with what a check says, one line; nothing where all is as it must be.
    pub(crate) fn faults(&self, report: &Report) -> Option<String> {
        let told = Told::read(&jsonl(report));
        let mut faults: Vec<String> = self.wanted.differs(&told).into_iter().collect();
        for pattern in &self.never {
            let words = told.findings.iter().map(told::Finding::words);
            faults.extend(words.filter_map(|words| {
                let said = pattern.find(&words)?;
                Some(format!("says `{}`", said.as_str()))
            }));
        }
        faults.extend(advice::absurd(&told, &self.files, self.gauge_span));
        faults.dedup();
        (!faults.is_empty()).then(|| faults.join("; "))
    }
}

/// The full text a user sees, at 80 columns without color.
pub(crate) fn in_full(report: &Report) -> String {
    let look = Look {
        color: false,
        width: 80,
    };
    terminal(report, &look).to_string()
}

/// The cases that do not say yet what they must, each with what is wrong, as `name: fault`.
pub(crate) fn not_yet() -> String {
    fs::read_to_string(folder().join("benches/not-yet.txt")).unwrap_or_default()
}

/// Whether texts and lists are to be written anew rather than compared.
pub(crate) fn is_updating() -> bool {
    std::env::var_os("UPDATE_FIXTURES").is_some()
}

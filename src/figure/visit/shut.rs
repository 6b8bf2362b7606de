//! Readings with sections shut.

use super::instrument::Bench;
use super::shown::Shown;
use super::stages::Stages;
use super::subject::Subject;
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::record::Calibration;

/// A reading with sections shut, as found and as left.
#[derive(Debug)]
pub struct Shut {
    /// Its place in the list, from 0.
    pub index: u16,
    /// The sections, by name.
    pub sections: Vec<String>,
    /// The reading with all sections on.
    pub all_on: Option<Shown>,
    /// The readings with these sections shut.
    pub readings: Stages<Shown>,
}

impl Shut {
    /// Its sections, as people say them.
    pub fn named(&self) -> Fact {
        let names = self.sections.iter();
        let names = names.map(|name| Fact::Name(name.clone()));
        let named = Fact::list_some(names);
        match self.sections.len() {
            1 => Fact::phrase("section {}", [named]),
            _ => Fact::phrase("sections {}", [named]),
        }
    }
}

pub(super) fn shut_readings(
    bench: &mut Bench<'_>,
    subject: &Subject<'_>,
    calibration: &Calibration,
    problems: &mut Vec<Diagnostic>,
) -> Vec<Shut> {
    let Some(balance) = &calibration.section_balance else {
        return Vec::new();
    };
    if let Some(layout) = &subject.layout {
        let named = balance.shut.iter().flat_map(|shut| &shut.sections);
        problems.extend(named.filter_map(|name| layout.unknown_section(calibration.file, name)));
    }
    let all_on = balance.all_on.as_ref().map(|shown| bench.shown(shown));
    (0_u16..)
        .zip(&balance.shut)
        .map(|(index, shut)| {
            let found = shut.as_found.as_ref().map(|shown| bench.shown(shown));
            let left = shut.as_left.as_ref().map(|shown| bench.shown(shown));
            Shut {
                index,
                sections: shut
                    .sections
                    .iter()
                    .map(|name| name.value.clone())
                    .collect(),
                all_on,
                readings: match left {
                    Some(_) => Stages { found, left },
                    None => Stages {
                        found: None,
                        left: found,
                    },
                },
            }
        })
        .collect()
}

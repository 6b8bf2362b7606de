//! Readings with sections off.

use super::instrument::Bench;
use super::shown::Shown;
use super::stages::Stages;
use super::subject::Subject;
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::record::Calibration;

/// A reading with sections off, as found and as left.
#[derive(Debug)]
pub struct SectionsOff {
    /// Its place in the list, from 0.
    pub index: u16,
    /// The sections, by name.
    pub sections: Vec<String>,
    /// The reading with all sections on.
    pub all_on: Option<Shown>,
    /// The readings with these sections off.
    pub readings: Stages<Shown>,
}

impl SectionsOff {
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

pub(super) fn sections_off_readings(
    bench: &mut Bench<'_>,
    subject: &Subject<'_>,
    calibration: &Calibration,
    problems: &mut Vec<Diagnostic>,
) -> Vec<SectionsOff> {
    let Some(balance) = &calibration.section_balance else {
        return Vec::new();
    };
    if let Some(layout) = &subject.layout {
        let named = balance
            .sections_off
            .iter()
            .flat_map(|sections_off| &sections_off.sections);
        problems.extend(named.filter_map(|name| layout.unknown_section(calibration.file, name)));
    }
    let all_on = balance.all_on.as_ref().map(|shown| bench.shown(shown));
    (0_u16..)
        .zip(&balance.sections_off)
        .map(|(index, sections_off)| {
            let found = sections_off
                .as_found
                .as_ref()
                .map(|shown| bench.shown(shown));
            let left = sections_off
                .as_left
                .as_ref()
                .map(|shown| bench.shown(shown));
            SectionsOff {
                index,
                sections: sections_off
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

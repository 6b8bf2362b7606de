//! Readings of a section balance.

use super::instrument::Bench;
use super::shown::{Shown, ShownSteps};
use super::stages::Stages;
use super::subject::Subject;
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::quantity::Quantity;
use crate::record::Calibration;
use crate::source::Spanned;

/// The readings of a section balance.
#[derive(Debug, Default)]
pub struct Balance {
    /// The speed entered while the machine stood still.
    pub entered_speed: Option<Shown>,
    /// The reading with all sections on.
    pub all_on: Option<Shown>,
    /// The readings with sections off.
    pub sections_off: Vec<SectionsOff>,
}

/// A reading with sections off, as found and as left.
#[derive(Debug)]
pub struct SectionsOff {
    /// Its place in the list, from 0.
    pub index: u16,
    /// The sections, by name.
    pub sections: Vec<String>,
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

pub(super) fn balance(
    bench: &mut Bench<'_>,
    subject: &Subject<'_>,
    calibration: &Calibration,
    problems: &mut Vec<Diagnostic>,
) -> Balance {
    let Some(balance) = &calibration.section_balance else {
        return Balance::default();
    };
    if let Some(layout) = &subject.layout {
        let named = balance
            .sections_off
            .iter()
            .flat_map(|sections_off| &sections_off.sections);
        problems.extend(named.filter_map(|name| layout.unknown_section(calibration.file, name)));
    }
    let off = balance.sections_off.iter();
    let off =
        off.flat_map(|sections_off| sections_off.as_found.iter().chain(&sections_off.as_left));
    let steps = ShownSteps::among(balance.all_on.iter().chain(off));
    let mut shown = |shown: &Spanned<Quantity>| bench.shown(shown, &steps);
    let all_on = balance.all_on.as_ref().map(&mut shown);
    let sections_off = (0_u16..)
        .zip(&balance.sections_off)
        .map(|(index, sections_off)| {
            let found = sections_off.as_found.as_ref().map(&mut shown);
            let left = sections_off.as_left.as_ref().map(&mut shown);
            SectionsOff {
                index,
                sections: sections_off
                    .sections
                    .iter()
                    .map(|name| name.value.clone())
                    .collect(),
                readings: match left {
                    Some(_) => Stages { found, left },
                    None => Stages {
                        found: None,
                        left: found,
                    },
                },
            }
        })
        .collect();
    let entered_speed = balance.entered_speed.map(|speed| {
        let place = bench.place(speed.span);
        Shown {
            quantity: speed.value,
            id: bench.declared(speed.value, place),
            place,
        }
    });
    Balance {
        entered_speed,
        all_on,
        sections_off,
    }
}

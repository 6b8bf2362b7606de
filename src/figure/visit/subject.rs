//! The machine a figure is about, and what its keys name.

use crate::fact::{Fact, NozzleName};
use crate::fleet::Layout;
use crate::outcome::{Key, Part};
use crate::procedure::Step;
use crate::record::Fleet;
use crate::record::machine::Machine;

/// The machine a figure is about, with what the group declared.
#[derive(Debug)]
pub struct Subject<'a> {
    /// The fleet file, where there is one.
    pub fleet: Option<&'a Fleet>,
    /// The machine as it was on the day.
    pub machine: &'a Machine,
    /// Its name.
    pub id: &'a str,
    /// Its place among the group's machines.
    pub index: u32,
    /// Its nozzles; none where the machine file does not tell.
    pub layout: Option<Layout>,
}

impl Subject<'_> {
    /// The name of the setup of a key.
    pub(in crate::figure) fn setup_name(&self, key: &Key) -> Option<&str> {
        let setup = self.machine.setups.get(usize::from(key.setup?))?;
        Some(&setup.name.value)
    }

    /// The nozzle with a number, as people count it; none the boom does not have.
    pub fn nozzle(&self, number: u16) -> Option<Fact> {
        let layout = self.layout.as_ref()?;
        let nozzle = layout.nozzle(number)?;
        let section = layout.section_name(nozzle.section);
        Some(Fact::Nozzle(NozzleName {
            number,
            of: layout.nozzles().len(),
            in_section: section.map(|name| (name.to_owned(), nozzle.position)),
        }))
    }

    /// The part a key names.
    pub(in crate::figure) fn part(&self, key: &Key) -> Fact {
        let layout = self.layout.as_ref();
        match key.part {
            Part::Nozzle { number, .. } => self
                .nozzle(number)
                .unwrap_or_else(|| Fact::phrase("nozzle {}", [Fact::number(number.into(), 0)])),
            Part::Section(section) => layout
                .and_then(|layout| layout.section_name(section))
                .map_or(Fact::Words("boom"), |name| {
                    Fact::phrase("section {}", [Fact::Name(name.to_owned())])
                }),
            Part::Test(index) => {
                let test = key.step.map_or("of the record", Step::test);
                let nth = Fact::Ordinal(usize::from(index) + 1);
                Fact::phrase("{} {}", [nth, Fact::Words(test)])
            }
            Part::Whole | Part::SectionsOff(_) => Fact::Words("boom"),
        }
    }
}

//! What a key names, as people say it, and numbers as a working line shows them.

use super::primitive::Primitives;
use super::view::View;
use super::visit::Shut;
use super::{Standing, Subject, Visit};
use crate::fact::{Fact, NozzleName};
use crate::outcome::{Key, Part, Step};
use jiff::civil::Date;

impl View for Visit<'_> {
    fn subject(&self) -> &Subject<'_> {
        &self.subject
    }

    fn primitives(&self) -> &Primitives {
        &self.primitives
    }

    fn setup_name(&self, key: &Key) -> Option<&str> {
        self.subject.setup_name(key)
    }

    fn day(&self, _: &Key) -> Date {
        self.calibration.date.map_or(self.today, |date| date.value)
    }

    fn sprayed_before(&self, key: &Key) -> Option<Fact> {
        let timeline = self.records.timeline;
        let (count, since) = timeline.sprayed_before(key.step?, key.setup, &self.moment()?)?;
        let noun = "application";
        let applications = Fact::Count { count, noun };
        Some(match since {
            Some(since) => Fact::phrase("{} since {}", [applications, Fact::Date(since)]),
            None => Fact::phrase("{} before it", [applications]),
        })
    }

    fn part(&self, key: &Key) -> Fact {
        let Part::Shut(index) = key.part else {
            return self.subject.part(key);
        };
        let mut shut = self.shut.iter();
        let shut = shut.find(|shut| shut.index == index);
        shut.map_or(Fact::Words("sections"), Shut::named)
    }
}

impl View for Standing<'_> {
    fn subject(&self) -> &Subject<'_> {
        &self.subject
    }

    fn primitives(&self) -> &Primitives {
        &self.primitives
    }

    fn setup_name(&self, key: &Key) -> Option<&str> {
        self.subject.setup_name(key)
    }

    fn day(&self, key: &Key) -> Date {
        key.record
            .and_then(|record| self.day_of(record))
            .unwrap_or(self.today)
    }

    fn sprayed_before(&self, _: &Key) -> Option<Fact> {
        None
    }

    fn part(&self, key: &Key) -> Fact {
        self.subject.part(key)
    }
}

impl Subject<'_> {
    fn setup_name(&self, key: &Key) -> Option<&str> {
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

    fn part(&self, key: &Key) -> Fact {
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
            Part::Whole | Part::Shut(_) => Fact::Words("boom"),
        }
    }
}

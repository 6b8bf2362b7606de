//! What a key names, as people say it, and numbers as a working line shows them.

use super::catalogue::View;
use super::primitive::Primitives;
use super::{Standing, Subject, Visit};
use crate::outcome::{Key, Part, Step};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::words;
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

    fn sprayed_before(&self, key: &Key) -> Option<String> {
        let timeline = self.records.timeline;
        let (count, since) = timeline.sprayed_before(key.step?, key.setup, &self.moment()?)?;
        let applications = words::phrases::plural(count, "application");
        Some(match since {
            Some(since) => format!("{applications} since {}", words::dates::date(since)),
            None => format!("{applications} before it"),
        })
    }

    fn part_in_words(&self, key: &Key) -> String {
        match key.part {
            Part::Shut(index) => self
                .shut
                .iter()
                .find(|shut| shut.index == index)
                .map_or_else(|| "sections".to_owned(), |shut| shut.sections.clone()),
            Part::Whole | Part::Section(_) | Part::Nozzle { .. } | Part::Test(_) => {
                self.subject.part_in_words(key)
            }
        }
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

    fn sprayed_before(&self, _: &Key) -> Option<String> {
        None
    }

    fn part_in_words(&self, key: &Key) -> String {
        self.subject.part_in_words(key)
    }
}

impl Subject<'_> {
    fn setup_name(&self, key: &Key) -> Option<&str> {
        let setup = self.machine.setups.get(usize::from(key.setup?))?;
        Some(&setup.name.value)
    }

    fn part_in_words(&self, key: &Key) -> String {
        match (key.part, &self.layout) {
            (Part::Nozzle { number, .. }, Some(layout)) => layout
                .nozzle(number)
                .map_or_else(|| format!("nozzle {number}"), |n| layout.nozzle_in_words(n)),
            (Part::Nozzle { number, .. }, None) => format!("nozzle {number}"),
            (Part::Section(section), layout) => layout
                .as_ref()
                .and_then(|layout| layout.section_name(section))
                .map_or_else(|| "boom".to_owned(), |name| format!("section {name}")),
            (Part::Test(index), _) => {
                let test = key.step.map_or("of the record", Step::test);
                format!("{} {test}", words::phrases::ordinal(usize::from(index) + 1))
            }
            (Part::Whole | Part::Shut(_), _) => "boom".to_owned(),
        }
    }
}

/// A computed value in the unit of a reading: `0.6406 gal/min`.
pub(super) fn in_unit(value_si: f64, unit: Unit) -> String {
    let value = significant(Quantity::in_unit(value_si, unit), 4);
    format!("{value} {unit}").trim_end().to_owned()
}

/// A value to set an instrument to, to three digits: no gauge is set finer.
pub(super) fn to_set(value_si: f64, unit: Unit) -> String {
    let value = significant(Quantity::in_unit(value_si, unit), 3);
    format!("{value} {unit}")
}

/// A ratio with its sign: `+11.62 %`.
pub(super) fn percent(ratio: f64) -> String {
    format!("{} %", words::numbers::signed(100.0 * ratio, 2))
}

/// A number with at least so many significant digits; whole digits are never cut.
pub(super) fn significant(value: f64, digits: usize) -> String {
    if value.abs() <= 0.0 {
        return "0".to_owned();
    }
    let mut decimals = digits.saturating_sub(1);
    let mut bound = 10.0;
    while decimals > 0 && value.abs() >= bound {
        decimals -= 1;
        bound *= 10.0;
    }
    let mut small = 1.0;
    while value.abs() < small && decimals < 12 {
        decimals += 1;
        small /= 10.0;
    }
    words::numbers::number(value, decimals)
}

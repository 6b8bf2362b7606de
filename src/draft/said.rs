//! What is said of each value of a visit: how far it is off, and how it stands.

use super::form::{Entry, Field};
use super::state::{Mark, Said, Session};
use super::text::Written;
use super::typed::Kind;
use crate::diagnostic::Severity;
use crate::figure::about::{
    FLOW_FACTOR_OFF, METER_ERROR, NOT_TESTED_AGAIN, NOZZLE_OFF_MEAN, NOZZLE_OFF_RATED,
    SECTION_OFF_CHANGE, SENSOR_ERROR, SPEED_FACTOR_OFF, SPEED_OFF_SETUP,
};
use crate::figure::is_far_from;
use crate::outcome::Stage;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::record::calibration::RateControl;
use crate::report::Report;
use crate::source::FileId;
use crate::wording::visit;
use std::collections::BTreeMap;
use std::ops::Range;

/// The figures that say how far a reading is off what it should be.
const DEVIATIONS: [&str; 8] = [
    FLOW_FACTOR_OFF,
    SPEED_FACTOR_OFF,
    NOZZLE_OFF_RATED,
    NOZZLE_OFF_MEAN,
    METER_ERROR,
    SENSOR_ERROR,
    SPEED_OFF_SETUP,
    SECTION_OFF_CHANGE,
];

/// How far a reading is off, by a figure.
#[derive(Debug, Clone, Copy)]
pub(super) struct Deviation {
    figure: &'static str,
    by: f64,
}

impl Deviation {
    /// What says more of a reading comes first.
    fn rank(&self) -> usize {
        let mut all = DEVIATIONS.iter();
        all.position(|figure| *figure == self.figure)
            .unwrap_or(DEVIATIONS.len())
    }
}

impl Session {
    /// How far each reading is off, of the stage that was read last.
    pub(super) fn deviations(&mut self, written: &Written) -> BTreeMap<String, Deviation> {
        let Some(file) = self.fleet.file(&self.path) else {
            return BTreeMap::new();
        };
        let machine = self.form.machine.clone();
        let values = self
            .fleet
            .figure_values(&machine, &|figure| DEVIATIONS.contains(&figure));
        let mut off: BTreeMap<String, Deviation> = BTreeMap::new();
        for value in values {
            let Ok(number) = value.value else { continue };
            let made = Deviation {
                figure: value.figure,
                by: number,
            };
            let is_as_left = value.at.stage != Some(Stage::AsFound);
            for key in at(
                written,
                file,
                value.subject.file,
                &value.subject.span.range(),
            ) {
                let known = off.get(key).map_or(DEVIATIONS.len(), Deviation::rank);
                if made.rank() < known || (made.rank() == known && is_as_left) {
                    off.insert(key.to_owned(), made);
                }
            }
        }
        off
    }

    /// What weighs most of what is found at each value.
    pub(super) fn heaviest(
        &self,
        found: &Report,
        written: &Written,
        off: &BTreeMap<String, Deviation>,
    ) -> BTreeMap<String, Severity> {
        let mut heaviest: BTreeMap<String, Severity> = BTreeMap::new();
        let Some(file) = self.fleet.file(&self.path) else {
            return heaviest;
        };
        for told in &found.findings {
            let own = (told.words.severity(), told.words.primary().place, None);
            let held = told.held_judged().iter();
            let held = held.map(|held| (held.severity, held.subject, Some(held.figure)));
            // What was entered is right or wrong by itself: that it asks for another test is no fault of it.
            if told.is_of_figure(NOT_TESTED_AGAIN) {
                continue;
            }
            for (severity, place, held_of) in std::iter::once(own).chain(held) {
                for key in at(written, file, place.file, &place.span.range()) {
                    // One bad nozzle moves the average that the others are held against: those are not off.
                    let own_figure = off.get(key).map(|off| off.figure);
                    if held_of.is_some() && held_of != own_figure {
                        continue;
                    }
                    let known = heaviest.entry(key.to_owned()).or_insert(severity);
                    *known = severity.max(*known);
                }
            }
        }
        heaviest
    }

    pub(super) fn said(
        &self,
        entry: &Entry,
        off: Option<&Deviation>,
        heaviest: Option<&Severity>,
    ) -> Said {
        let written = self.entered.value(&self.form, entry);
        let refused = self
            .entered
            .typed(&entry.key)
            .map(|typed| entry.kind.written(typed));
        if let Some(Err(refused)) = refused {
            return Said {
                mark: Mark::Refused,
                words: format!("{}: {}", refused.message, refused.help),
                written: None,
            };
        }
        let is_read = self.entered.is_read(entry);
        let mark = match heaviest {
            _ if written.is_none() => Mark::Empty,
            _ if !is_read => Mark::Usual,
            Some(Severity::Error | Severity::Warning) => Mark::Off,
            Some(Severity::Note) => Mark::Noted,
            None if off.is_some() => Mark::Good,
            None => Mark::Taken,
        };
        let is_only_warned = heaviest == Some(&Severity::Warning);
        let far = written
            .as_deref()
            .and_then(|written| far_from(entry, written));
        let (mark, words) = match (off, mark, entry.field) {
            (_, Mark::Off, Field::Nozzle { round: 0, .. }) if has_no_flow(written.as_deref()) => {
                (mark, visit::NO_FLOW.to_owned())
            }
            (Some(off), Mark::Off, Field::Nozzle { round: 0, .. }) => (
                mark,
                visit::catch_again(off.by, is_only_warned, self.last_uncaught()),
            ),
            (Some(off), Mark::Off, Field::Off(_, "as-found")) => {
                (mark, visit::set_bypass(off.by, is_rate(entry)))
            }
            (_, Mark::Taken | Mark::Noted | Mark::Off, Field::Balance("rate-control"))
                if is_automatic(written.as_deref()) =>
            {
                (Mark::Off, visit::SWITCH_TO_MANUAL.to_owned())
            }
            (
                Some(_),
                Mark::Good | Mark::Noted,
                Field::Meter(_, "after") | Field::Speed(_, "after"),
            ) => (mark, visit::FACTOR_FITS.to_owned()),
            (Some(off), Mark::Good | Mark::Off | Mark::Noted, _) => {
                (mark, visit::off_target(off.by))
            }
            (_, Mark::Taken, _) if far.is_some() => {
                (Mark::Noted, visit::far_from(&far.unwrap_or_default()))
            }
            _ => (mark, String::new()),
        };
        Said {
            mark,
            words,
            written,
        }
    }
}

impl Session {
    /// The last nozzle that is still to be caught in the first catch, in words; none where all of them are.
    fn last_uncaught(&self) -> Option<&str> {
        let uncaught = |entry: &&Entry| {
            let is_nozzle = matches!(entry.field, Field::Nozzle { round: 0, .. });
            is_nozzle && !entry.is_optional && self.entered.value(&self.form, entry).is_none()
        };
        let last = self.form.entries().filter(uncaught).last()?;
        Some(&last.label)
    }
}

fn is_automatic(written: Option<&str>) -> bool {
    written.and_then(RateControl::from_word) == Some(RateControl::Automatic)
}

/// Whether a value is a rate, so that a console shows it.
fn is_rate(entry: &Entry) -> bool {
    matches!(&entry.kind, Kind::Quantity(dimensions, _) if dimensions.contains(&Dimension::RATE))
}

/// Whether a nozzle gave nothing, as written.
fn has_no_flow(written: Option<&str>) -> bool {
    let caught = written.and_then(|written| Decimal::parse(written).ok());
    caught.is_some_and(Decimal::is_zero)
}

/// The target of a value that is far from it; none where it is near, or has limits of its own.
fn far_from(entry: &Entry, written: &str) -> Option<String> {
    let aim = entry
        .aim
        .filter(|aim| aim.within.is_none() && 0.0 < aim.target)?;
    let Kind::Quantity(dimensions, unit) = &entry.kind else {
        return None;
    };
    let read = Quantity::parse(written, dimensions).ok()?;
    let read = Quantity::in_unit(read.si(), *unit);
    is_far_from(read, aim.target).then(|| aim.target_shown())
}

/// The names of the values that a place in the record covers or lies in.
pub(super) fn at<'w>(
    written: &'w Written,
    file: FileId,
    of: FileId,
    place: &Range<usize>,
) -> impl Iterator<Item = &'w str> {
    let place = place.clone();
    let all = written.places.iter().filter(move |(_, value)| {
        let is_within = value.start <= place.start && place.end <= value.end;
        of == file && is_within && !place.is_empty()
    });
    all.map(|(key, _)| key.as_str())
}

//! The instruments a record names, each with what it is used for.

use super::instrument::Purpose;
use super::{Application, Calibration};
use crate::source::Spanned;

/// An instrument's name in a record, and what the record uses it for.
pub type NamedFor<'r> = (Purpose, &'r Spanned<String>);

impl Calibration {
    /// Every instrument it names, in the order of the record.
    pub fn instruments(&self) -> impl Iterator<Item = NamedFor<'_>> {
        let catches = self.catch_tests.iter().flat_map(|test| {
            [
                (Purpose::Jug, &test.jug),
                (Purpose::Gauge, &test.gauge),
                (Purpose::Stopwatch, &test.stopwatch),
                (Purpose::Scale, &test.scale),
            ]
        });
        let meters = self.meter_tests.iter().flat_map(|test| {
            [
                (Purpose::FillMeter, &test.fill_meter),
                (Purpose::Scale, &test.scale),
                (Purpose::TankMarks, &test.tank_marks),
            ]
        });
        let courses = self.speed_tests.iter().flat_map(|test| {
            [
                (Purpose::Distance, &test.measured_by),
                (Purpose::Stopwatch, &test.stopwatch),
            ]
        });
        let balance = self.section_balance.iter();
        let balance = balance.map(|balance| (Purpose::Gauge, &balance.gauge));
        let boom_end = std::iter::once((Purpose::Gauge, &self.boom_end_gauge));
        let all = catches
            .chain(meters)
            .chain(courses)
            .chain(balance)
            .chain(boom_end);
        named(all)
    }
}

impl Application {
    /// Every instrument it names.
    pub fn instruments(&self) -> impl Iterator<Item = NamedFor<'_>> {
        let all = [
            (Purpose::FillMeter, &self.fill_meter),
            (Purpose::TankMarks, &self.tank_marks),
        ];
        named(all.into_iter())
    }
}

fn named<'r>(
    all: impl Iterator<Item = (Purpose, &'r Option<Spanned<String>>)>,
) -> impl Iterator<Item = NamedFor<'r>> {
    all.filter_map(|(purpose, name)| Some((purpose, name.as_ref()?)))
}

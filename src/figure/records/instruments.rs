//! The instruments a visit names.

use crate::record::Calibration;
use crate::source::Spanned;

/// Every instrument a record names, in the order of the record.
pub(crate) fn instruments_in(visit: &Calibration) -> impl Iterator<Item = &Spanned<String>> {
    let catches = visit
        .catch_tests
        .iter()
        .flat_map(|test| [&test.jug, &test.gauge, &test.stopwatch, &test.scale]);
    let meters = visit
        .meter_tests
        .iter()
        .flat_map(|test| [&test.fill_meter, &test.scale, &test.tank_marks]);
    let courses = visit
        .speed_tests
        .iter()
        .flat_map(|test| [&test.measured_by, &test.stopwatch]);
    let balance = visit.section_balance.iter().map(|balance| &balance.gauge);
    let boom_end = std::iter::once(&visit.boom_end_gauge);
    let all = catches
        .chain(meters)
        .chain(courses)
        .chain(balance)
        .chain(boom_end);
    all.flatten()
}

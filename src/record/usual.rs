//! The units that people write in each field of a record, and how large its numbers are in each.
//!
//! For what a message proposes, and for nothing else: nothing is refused for its size. Common practice on golf courses, no
//! source; the examples of the schemas lie within (`tests/fast/model.rs`).

use crate::quantity::usual::Usual;

const fn row(unit: &'static str, least: f64, most: f64) -> Usual {
    Usual::new(unit, least, most)
}

const HOURS_OF_A_NEW_METER: &[Usual] = &[row("h", 0.0, 99_999.0)];
const HOURS: &[Usual] = &[row("h", 0.1, 99_999.0)];
const SHORT_TIMES: &[Usual] = &[row("s", 3.0, 900.0), row("min", 0.2, 15.0)];
const PRESSURES: &[Usual] = &[row("psi", 8.0, 400.0), row("bar", 0.5, 25.0)];
const SPEEDS: &[Usual] = &[row("mph", 1.0, 12.0), row("km/h", 1.5, 20.0)];
const TANK_VOLUMES: &[Usual] = &[row("gal", 1.0, 1_500.0), row("L", 4.0, 6_000.0)];
const RATES: &[Usual] = &[
    row("gal/acre", 3.0, 400.0),
    row("gal/1000 ft2", 0.1, 10.0),
    row("L/ha", 30.0, 4_000.0),
];
const DENSITIES: &[Usual] = &[row("lb/gal", 5.0, 16.0), row("kg/L", 0.6, 2.0)];
const WIDTHS: &[Usual] = &[
    row("ft", 1.0, 120.0),
    row("in", 6.0, 1_500.0),
    row("m", 0.3, 40.0),
    row("cm", 15.0, 4_000.0),
];
const SPACINGS: &[Usual] = &[row("in", 4.0, 60.0), row("cm", 10.0, 150.0)];
const SPACING_TOLERANCES: &[Usual] = &[row("in", 0.01, 2.0), row("mm", 0.2, 50.0)];
const RATES_OR_PRESSURES: &[Usual] = &[RATES[0], RATES[1], RATES[2], PRESSURES[0], PRESSURES[1]];
const LABEL_RATES: &[Usual] = &[
    row("fl oz/1000 ft2", 0.01, 50.0),
    row("fl oz/acre", 0.1, 1_000.0),
    row("lb/acre", 0.01, 500.0),
    row("L/ha", 0.01, 100.0),
    row("kg/ha", 0.01, 500.0),
];

/// The usual units of each key that has some, US units first.
const BY_KEY: [(&str, &[Usual]); 40] = [
    ("after", HOURS_OF_A_NEW_METER),
    ("all-on", RATES_OR_PRESSURES),
    (
        "amount",
        &[
            row("fl oz", 0.1, 2_000.0),
            row("gal", 0.1, 200.0),
            row("L", 0.05, 800.0),
            row("lb", 0.05, 2_000.0),
            row("kg", 0.02, 1_000.0),
        ],
    ),
    ("area", &[row("acres", 0.05, 500.0), row("ha", 0.02, 200.0)]),
    ("as-found", RATES_OR_PRESSURES),
    ("as-left", RATES_OR_PRESSURES),
    ("before", HOURS),
    ("boom-end-pressure", PRESSURES),
    (
        "capacity",
        &[
            row("fl oz", 4.0, 700.0),
            row("mL", 100.0, 20_000.0),
            row("L", 0.1, 20.0),
        ],
    ),
    ("density", DENSITIES),
    (
        "distance",
        &[row("ft", 30.0, 2_000.0), row("m", 10.0, 600.0)],
    ),
    ("duration", SHORT_TIMES),
    ("elapsed", &[row("s", 1.0, 600.0), row("min", 0.05, 10.0)]),
    ("entered-speed", SPEEDS),
    ("entered-width", WIDTHS),
    ("entered-widths", WIDTHS),
    ("flow", &[row("gpm", 0.02, 10.0), row("L/min", 0.1, 40.0)]),
    (
        "flow-factor",
        &[row("pulses/gal", 1.0, 1e6), row("pulses/L", 1.0, 1e6)],
    ),
    // The hour meter of an application, and the pressure range of a nozzle.
    ("from", &[HOURS[0], PRESSURES[0], PRESSURES[1]]),
    (
        "graduation",
        &[
            row("fl oz", 0.05, 32.0),
            row("mL", 1.0, 1_000.0),
            row("gal", 0.05, 50.0),
            row("L", 0.2, 200.0),
            row("psi", 0.1, 20.0),
            row("bar", 0.01, 2.0),
            row("s", 0.001, 1.0),
            row("in", 0.01, 12.0),
            row("cm", 0.1, 30.0),
        ],
    ),
    ("hours", HOURS),
    (
        "known-volume",
        &[
            row("gal", 1.0, 1_500.0),
            row("L", 4.0, 6_000.0),
            row("lb", 8.0, 13_000.0),
            row("kg", 4.0, 6_000.0),
        ],
    ),
    ("max", LABEL_RATES),
    ("min", LABEL_RATES),
    ("pressure", PRESSURES),
    ("rate", RATES),
    (
        "resolution",
        &[
            row("wt oz", 0.001, 16.0),
            row("g", 0.01, 500.0),
            row("gal", 0.001, 10.0),
            row("L", 0.001, 40.0),
            row("s", 0.001, 1.0),
        ],
    ),
    (
        "shown",
        &[
            row("gal", 1.0, 1_500.0),
            row("L", 4.0, 6_000.0),
            row("ft", 30.0, 2_000.0),
            row("m", 10.0, 600.0),
            SPEEDS[0],
            SPEEDS[1],
        ],
    ),
    ("spacing", SPACINGS),
    ("spacing-tolerance", SPACING_TOLERANCES),
    ("span", PRESSURES),
    ("speed", SPEEDS),
    (
        "speed-factor",
        &[row("pulses/100 ft", 1.0, 1e6), row("pulses/m", 0.1, 1e6)],
    ),
    ("tank", TANK_VOLUMES),
    ("timing", &[row("s", 0.01, 5.0)]),
    // The hour meter of an application, the pressure range of a nozzle, and the spacing of a service record.
    (
        "to",
        &[
            HOURS[0],
            PRESSURES[0],
            PRESSURES[1],
            SPACINGS[0],
            SPACINGS[1],
        ],
    ),
    (
        "unit",
        &[
            row("fl oz", 0.1, 2_000.0),
            row("mL", 1.0, 60_000.0),
            row("g", 1.0, 60_000.0),
            row("wt oz", 0.1, 2_000.0),
            row("gpm", 0.02, 10.0),
            row("L/min", 0.1, 40.0),
        ],
    ),
    ("volume", TANK_VOLUMES),
    ("water", TANK_VOLUMES),
    ("water-added", TANK_VOLUMES),
];

/// The usual units of a key; none for one that has no row.
pub fn usual_units(key: &str) -> &'static [Usual] {
    let mut rows = BY_KEY.iter();
    rows.find(|(of, _)| *of == key)
        .map_or(&[], |(_, usual)| usual)
}

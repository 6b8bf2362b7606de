//! What is assumed where nothing is declared: each default once, with the words and the source for it.
//!
//! No other file of figures has a number for the uncertainty of a reading; the table in
//! `docs/uncertainty.md` is made from this one.

/// A default for one source of error.
#[derive(Debug)]
pub struct Assumed {
    /// The name of the default in the source.
    pub name: &'static str,
    /// What it is of: `a jug's marks`.
    pub of: &'static str,
    /// Its size in SI units or as a ratio: a half width, a step or a standard uncertainty, as the words say.
    pub size: f64,
    /// What is declared instead, and where.
    pub declare: &'static str,
    /// Where the number comes from.
    pub source: &'static str,
    /// What is said of it, with a gap for the number.
    pub words: &'static str,
    /// The unit of that number in SI units.
    pub unit: f64,
}

const PERCENT: f64 = 0.01;
const BAR: f64 = 1.0e5;
const MILLIMETER: f64 = 0.001;
/// A US gallon in cubic meters.
const GALLON: f64 = 0.003_785_411_784;

/// Whether the marks of a jug are further apart than a fiftieth of what it holds; our choice.
pub(in crate::figure) fn is_coarse(mark: f64, most: f64) -> bool {
    mark > most * 0.02
}

/// Half width.
pub(in crate::figure) static JUG: Assumed = Assumed {
    name: "JUG",
    of: "jug",
    size: 0.01,
    words: "marks true within {}%",
    unit: PERCENT,
    declare: "`tolerance` of the jug",
    source: "our choice, until the jug is checked by weighing",
};

/// Half width.
pub(in crate::figure) static SCALE: Assumed = Assumed {
    name: "SCALE",
    of: "scale",
    size: 0.005,
    words: "true within {}%",
    unit: PERCENT,
    declare: "`tolerance` of the scale",
    source: "our choice",
};

/// Half width about 1 g/mL: from 0 to 31 degrees Celsius it is between 0.9953 and 1.0000 g/mL.
pub(in crate::figure) static WATER: Assumed = Assumed {
    name: "WATER",
    of: "water that is weighed",
    size: 0.005,
    words: "1 g/mL within {}%",
    unit: PERCENT,
    declare: "",
    source: "computed from memory for 32 to 88 °F",
};

/// Half width.
pub(in crate::figure) static FLOW_INSTRUMENT: Assumed = Assumed {
    name: "FLOW_INSTRUMENT",
    of: "flow read off an instrument",
    size: 0.02,
    words: "true within {}%",
    unit: PERCENT,
    declare: "",
    source: "our choice",
};

/// Standard uncertainty of start and stop together.
pub(in crate::figure) static TIMING: Assumed = Assumed {
    name: "TIMING",
    of: "stopwatch",
    size: 0.10,
    words: "{} s a timing (standard uncertainty), one timing for each nozzle unless `timed: together`",
    unit: 1.0,
    declare: "`timing` of the stopwatch",
    source: "American Journal of Physics 87 (2019) 110, abstract",
};

/// Half width.
pub(in crate::figure) static GAUGE: Assumed = Assumed {
    name: "GAUGE",
    of: "pressure gauge",
    size: 0.025 * 1.0e6,
    words: "true within {} bar: class 2.5 on a span of 10 bar",
    unit: BAR,
    declare: "`class` and `span` of the gauge",
    source: "EN 837-1 for the class; class and span are our choice",
};

/// Half width.
pub(in crate::figure) static FILL_METER: Assumed = Assumed {
    name: "FILL_METER",
    of: "fill meter (`fill meter`)",
    size: 0.01,
    words: "true within {}%",
    unit: PERCENT,
    declare: "`tolerance` of the fill meter",
    source: "our choice",
};

/// From mark to mark.
pub(in crate::figure) static TANK_MARK: Assumed = Assumed {
    name: "TANK_MARK",
    of: "tank marks, each reading",
    size: GALLON,
    words: "a mark is {} gal; read to the nearest mark at each end",
    unit: GALLON,
    declare: "`graduation` of the tank marks",
    source: "our choice",
};

/// Half width.
pub(in crate::figure) static TANK_MARKS: Assumed = Assumed {
    name: "TANK_MARKS",
    of: "tank marks, all of them",
    size: 0.01,
    words: "true within {}%",
    unit: PERCENT,
    declare: "`tolerance` of the tank marks",
    source: "our choice, as for a jug",
};

/// Half width over any length.
pub(in crate::figure) static TAPE_AT_ONCE: Assumed = Assumed {
    name: "TAPE_AT_ONCE",
    of: "tape, over any length",
    size: 0.000_3,
    words: "class II: within {} mm",
    unit: MILLIMETER,
    declare: "`class` of the tape, or its `tolerance`",
    source: "Directive 2014/32/EU, annex X, chapter I",
};

/// Half width for each meter, as a ratio.
pub(in crate::figure) static TAPE_BY_METER: Assumed = Assumed {
    name: "TAPE_BY_METER",
    of: "tape, for each meter",
    size: 0.000_2,
    words: "class II: plus {} mm a meter",
    unit: MILLIMETER,
    declare: "`class` of the tape, or its `tolerance`",
    source: "Directive 2014/32/EU, annex X, chapter I",
};

/// Half width at each end.
pub(in crate::figure) static ON_THE_MARK: Assumed = Assumed {
    name: "ON_THE_MARK",
    of: "crossing the marks of the speed course",
    size: 0.1,
    words: "within {} m at each end",
    unit: 1.0,
    declare: "",
    source: "our choice",
};

/// Half width about the rated flow, for a tip that was not caught.
pub(in crate::figure) static NEW_TIP: Assumed = Assumed {
    name: "NEW_TIP",
    of: "flow of a new tip, for `swathlint settings`",
    size: 0.05,
    words: "within {}% of its rating",
    unit: PERCENT,
    declare: "a catch test",
    source: "ISO 10625, restated",
};

/// Half width.
pub(in crate::figure) static SPACING: Assumed = Assumed {
    name: "SPACING",
    of: "nozzle spacing",
    size: 0.002,
    words: "true within {} mm",
    unit: MILLIMETER,
    declare: "`spacing-tolerance` of the boom",
    source: "our choice",
};

/// Half width.
pub(in crate::figure) static SPEED: Assumed = Assumed {
    name: "SPEED",
    of: "speed while spraying, no speed test in the visit",
    size: 0.01,
    words: "the setup's speed within {}%",
    unit: PERCENT,
    declare: "`speed-tolerance` of the setup, or a speed test",
    source: "our choice: as well as a driver holds a speed; whether it is the setup's speed is for the speed test, which comes due by itself",
};

/// Half width.
pub(in crate::figure) static MAPPED_AREA: Assumed = Assumed {
    name: "MAPPED_AREA",
    of: "area, `area-by: map`",
    size: 0.03,
    words: "true within {}%",
    unit: PERCENT,
    declare: "",
    source: "our choice",
};

/// Half width.
pub(in crate::figure) static MEASURED_AREA: Assumed = Assumed {
    name: "MEASURED_AREA",
    of: "area, `area-by: measured`",
    size: 0.01,
    words: "true within {}%",
    unit: PERCENT,
    declare: "",
    source: "our choice",
};

/// Half width.
pub(in crate::figure) static CONSOLE_AREA: Assumed = Assumed {
    name: "CONSOLE_AREA",
    of: "area, `area-by: console` or not stated",
    size: 0.05,
    words: "true within {}%",
    unit: PERCENT,
    declare: "",
    source: "our choice",
};

/// Half width.
pub(in crate::figure) static CONSOLE_VOLUME: Assumed = Assumed {
    name: "CONSOLE_VOLUME",
    of: "volume, `volume-by: console` or not stated",
    size: 0.05,
    words: "true within {}%",
    unit: PERCENT,
    declare: "",
    source: "our choice: as far as the console's meter may be off",
};

/// Half width.
pub(in crate::figure) static UNTESTED_CONSOLE: Assumed = Assumed {
    name: "UNTESTED_CONSOLE",
    of: "what the console counts, for products, if no meter test or speed test tells",
    size: 0.05,
    words: "true within {}% each",
    unit: PERCENT,
    declare: "a meter test, a speed test",
    source: "our choice: as far as a meter or a speed sensor may be off",
};

/// Half width.
pub(in crate::figure) static UNTESTED_SPEED: Assumed = Assumed {
    name: "UNTESTED_SPEED",
    of: "speed of a setup, for products without flow control, if no speed test tells",
    size: 0.10,
    words: "true within {}%",
    unit: PERCENT,
    declare: "a speed test",
    source: "our choice: a label is judged by what went on, so what nobody tested counts in full",
};

/// Half width.
pub(in crate::figure) static UNTESTED_RATE: Assumed = Assumed {
    name: "UNTESTED_RATE",
    of: "rate of a setup, for products without flow control, if no catch test tells",
    size: 0.15,
    words: "true within {}%",
    unit: PERCENT,
    declare: "a catch test",
    source: "our choice",
};

/// Every default.
pub static DEFAULTS: &[&Assumed] = &[
    &JUG,
    &SCALE,
    &WATER,
    &FLOW_INSTRUMENT,
    &TIMING,
    &GAUGE,
    &FILL_METER,
    &TANK_MARK,
    &TANK_MARKS,
    &TAPE_AT_ONCE,
    &TAPE_BY_METER,
    &ON_THE_MARK,
    &NEW_TIP,
    &SPACING,
    &SPEED,
    &MAPPED_AREA,
    &MEASURED_AREA,
    &CONSOLE_AREA,
    &CONSOLE_VOLUME,
    &UNTESTED_CONSOLE,
    &UNTESTED_SPEED,
    &UNTESTED_RATE,
];

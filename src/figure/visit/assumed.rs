//! What is assumed where nothing is declared: each default once, with the words and the source for it.
//!
//! No other file of figures has a number for the uncertainty of a reading; the table in
//! `docs/uncertainty.md` is made from this one.

use crate::words::numbers;

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
    words: &'static str,
    /// The unit of that number in SI units.
    unit: f64,
}

impl Assumed {
    /// What is assumed: `true within 1%`.
    pub fn in_words(&self) -> String {
        let number = numbers::significant(self.size / self.unit, 2);
        let number = match number.split_once('.') {
            Some(_) => number.trim_end_matches('0').trim_end_matches('.'),
            None => &number,
        };
        self.words.replace("{}", number)
    }
}

macro_rules! defaults {
    ($($(#[$doc:meta])* $name:ident: $of:literal, $size:expr, $words:literal in $unit:expr, $declare:literal, $source:literal;)*) => {
        $(
            $(#[$doc])*
            pub(in crate::figure) static $name: Assumed = Assumed {
                name: stringify!($name),
                of: $of,
                size: $size,
                declare: $declare,
                source: $source,
                words: $words,
                unit: $unit,
            };
        )*

        /// Every default.
        pub static DEFAULTS: &[&Assumed] = &[$(&$name),*];
    };
}

const PERCENT: f64 = 0.01;
const BAR: f64 = 1.0e5;
const MILLIMETRE: f64 = 0.001;
/// A US gallon in cubic metres.
const GALLON: f64 = 0.003_785_411_784;

defaults! {
    /// Half width.
    JUG: "jug", 0.01, "marks true within {}%" in PERCENT,
        "`tolerance` of the jug", "our choice, until the jug is checked by weighing";
    /// Half width.
    SCALE: "scale", 0.005, "true within {}%" in PERCENT,
        "`tolerance` of the scale", "our choice";
    /// Half width about 1 g/mL: from 0 to 31 degrees Celsius it is between 0.9953 and 1.0000 g/mL.
    WATER: "water that is weighed", 0.005, "1 g/mL within {}%" in PERCENT,
        "", "computed from memory for 32 to 88 °F";
    /// Half width.
    FLOW_INSTRUMENT: "flow read off an instrument", 0.02, "true within {}%" in PERCENT,
        "", "our choice";
    /// Standard uncertainty of start and stop together.
    TIMING: "stopwatch", 0.10, "{} s a timing (standard uncertainty), one timing for each nozzle unless `timed: together`" in 1.0,
        "`timing` of the stopwatch", "American Journal of Physics 87 (2019) 110, abstract";
    /// Half width.
    GAUGE: "pressure gauge", 0.025 * 1.0e6, "true within {} bar: class 2.5 on a span of 10 bar" in BAR,
        "`class` and `span` of the gauge", "EN 837-1 for the class; class and span are our choice";
    /// Half width.
    FILL_METER: "fill meter (`refill meter`)", 0.01, "true within {}%" in PERCENT,
        "`tolerance` of the fill meter", "our choice";
    /// From mark to mark.
    TANK_MARK: "tank marks, each reading", GALLON, "a mark is {} gal; read to the nearest mark at each end" in GALLON,
        "`graduation` of the tank marks", "our choice";
    /// Half width.
    TANK_MARKS: "tank marks, all of them", 0.01, "true within {}%" in PERCENT,
        "`tolerance` of the tank marks", "our choice, as for a jug";
    /// Half width over any length.
    TAPE_AT_ONCE: "tape, over any length", 0.000_3, "class II: true within {} mm, and" in MILLIMETRE,
        "`class` of the tape, or its `tolerance`", "Directive 2014/32/EU, annex X, chapter I";
    /// Half width for each meter, as a ratio.
    TAPE_BY_METRE: "tape, for each meter", 0.000_2, "class II: another {} mm" in MILLIMETRE,
        "`class` of the tape, or its `tolerance`", "Directive 2014/32/EU, annex X, chapter I";
    /// Half width at each end.
    ON_THE_MARK: "crossing the marks of the speed course", 0.1, "within {} m at each end" in 1.0,
        "", "our choice";
    /// Half width.
    SPACING: "nozzle spacing", 0.002, "true within {} mm" in MILLIMETRE,
        "`spacing-tolerance` of the boom", "our choice";
    /// Half width.
    SPEED: "speed while spraying, no speed test in the visit", 0.02, "the setup's speed within {}%" in PERCENT,
        "`speed-tolerance` of the setup, or a speed test", "our choice";
    /// Half width.
    MAPPED_AREA: "area, `area-by: map`", 0.03, "true within {}%" in PERCENT,
        "", "our choice";
    /// Half width.
    MEASURED_AREA: "area, `area-by: measured`", 0.01, "true within {}%" in PERCENT,
        "", "our choice";
    /// Half width.
    CONSOLE_AREA: "area, `area-by: console` or not told", 0.05, "true within {}%" in PERCENT,
        "", "our choice";
    /// Half width.
    CONSOLE_VOLUME: "volume, `volume-by: console` or not told", 0.05, "true within {}%" in PERCENT,
        "", "our choice: as far as the console's meter may be off";
}

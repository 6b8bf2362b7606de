//! The units of the trade: one table with exact factors and every spelling that is read.
//!
//! No unit stands in it whose factor is measured rather than defined, and no spelling that two units
//! of the trade share: `oz` is nobody's, and [`super::spelled`] says why.

use super::dimension::{Dimension, Kind};
use super::exact::Exact;
use num_bigint::BigInt;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::LazyLock;

/// A unit: one of the table, or one of the table per a number of another.
///
/// Small and copied freely; two spellings of the same unit are equal.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Unit {
    over: Id,
    under: Option<Under>,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
struct Under {
    times: u32,
    id: Id,
}

/// The place of a row in [`ATOMS`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(super) struct Id(u8);

impl Unit {
    /// A plain number.
    pub const ONE: Self = Self::of("");
    /// Percent.
    pub const PERCENT: Self = Self::of("%");
    /// Pounds per square inch.
    pub const PSI: Self = Self::of("psi");
    /// Bar.
    pub const BAR: Self = Self::of("bar");
    /// US gallons.
    pub const GALLON: Self = Self::of("gal");
    /// US fluid ounces.
    pub const FLUID_OUNCE: Self = Self::of("fl oz");
    /// Imperial gallons.
    pub const IMPERIAL_GALLON: Self = Self::of("imp gal");
    /// Imperial fluid ounces.
    pub const IMPERIAL_FLUID_OUNCE: Self = Self::of("imp fl oz");
    /// Liters.
    pub const LITER: Self = Self::of("L");
    /// Milliliters.
    pub const MILLILITER: Self = Self::of("mL");
    /// Pounds.
    pub const POUND: Self = Self::of("lb");
    /// Inches.
    pub const INCH: Self = Self::of("in");
    /// Feet.
    pub const FOOT: Self = Self::of("ft");
    /// Meters.
    pub const METER: Self = Self::of("m");
    /// Centimeters.
    pub const CENTIMETER: Self = Self::of("cm");
    /// Seconds.
    pub const SECOND: Self = Self::of("s");
    /// Minutes.
    pub const MINUTE: Self = Self::of("min");
    /// Hours.
    pub const HOUR: Self = Self::of("h");
    /// Days.
    pub const DAY: Self = Self::of("days");
    /// Months of the calendar.
    pub const MONTH: Self = Self::of("months");
    /// US gallons per minute.
    pub const GPM: Self = Self::per("gal", 1, "min");
    /// Liters per minute.
    pub const LITER_PER_MINUTE: Self = Self::per("L", 1, "min");
    /// Miles per hour.
    pub const MPH: Self = Self::per("mi", 1, "h");
    /// Kilometers per hour.
    pub const KILOMETER_PER_HOUR: Self = Self::per("km", 1, "h");
    /// US gallons per acre.
    pub const GALLON_PER_ACRE: Self = Self::per("gal", 1, "acres");
    /// US gallons per 1000 square feet.
    pub const GALLON_PER_1000_SQUARE_FEET: Self = Self::per("gal", 1000, "ft2");
    /// Liters per hectare.
    pub const LITER_PER_HECTARE: Self = Self::per("L", 1, "ha");
    /// Grams per millilitre.
    pub const GRAM_PER_MILLILITER: Self = Self::per("g", 1, "mL");

    pub(super) const fn of(name: &str) -> Self {
        Self {
            over: id_of(name),
            under: None,
        }
    }

    pub(super) const fn per(over: &str, times: u32, under: &str) -> Self {
        Self {
            over: id_of(over),
            under: Some(Under {
                times,
                id: id_of(under),
            }),
        }
    }

    pub(super) const fn alone(over: Id) -> Self {
        Self { over, under: None }
    }

    pub(super) const fn over_a_number_of(over: Id, times: u32, under: Id) -> Self {
        Self {
            over,
            under: Some(Under { times, id: under }),
        }
    }

    /// Every unit of the table by itself, in its order; the plain number is none.
    pub fn all() -> impl Iterator<Item = Self> {
        Id::all().map(Self::alone)
    }

    /// The unit above the stroke: fluid ounces of fluid ounces per acre.
    #[must_use]
    pub const fn above_the_stroke(self) -> Self {
        Self::alone(self.over)
    }

    /// What it measures.
    pub fn dimension(self) -> Dimension {
        match self.under {
            None => Dimension::Plain(self.over.atom().kind),
            Some(under) => Dimension::Per(self.over.atom().kind, under.id.atom().kind),
        }
    }

    /// How many SI units one of it is; months where it is a period of the calendar.
    pub fn factor(self) -> f64 {
        let over = self.over.atom().factor();
        match self.under {
            None => over,
            Some(under) => over / (f64::from(under.times) * under.id.atom().factor()),
        }
    }

    /// The same as [`Unit::factor`], as an exact fraction.
    pub fn exact_factor(self) -> Exact {
        let over = self.over.atom().exact_factor();
        match self.under {
            None => over,
            Some(under) => {
                over / (Exact::from(BigInt::from(under.times)) * under.id.atom().exact_factor())
            }
        }
    }

    /// The unit behind a printed number: `3 days`, `1 day`, `5%`, and nothing behind a plain number.
    pub fn behind(self, number: &str) -> String {
        match number {
            _ if self == Self::ONE => number.to_owned(),
            _ if self == Self::PERCENT => format!("{number}%"),
            "1" | "-1" => format!("{number} {}", Singular(self)),
            _ => format!("{number} {self}"),
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_unit(*self, self.over.atom().name, formatter)
    }
}

/// A unit as it is named behind the number one.
struct Singular(Unit);

impl fmt::Display for Singular {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_unit(self.0, self.0.over.atom().singular, formatter)
    }
}

fn write_unit(unit: Unit, over: &str, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
    let word = WORDS.iter().find(|word| word.unit == unit);
    if let Some(name) = word.and_then(|word| word.name) {
        return formatter.write_str(name);
    }
    match unit.under {
        None => formatter.write_str(over),
        Some(Under { times: 1, id }) => write!(formatter, "{over}/{}", id.atom().singular),
        Some(Under { times, id }) => write!(formatter, "{over}/{times} {}", id.atom().name),
    }
}

/// Units per another that have a word of their own, and how else it is written, in lower case.
///
/// `gpm` and `mph` are printed, being what people say; the others are only read.
pub(super) static WORDS: [Word; 5] = [
    Word {
        unit: Unit::GPM,
        name: Some("gpm"),
        spellings: &["us gpm"],
    },
    Word {
        unit: Unit::MPH,
        name: Some("mph"),
        spellings: &[],
    },
    Word {
        unit: Unit::KILOMETER_PER_HOUR,
        name: None,
        spellings: &["kph", "kmh", "kmph"],
    },
    Word {
        unit: Unit::LITER_PER_MINUTE,
        name: None,
        spellings: &["lpm"],
    },
    Word {
        unit: Unit::GALLON_PER_ACRE,
        name: None,
        spellings: &["gpa"],
    },
];

/// One word for a unit per another.
pub(super) struct Word {
    pub(super) unit: Unit,
    pub(super) name: Option<&'static str>,
    pub(super) spellings: &'static [&'static str],
}

/// One unit of the table.
pub(super) struct Atom {
    /// The name that is printed, for any number but one.
    pub(super) name: &'static str,
    /// The name that is printed for one, and below a stroke.
    pub(super) singular: &'static str,
    /// What it measures.
    pub(super) kind: Kind,
    /// SI units in one of it, as a fraction of whole numbers; both exact in binary.
    si: (i64, i64),
    /// Other ways to write it, in lower case, without stops, with single spaces.
    pub(super) spellings: &'static [&'static str],
}

impl Atom {
    #[expect(
        clippy::cast_precision_loss,
        reason = "both parts of every row are exact in binary, held by a test"
    )]
    fn factor(&self) -> f64 {
        self.si.0 as f64 / self.si.1 as f64
    }

    fn exact_factor(&self) -> Exact {
        match self.si {
            (whole, 1) => Exact::from_integer(whole.into()),
            (over, under) => Exact::new(over.into(), under.into()),
        }
    }
}

impl Id {
    pub(super) fn atom(self) -> &'static Atom {
        &ATOMS[usize::from(self.0)]
    }

    /// The unit of which the text is a name that is printed.
    pub(super) fn named(text: &str) -> Option<Self> {
        static NAMES: LazyLock<BTreeMap<&str, Id>> = LazyLock::new(|| {
            let names = |id: Id| [(id.atom().name, id), (id.atom().singular, id)];
            Id::all().flat_map(names).collect()
        });
        NAMES.get(text).copied()
    }

    /// Every way to write it, the printed names first.
    pub(super) fn names(self) -> impl Iterator<Item = &'static str> {
        let atom = self.atom();
        [atom.name, atom.singular]
            .into_iter()
            .chain(atom.spellings.iter().copied())
    }

    /// Every unit of the table that has a name: the plain number has none.
    pub(super) fn all() -> impl Iterator<Item = Self> {
        (0..=u8::MAX)
            .map(Self)
            .take(ATOMS.len())
            .filter(|id| !id.atom().name.is_empty())
    }
}

const fn id_of(name: &str) -> Id {
    let mut at = 0;
    while at < ATOMS.len() {
        if is_same(ATOMS[at].name.as_bytes(), name.as_bytes()) {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "the table has far fewer than 256 rows"
            )]
            return Id(at as u8);
        }
        at += 1;
    }
    panic!("every unit named in this file stands in the table: checked when it is compiled")
}

const fn is_same(one: &[u8], other: &[u8]) -> bool {
    if one.len() != other.len() {
        return false;
    }
    let mut at = 0;
    while at < one.len() {
        if one[at] != other[at] {
            return false;
        }
        at += 1;
    }
    true
}

const fn atom(
    kind: Kind,
    names: [&'static str; 2],
    si: (i64, i64),
    spellings: &'static [&'static str],
) -> Atom {
    Atom {
        name: names[0],
        singular: names[1],
        kind,
        si,
        spellings,
    }
}

/// Every unit with its exact factor to SI.
///
/// Factors are definitions, from NIST SP 811 (2008) appendix B and NIST Handbook 44 appendix C: yard
/// 0.9144 m, pound 0.453 592 37 kg, US gallon 231 cubic inches, imperial gallon 4.546 09 L, international
/// acre 43 560 square feet of the international foot (the US survey acre is 4 millionths larger).
static ATOMS: [Atom; 44] = [
    atom(
        Kind::Length,
        ["mm", "mm"],
        (1, 1000),
        &["millimetre", "millimetres", "millimeter", "millimeters"],
    ),
    atom(
        Kind::Length,
        ["cm", "cm"],
        (1, 100),
        &["centimetre", "centimetres", "centimeter", "centimeters"],
    ),
    atom(
        Kind::Length,
        ["m", "m"],
        (1, 1),
        &["metre", "metres", "meter", "meters"],
    ),
    atom(
        Kind::Length,
        ["km", "km"],
        (1000, 1),
        &["kilometre", "kilometres", "kilometer", "kilometers"],
    ),
    atom(
        Kind::Length,
        ["in", "in"],
        (254, 10_000),
        &["inch", "inches", "ins", "\"", "\u{2033}", "\u{201d}"],
    ),
    atom(
        Kind::Length,
        ["ft", "ft"],
        (3048, 10_000),
        &["foot", "feet", "'", "\u{2032}", "\u{2019}"],
    ),
    atom(
        Kind::Length,
        ["yd", "yd"],
        (9144, 10_000),
        &["yds", "yard", "yards"],
    ),
    atom(
        Kind::Length,
        ["mi", "mi"],
        (1_609_344, 1000),
        &["mile", "miles"],
    ),
    atom(
        Kind::Area,
        ["m2", "m2"],
        (1, 1),
        &[
            "m\u{b2}",
            "m^2",
            "sq m",
            "sqm",
            "square metre",
            "square metres",
            "square meter",
            "square meters",
        ],
    ),
    atom(
        Kind::Area,
        ["ha", "ha"],
        (10_000, 1),
        &["hectare", "hectares"],
    ),
    atom(
        Kind::Area,
        ["ft2", "ft2"],
        (9_290_304, 100_000_000),
        &[
            "ft\u{b2}",
            "ft^2",
            "sq ft",
            "sqft",
            "square foot",
            "square feet",
        ],
    ),
    atom(
        Kind::Area,
        ["yd2", "yd2"],
        (83_612_736, 100_000_000),
        &[
            "yd\u{b2}",
            "yd^2",
            "sq yd",
            "sq yds",
            "sqyd",
            "square yard",
            "square yards",
        ],
    ),
    atom(
        Kind::Area,
        ["acres", "acre"],
        (40_468_564_224, 10_000_000),
        &["ac"],
    ),
    atom(
        Kind::Volume,
        ["mL", "mL"],
        (1, 1_000_000),
        &[
            "mls",
            "cc",
            "cm3",
            "cm\u{b3}",
            "cm^3",
            "millilitre",
            "millilitres",
            "milliliter",
            "milliliters",
        ],
    ),
    atom(
        Kind::Volume,
        ["cL", "cL"],
        (1, 100_000),
        &["centilitre", "centilitres", "centiliter", "centiliters"],
    ),
    atom(
        Kind::Volume,
        ["L", "L"],
        (1, 1000),
        &[
            "\u{2113}", "ltr", "ltrs", "litre", "litres", "liter", "liters",
        ],
    ),
    atom(
        Kind::Volume,
        ["m3", "m3"],
        (1, 1),
        &[
            "m\u{b3}",
            "m^3",
            "cu m",
            "cubic metre",
            "cubic metres",
            "cubic meter",
            "cubic meters",
        ],
    ),
    atom(
        Kind::Volume,
        ["fl oz", "fl oz"],
        (295_735_295_625, 10_000_000_000_000_000),
        &[
            "floz",
            "fl ozs",
            "fluid oz",
            "fluid ounce",
            "fluid ounces",
            "us fl oz",
            "us fluid ounce",
            "us fluid ounces",
        ],
    ),
    atom(
        Kind::Volume,
        ["pt", "pt"],
        (473_176_473, 1_000_000_000_000),
        &["pts", "pint", "pints", "us pt", "us pint", "us pints"],
    ),
    atom(
        Kind::Volume,
        ["qt", "qt"],
        (946_352_946, 1_000_000_000_000),
        &["qts", "quart", "quarts", "us qt", "us quart", "us quarts"],
    ),
    atom(
        Kind::Volume,
        ["gal", "gal"],
        (3_785_411_784, 1_000_000_000_000),
        &[
            "gals",
            "gallon",
            "gallons",
            "us gal",
            "us gals",
            "us gallon",
            "us gallons",
        ],
    ),
    atom(
        Kind::Volume,
        ["imp fl oz", "imp fl oz"],
        (284_130_625, 10_000_000_000_000),
        &[
            "imp floz",
            "imp fluid ounce",
            "imp fluid ounces",
            "imperial fl oz",
            "imperial fluid ounce",
            "imperial fluid ounces",
            "uk fl oz",
            "uk fluid ounce",
            "uk fluid ounces",
        ],
    ),
    atom(
        Kind::Volume,
        ["imp pt", "imp pt"],
        (56_826_125, 100_000_000_000),
        &[
            "imp pint",
            "imp pints",
            "imperial pt",
            "imperial pint",
            "imperial pints",
            "uk pt",
            "uk pint",
            "uk pints",
        ],
    ),
    atom(
        Kind::Volume,
        ["imp qt", "imp qt"],
        (11_365_225, 10_000_000_000),
        &[
            "imp quart",
            "imp quarts",
            "imperial qt",
            "imperial quart",
            "imperial quarts",
            "uk qt",
            "uk quart",
            "uk quarts",
        ],
    ),
    atom(
        Kind::Volume,
        ["imp gal", "imp gal"],
        (454_609, 100_000_000),
        &[
            "imp gals",
            "imp gallon",
            "imp gallons",
            "imperial gal",
            "imperial gals",
            "imperial gallon",
            "imperial gallons",
            "uk gal",
            "uk gals",
            "uk gallon",
            "uk gallons",
        ],
    ),
    atom(
        Kind::Mass,
        ["g", "g"],
        (1, 1000),
        &["gm", "gms", "gram", "grams", "gramme", "grammes"],
    ),
    atom(
        Kind::Mass,
        ["kg", "kg"],
        (1, 1),
        &[
            "kgs",
            "kilo",
            "kilos",
            "kilogram",
            "kilograms",
            "kilogramme",
            "kilogrammes",
        ],
    ),
    atom(
        Kind::Mass,
        ["wt oz", "wt oz"],
        (28_349_523_125, 1_000_000_000_000),
        &[
            "oz wt",
            "weight oz",
            "oz by weight",
            "ounce by weight",
            "ounces by weight",
            "oz av",
            "avoirdupois ounce",
            "avoirdupois ounces",
            "dry oz",
        ],
    ),
    atom(
        Kind::Mass,
        ["lb", "lb"],
        (45_359_237, 100_000_000),
        &["lbs", "pound", "pounds"],
    ),
    atom(
        Kind::Time,
        ["s", "s"],
        (1, 1),
        &["sec", "secs", "second", "seconds"],
    ),
    atom(
        Kind::Time,
        ["min", "min"],
        (60, 1),
        &["mins", "minute", "minutes"],
    ),
    atom(
        Kind::Time,
        ["h", "h"],
        (3600, 1),
        &["hr", "hrs", "hour", "hours"],
    ),
    atom(Kind::Time, ["days", "day"], (86_400, 1), &["d"]),
    atom(Kind::Time, ["weeks", "week"], (604_800, 1), &["wk", "wks"]),
    atom(Kind::Calendar, ["months", "month"], (1, 1), &["mo", "mos"]),
    atom(Kind::Calendar, ["years", "year"], (12, 1), &["yr", "yrs"]),
    atom(Kind::Pressure, ["Pa", "Pa"], (1, 1), &["pascal", "pascals"]),
    atom(
        Kind::Pressure,
        ["kPa", "kPa"],
        (1000, 1),
        &["kilopascal", "kilopascals"],
    ),
    atom(
        Kind::Pressure,
        ["MPa", "MPa"],
        (1_000_000, 1),
        &["megapascal", "megapascals"],
    ),
    atom(Kind::Pressure, ["bar", "bar"], (100_000, 1), &["bars"]),
    atom(
        Kind::Pressure,
        ["psi", "psi"],
        (8_896_443_230_521, 1_290_320_000),
        &[
            "psig",
            "lb/in2",
            "lbs/in2",
            "lb/sq in",
            "lbs/sq in",
            "pound per square inch",
            "pounds per square inch",
        ],
    ),
    atom(
        Kind::Ratio,
        ["%", "%"],
        (1, 100),
        &["percent", "per cent", "pct"],
    ),
    atom(Kind::Count, ["", ""], (1, 1), &[]),
    atom(Kind::Pulse, ["pulses", "pulse"], (1, 1), &[]),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::decimal::Decimal;
    use num_traits::{FromPrimitive, Signed};
    use std::collections::BTreeMap;

    fn exact(decimal: &str) -> Exact {
        Decimal::plain(decimal).unwrap().to_exact()
    }

    fn times(factor: u32, unit: &Exact) -> Exact {
        unit * Exact::from(BigInt::from(factor))
    }

    /// Every unit from its definition, in SI units.
    ///
    /// Definitions: international yard and pound (Federal Register 1959-07-01), 0.9144 m and
    /// 0.453 592 37 kg; US gallon 231 cubic inches; imperial gallon 4.546 09 L (Weights and Measures Act
    /// 1985); standard gravity 9.806 65 m/s2 (CGPM 1901); bar 100 kPa. The rest are multiples of these.
    fn definitions() -> BTreeMap<&'static str, Exact> {
        let one = exact("1");
        let yard = exact("0.9144");
        let foot = &yard / exact("3");
        let inch = &foot / exact("12");
        let pound = exact("0.45359237");
        let litre = exact("0.001");
        let gallon = times(231, &(&inch * &inch * &inch));
        let imperial_gallon = exact("4.54609") * &litre;
        let square_foot = &foot * &foot;
        BTreeMap::from([
            ("mm", exact("0.001")),
            ("cm", exact("0.01")),
            ("m", one.clone()),
            ("km", exact("1000")),
            ("in", inch.clone()),
            ("ft", foot.clone()),
            ("mi", times(5280, &foot)),
            ("m2", one.clone()),
            ("ha", exact("10000")),
            ("ft2", square_foot.clone()),
            ("yd2", &yard * &yard),
            ("acres", times(43_560, &square_foot)),
            ("yd", yard),
            ("mL", &litre / exact("1000")),
            ("cL", &litre / exact("100")),
            ("L", litre),
            ("m3", one.clone()),
            ("fl oz", &gallon / exact("128")),
            ("pt", &gallon / exact("8")),
            ("qt", &gallon / exact("4")),
            ("gal", gallon),
            ("imp fl oz", &imperial_gallon / exact("160")),
            ("imp pt", &imperial_gallon / exact("8")),
            ("imp qt", &imperial_gallon / exact("4")),
            ("imp gal", imperial_gallon),
            ("g", exact("0.001")),
            ("kg", one.clone()),
            ("wt oz", &pound / exact("16")),
            ("s", one.clone()),
            ("min", exact("60")),
            ("h", exact("3600")),
            ("days", exact("86400")),
            ("weeks", exact("604800")),
            ("months", one.clone()),
            ("years", exact("12")),
            ("Pa", one.clone()),
            ("kPa", exact("1000")),
            ("MPa", exact("1000000")),
            ("bar", exact("100000")),
            ("psi", &pound * exact("9.80665") / (&inch * &inch)),
            ("lb", pound),
            ("%", exact("0.01")),
            ("", one.clone()),
            ("pulses", one),
        ])
    }

    #[test]
    fn every_factor_is_its_definition() {
        let definitions = definitions();
        assert_eq!(definitions.len(), ATOMS.len());
        for atom in &ATOMS {
            assert_eq!(atom.exact_factor(), definitions[atom.name], "{}", atom.name);
        }
    }

    #[test]
    fn every_factor_in_binary_is_the_nearest() {
        for atom in &ATOMS {
            let is_exact =
                |part: i64| Exact::from_f64(atom.factor()).is_some() && is_exact_in_binary(part);
            assert!(is_exact(atom.si.0) && is_exact(atom.si.1), "{}", atom.name);
            let error =
                |factor: f64| (Exact::from_f64(factor).unwrap() - atom.exact_factor()).abs();
            let factor = atom.factor();
            assert!(error(factor) <= error(factor.next_up()), "{}", atom.name);
            assert!(error(factor) <= error(factor.next_down()), "{}", atom.name);
        }
    }

    fn is_exact_in_binary(n: i64) -> bool {
        n >> n.trailing_zeros() < 1 << 53
    }

    #[test]
    fn rates_convert_exactly() {
        let litre_per_hectare = Unit::LITER_PER_HECTARE.exact_factor();
        let ratio = |unit: Unit| unit.exact_factor() / &litre_per_hectare;
        let fraction = |over: i64, under: i64| Exact::new(over.into(), under.into());
        assert_eq!(ratio(Unit::GALLON_PER_ACRE), fraction(22_225, 2376));
        assert_eq!(ratio(Unit::GALLON_PER_1000_SQUARE_FEET), fraction(9779, 24));
        assert_eq!(
            Unit::GALLON_PER_1000_SQUARE_FEET.exact_factor() / Unit::GALLON_PER_ACRE.exact_factor(),
            fraction(4356, 100)
        );
    }

    #[test]
    fn no_two_units_share_a_spelling() {
        let mut seen: BTreeMap<String, String> = BTreeMap::new();
        let atoms = Id::all().map(|id| (Unit::alone(id), id.names().collect::<Vec<_>>()));
        let words = WORDS.iter().map(|word| {
            (
                word.unit,
                word.name.iter().chain(word.spellings).copied().collect(),
            )
        });
        for (unit, names) in atoms.chain(words) {
            for name in names {
                let other = seen.insert(name.to_lowercase(), unit.to_string());
                assert!(
                    other.is_none_or(|other| other == unit.to_string()),
                    "`{name}` is written for two units"
                );
            }
        }
    }
}

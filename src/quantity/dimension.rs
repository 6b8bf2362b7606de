//! What a unit measures, in the words of the trade.
//!
//! Only the dimensions that readings and labels of the trade have: there is no general algebra.

use std::fmt;

/// What one unit, standing alone, measures.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Kind {
    /// Meters.
    Length,
    /// Square meters.
    Area,
    /// Cubic meters.
    Volume,
    /// Kilograms.
    Mass,
    /// Seconds.
    Time,
    /// Months: a calendar's months and years are no fixed time.
    Calendar,
    /// Pascals.
    Pressure,
    /// A share: percent.
    Ratio,
    /// A plain number.
    Count,
    /// Pulses of a flow meter or speed sensor.
    Pulse,
}

/// What a quantity measures: one kind, or one kind per another.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Dimension {
    /// One kind alone.
    Plain(Kind),
    /// The first kind per the second.
    Per(Kind, Kind),
}

impl Dimension {
    /// A distance, a spacing, a width.
    pub const LENGTH: Self = Self::Plain(Kind::Length);
    /// An area.
    pub const AREA: Self = Self::Plain(Kind::Area);
    /// A volume.
    pub const VOLUME: Self = Self::Plain(Kind::Volume);
    /// A weight.
    pub const MASS: Self = Self::Plain(Kind::Mass);
    /// A time, and hours of use.
    pub const TIME: Self = Self::Plain(Kind::Time);
    /// A period of the calendar.
    pub const CALENDAR: Self = Self::Plain(Kind::Calendar);
    /// A pressure.
    pub const PRESSURE: Self = Self::Plain(Kind::Pressure);
    /// A percentage.
    pub const RATIO: Self = Self::Plain(Kind::Ratio);
    /// A plain number.
    pub const COUNT: Self = Self::Plain(Kind::Count);
    /// A number of pulses.
    pub const PULSES: Self = Self::Plain(Kind::Pulse);
    /// A speed.
    pub const SPEED: Self = Self::Per(Kind::Length, Kind::Time);
    /// A flow by volume.
    pub const FLOW: Self = Self::Per(Kind::Volume, Kind::Time);
    /// A flow by weight.
    pub const WEIGHED_FLOW: Self = Self::Per(Kind::Mass, Kind::Time);
    /// A spray rate, and a product's by volume.
    pub const RATE: Self = Self::Per(Kind::Volume, Kind::Area);
    /// A product's rate by weight.
    pub const WEIGHED_RATE: Self = Self::Per(Kind::Mass, Kind::Area);
    /// A density.
    pub const DENSITY: Self = Self::Per(Kind::Mass, Kind::Volume);
    /// A volume in a volume: product in a tank.
    pub const CONCENTRATION: Self = Self::Per(Kind::Volume, Kind::Volume);
    /// A flow factor that counts pulses.
    pub const PULSES_PER_VOLUME: Self = Self::Per(Kind::Pulse, Kind::Volume);
    /// A flow factor of the inverse kind.
    pub const VOLUME_PER_PULSE: Self = Self::Per(Kind::Volume, Kind::Pulse);
    /// A speed factor that counts pulses.
    pub const PULSES_PER_LENGTH: Self = Self::Per(Kind::Pulse, Kind::Length);
    /// A speed factor of the inverse kind.
    pub const LENGTH_PER_PULSE: Self = Self::Per(Kind::Length, Kind::Pulse);
    /// Work done: area covered in a time.
    pub const AREA_PER_TIME: Self = Self::Per(Kind::Area, Kind::Time);

    /// What it is called in a message, with its article where it has one.
    pub fn name(self) -> &'static str {
        self.row()
            .map_or("another kind of quantity", |row| row.name)
    }

    /// Two ways to write one, US units first.
    pub fn examples(self) -> [&'static str; 2] {
        self.row().map_or(["36 psi", "2.5 bar"], |row| row.examples)
    }

    /// Whether records of the trade have such a quantity at all.
    pub(super) fn is_of_the_trade(self) -> bool {
        self.row().is_some()
    }

    fn row(self) -> Option<&'static Row> {
        ROWS.iter().find(|row| row.dimension == self)
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.name())
    }
}

struct Row {
    dimension: Dimension,
    name: &'static str,
    examples: [&'static str; 2],
}

const fn row(dimension: Dimension, name: &'static str, us: &'static str, si: &'static str) -> Row {
    Row {
        dimension,
        name,
        examples: [us, si],
    }
}

static ROWS: [Row; 22] = [
    row(Dimension::LENGTH, "a length", "20 in", "50 cm"),
    row(Dimension::AREA, "an area", "11.5 acres", "4.6 ha"),
    row(Dimension::VOLUME, "a volume", "34.2 gal", "130 L"),
    row(Dimension::MASS, "a weight", "2.5 lb", "1.2 kg"),
    row(Dimension::TIME, "a time", "30 s", "4 min"),
    row(
        Dimension::CALENDAR,
        "a period of the calendar",
        "12 months",
        "1 year",
    ),
    row(Dimension::PRESSURE, "a pressure", "36 psi", "2.5 bar"),
    row(Dimension::RATIO, "a percentage", "5%", "0.5%"),
    row(Dimension::COUNT, "a plain number", "15", "4"),
    row(
        Dimension::PULSES,
        "a number of pulses",
        "620 pulses",
        "1180 pulses",
    ),
    row(Dimension::SPEED, "a speed", "4.2 mph", "6.8 km/h"),
    row(Dimension::FLOW, "a flow", "0.57 gpm", "2.4 L/min"),
    row(
        Dimension::WEIGHED_FLOW,
        "a flow by weight",
        "4.7 lb/min",
        "2150 g/min",
    ),
    row(Dimension::RATE, "a rate", "40 gal/acre", "375 L/ha"),
    row(
        Dimension::WEIGHED_RATE,
        "a rate by weight",
        "5 lb/acre",
        "5.6 kg/ha",
    ),
    row(Dimension::DENSITY, "a density", "8.34 lb/gal", "1.0 kg/L"),
    row(
        Dimension::CONCENTRATION,
        "a volume in a volume",
        "2 fl oz/gal",
        "15 mL/L",
    ),
    row(
        Dimension::PULSES_PER_VOLUME,
        "pulses per volume",
        "620 pulses/gal",
        "164 pulses/L",
    ),
    row(
        Dimension::VOLUME_PER_PULSE,
        "a volume per pulse",
        "0.2 fl oz/pulse",
        "6.1 mL/pulse",
    ),
    row(
        Dimension::PULSES_PER_LENGTH,
        "pulses per distance",
        "1180 pulses/100 ft",
        "38.7 pulses/m",
    ),
    row(
        Dimension::LENGTH_PER_PULSE,
        "a distance per pulse",
        "1.02 in/pulse",
        "2.58 cm/pulse",
    ),
    row(
        Dimension::AREA_PER_TIME,
        "an area per time",
        "5 acres/h",
        "2 ha/h",
    ),
];

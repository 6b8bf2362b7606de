//! The instruments of a group: what each is, what it is for, and how exact it is declared to be.

use super::lowering::Lowering;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::source::{Span, Spanned};
use crate::yaml::Node;
use jiff::civil::Date;

/// What an instrument is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InstrumentKind {
    /// A jug with marks, for what nozzles put out.
    Jug,
    /// A stopwatch.
    Stopwatch,
    /// A pressure gauge.
    Gauge,
    /// A wheel that counts the ground it rolls over.
    MeasuringWheel,
    /// A tape.
    Tape,
    /// A scale.
    Scale,
    /// A meter at the filling point.
    FillMeter,
    /// The marks of a tank.
    TankMarks,
}

impl InstrumentKind {
    const ALL: [Self; 8] = [
        Self::Jug,
        Self::Stopwatch,
        Self::Gauge,
        Self::MeasuringWheel,
        Self::Tape,
        Self::Scale,
        Self::FillMeter,
        Self::TankMarks,
    ];

    /// The words in records.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Jug => "jug",
            Self::Stopwatch => "stopwatch",
            Self::Gauge => "gauge",
            Self::MeasuringWheel => "measuring wheel",
            Self::Tape => "tape",
            Self::Scale => "scale",
            Self::FillMeter => "fill meter",
            Self::TankMarks => "tank marks",
        }
    }

    fn from_words(words: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.words() == words)
    }
}

/// What an instrument is used for: a key under `usual`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    /// To take times.
    Stopwatch,
    /// To read a pressure.
    Gauge,
    /// To measure the length of a speed course.
    Distance,
    /// To catch what nozzles put out.
    Jug,
    /// To meter what goes into a tank.
    FillMeter,
    /// To weigh.
    Scale,
    /// To read what a tank holds.
    TankMarks,
}

impl Purpose {
    const ALL: [Self; 7] = [
        Self::Stopwatch,
        Self::Gauge,
        Self::Distance,
        Self::Jug,
        Self::FillMeter,
        Self::Scale,
        Self::TankMarks,
    ];

    /// The key in the fleet file.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Stopwatch => "stopwatch",
            Self::Gauge => "gauge",
            Self::Distance => "distance",
            Self::Jug => "jug",
            Self::FillMeter => "fill-meter",
            Self::Scale => "scale",
            Self::TankMarks => "tank-marks",
        }
    }

    /// What serves for it.
    pub const fn kinds(self) -> &'static [InstrumentKind] {
        match self {
            Self::Stopwatch => &[InstrumentKind::Stopwatch],
            Self::Gauge => &[InstrumentKind::Gauge],
            Self::Distance => &[InstrumentKind::MeasuringWheel, InstrumentKind::Tape],
            Self::Jug => &[InstrumentKind::Jug],
            Self::FillMeter => &[InstrumentKind::FillMeter],
            Self::Scale => &[InstrumentKind::Scale],
            Self::TankMarks => &[InstrumentKind::TankMarks],
        }
    }

    pub(super) fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|purpose| purpose.key() == key)
    }
}

/// An instrument of the group.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// Its name, where it is declared.
    pub span: Span,
    /// What it is.
    pub kind: Option<Spanned<InstrumentKind>>,
    /// The most that a jug holds.
    pub capacity: Option<Spanned<Quantity>>,
    /// From mark to mark: a volume, a length, a weight or a pressure.
    pub graduation: Option<Spanned<Quantity>>,
    /// How far its scale may be off, in percent of the reading.
    pub tolerance: Option<Spanned<Quantity>>,
    /// The full scale of a gauge.
    pub span_of_scale: Option<Spanned<Quantity>>,
    /// The accuracy class of a gauge: percent of its span.
    pub class: Option<Spanned<Decimal>>,
    /// The accuracy class of a tape.
    pub tape_class: Option<Spanned<TapeClass>>,
    /// The standard uncertainty of one timing.
    pub timing: Option<Spanned<Quantity>>,
    /// When it was last checked.
    pub checked: Option<Spanned<Date>>,
}

/// The accuracy class of a tape (Directive 2014/32/EU, annex X, chapter I).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TapeClass {
    /// Class I.
    One,
    /// Class II.
    Two,
    /// Class III.
    Three,
}

impl TapeClass {
    fn from_word(word: &str) -> Option<Self> {
        match word {
            "I" => Some(Self::One),
            "II" => Some(Self::Two),
            "III" => Some(Self::Three),
            _ => None,
        }
    }
}

pub(super) fn lower(lowering: &mut Lowering, span: Span, node: Node<'_>) -> Instrument {
    let kind = Lowering::word(node, "type", InstrumentKind::from_words);
    let is_tape = kind.is_some_and(|kind| kind.value == InstrumentKind::Tape);
    let marks = marks_of(kind.map(|kind| kind.value));
    Instrument {
        span,
        capacity: lowering.quantity(node, "capacity", &[Dimension::VOLUME]),
        graduation: lowering
            .quantity(node, "graduation", marks)
            .or_else(|| lowering.quantity(node, "resolution", marks)),
        tolerance: lowering.tolerance(node, "tolerance"),
        span_of_scale: lowering.quantity(node, "span", &[Dimension::PRESSURE]),
        class: (!is_tape)
            .then(|| lowering.decimal(node, "class"))
            .flatten(),
        tape_class: Lowering::word(node, "class", TapeClass::from_word),
        timing: lowering.quantity(node, "timing", &[Dimension::TIME]),
        checked: lowering.date(node, "checked"),
        kind,
    }
}

/// What the marks of an instrument measure.
fn marks_of(kind: Option<InstrumentKind>) -> &'static [Dimension] {
    match kind {
        Some(InstrumentKind::Scale) => &[Dimension::MASS],
        Some(
            InstrumentKind::Jug
            | InstrumentKind::Stopwatch
            | InstrumentKind::Gauge
            | InstrumentKind::MeasuringWheel
            | InstrumentKind::Tape
            | InstrumentKind::FillMeter
            | InstrumentKind::TankMarks,
        )
        | None => &[Dimension::VOLUME],
    }
}

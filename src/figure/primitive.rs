//! Primitive inputs: independent sources of error, each with a value and a place in a file.
//!
//! A primitive is an error source, not a place: fifteen timings written once as `duration: 30 s` are
//! fifteen of these at one place, and one jug used for every nozzle is one of these for all of them.

use crate::quantity::dimension::Dimension;
use crate::quantity::{Exact, Quantity};
use crate::source::Place;
use num_traits::Zero;

/// The number of a primitive within its visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PrimitiveId(u32);

impl PrimitiveId {
    /// The number of the first.
    pub(super) const FIRST: Self = Self(0);
}

/// An independent source of error.
#[derive(Clone, Debug)]
pub struct Primitive {
    /// The value in SI units, a ratio, or an error of zero.
    pub value: f64,
    /// Its standard uncertainty in the same unit.
    pub uncertainty: f64,
    /// What it is.
    pub what: What,
    /// Where it is written; a default of ours stands nowhere.
    pub place: Option<Place>,
    origin: Origin,
}

/// Where the exact value comes from.
#[derive(Clone, Debug)]
enum Origin {
    Written(Quantity),
    Whole(u32),
    /// Worked out elsewhere; the exact value of the floating-point number.
    WorkedOut,
}

/// What a primitive is, to say what would make a test prove more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// Reading the level in the jug.
    JugReading,
    /// How true the jug's marks are.
    JugScale,
    /// How long a nozzle was collected, as written.
    CollectionTime,
    /// Starting and stopping the watch on one nozzle.
    Timing,
    /// How true the pressure gauge is.
    Gauge,
    /// Reading a scale.
    ScaleReading,
    /// How true the scale is.
    ScaleScale,
    /// The density of the water weighed.
    Density,
    /// Reading a flow off an instrument.
    FlowReading,
    /// How true that instrument is.
    FlowScale,
    /// The last digit of the console.
    ConsoleDigit,
    /// Reading the known volume.
    KnownVolumeReading,
    /// How true what the volume is known by is.
    KnownVolumeScale,
    /// Reading the volume that was applied.
    AppliedVolume,
    /// Measuring what went into a tank.
    Mixed,
    /// How near a new tip is to its rating.
    NewTip,
    /// From nozzle to nozzle.
    Spacing,
    /// How well the setup's speed is held, where no speed test says.
    Speed,
    /// The length of the course, or how true it is.
    CourseLength,
    /// Passing the marks of the course.
    CourseMarks,
    /// Timing a run.
    RunTiming,
    /// How true the area covered is.
    AreaScale,
    /// What the last calibration found of the rate.
    CalibratedRate,
    /// What makes the rate and was not tested.
    Untested,
    /// How the catches scatter about their trend.
    Trend,
    /// Taken as declared.
    Declared,
}

/// What can be done more of, so that a test proves more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effort {
    /// Collecting from each nozzle for longer.
    Collecting,
    /// Spraying out a larger volume.
    SprayingOut,
    /// Driving a longer course.
    Driving,
}

impl Effort {
    /// What says how much of it there was.
    pub const fn amount(self) -> What {
        match self {
            Self::Collecting => What::CollectionTime,
            Self::SprayingOut => What::KnownVolumeReading,
            Self::Driving => What::CourseLength,
        }
    }
}

impl What {
    /// Whether it is an instrument's own: as wrong at the next visit, if that uses the same one.
    pub const fn lasts(self) -> bool {
        match self {
            Self::JugScale
            | Self::Gauge
            | Self::ScaleScale
            | Self::FlowScale
            | Self::KnownVolumeScale => true,
            Self::JugReading
            | Self::CollectionTime
            | Self::Timing
            | Self::ScaleReading
            | Self::Density
            | Self::FlowReading
            | Self::ConsoleDigit
            | Self::KnownVolumeReading
            | Self::AppliedVolume
            | Self::Mixed
            | Self::NewTip
            | Self::Spacing
            | Self::Speed
            | Self::CourseLength
            | Self::CourseMarks
            | Self::RunTiming
            | Self::AreaScale
            | Self::CalibratedRate
            | Self::Untested
            | Self::Trend
            | Self::Declared => false,
        }
    }

    /// What it is called in tables.
    pub const fn words(self) -> &'static str {
        match self {
            Self::JugReading => "reading the jug",
            Self::JugScale => "the jug's marks",
            Self::CollectionTime => "the collection time",
            Self::Timing => "timing by hand",
            Self::Gauge => "the pressure gauge",
            Self::ScaleReading => "reading the scale",
            Self::ScaleScale => "the scale",
            Self::Density => "the density of water",
            Self::FlowReading => "reading the flow",
            Self::FlowScale => "the flow instrument",
            Self::ConsoleDigit => "the console's last digit",
            Self::KnownVolumeReading => "reading the known volume",
            Self::KnownVolumeScale => "how the known volume was measured",
            Self::AppliedVolume => "reading the volume applied",
            Self::Mixed => "measuring what went into the tank",
            Self::NewTip => "the rating of a new tip",
            Self::Spacing => "the nozzle spacing",
            Self::Speed => "the speed",
            Self::CourseLength => "the length of the course",
            Self::CourseMarks => "passing the marks",
            Self::RunTiming => "timing the run",
            Self::AreaScale => "how the area is known",
            Self::CalibratedRate => "the last calibration",
            Self::Untested => "what was not tested",
            Self::Trend => "how well the catches show the trend",
            Self::Declared => "declared",
        }
    }

    /// The change that would shrink its share most, beginning with a verb.
    pub const fn remedy(self) -> &'static str {
        match self {
            Self::JugReading => "use a jug with finer marks, or weigh the water",
            Self::JugScale => {
                "check the jug by weighing the water it holds and declare its tolerance"
            }
            Self::CollectionTime | Self::Timing => "collect for longer",
            Self::Gauge => {
                "enter the gauge in fleet.yaml with its class and span, or use a more accurate gauge"
            }
            Self::ScaleReading => "use a scale with finer steps, or collect for longer",
            Self::ScaleScale => "have the scale checked and declare its tolerance",
            Self::Density => "note the water's temperature",
            Self::FlowReading => "use an instrument with finer steps, or a jug and a stopwatch",
            Self::FlowScale => "have the instrument checked and declare its tolerance",
            Self::ConsoleDigit | Self::KnownVolumeReading => "spray out a larger volume",
            Self::KnownVolumeScale => {
                "weigh the water or use a checked fill meter, and declare its tolerance"
            }
            Self::AppliedVolume => "read the volume applied with a fill meter",
            Self::Mixed => "measure products in a measure with finer marks",
            Self::NewTip => "catch every nozzle",
            Self::Spacing => "measure the spacing over the whole boom and declare its tolerance",
            Self::Speed => "measure the true speed over a course",
            Self::CourseLength => "measure the course with a tape",
            Self::CourseMarks => "drive a longer course",
            Self::RunTiming => "drive more runs, or a longer course",
            Self::AreaScale => "measure the area on the ground",
            Self::CalibratedRate => "calibrate with finer instruments",
            Self::Untested => "catch every nozzle, and test the flow meter and the speed",
            Self::Trend => "catch more often, and always with the same jug and gauge",
            Self::Declared => "measure what is declared",
        }
    }
}

impl Primitive {
    /// What makes its share shrink when more of it is done.
    pub fn shrinks_with(&self) -> Option<Effort> {
        match self.what {
            What::JugReading | What::ScaleReading => Some(Effort::Collecting),
            // One that is written down is the time of a meter test.
            What::Timing => Some(match self.written() {
                None => Effort::Collecting,
                Some(_) => Effort::SprayingOut,
            }),
            What::ConsoleDigit => {
                let shown = self.written()?.dimension();
                if shown == Dimension::VOLUME {
                    return Some(Effort::SprayingOut);
                }
                let of_a_run = [Dimension::LENGTH, Dimension::SPEED];
                of_a_run.contains(&shown).then_some(Effort::Driving)
            }
            What::KnownVolumeReading => Some(Effort::SprayingOut),
            What::CourseMarks | What::RunTiming => Some(Effort::Driving),
            What::JugScale
            | What::CollectionTime
            | What::Gauge
            | What::ScaleScale
            | What::Density
            | What::FlowReading
            | What::FlowScale
            | What::KnownVolumeScale
            | What::AppliedVolume
            | What::Mixed
            | What::NewTip
            | What::Spacing
            | What::Speed
            | What::CourseLength
            | What::AreaScale
            | What::CalibratedRate
            | What::Untested
            | What::Trend
            | What::Declared => None,
        }
    }

    /// The quantity as written; none of a factor or an error.
    pub fn written(&self) -> Option<&Quantity> {
        match &self.origin {
            Origin::Written(quantity) => Some(quantity),
            Origin::Whole(_) | Origin::WorkedOut => None,
        }
    }

    /// The exact value.
    pub fn exact(&self) -> Exact {
        match &self.origin {
            Origin::Written(quantity) => quantity.exact(),
            Origin::Whole(0) => Exact::zero(),
            Origin::Whole(n) => Exact::from_integer((*n).into()),
            Origin::WorkedOut => Exact::from_float(self.value).unwrap_or_default(),
        }
    }
}

/// The primitives of one visit.
#[derive(Clone, Debug, Default)]
pub struct Primitives {
    all: Vec<Primitive>,
}

impl Primitives {
    /// None yet, with room for those of a usual visit.
    pub fn for_a_visit() -> Self {
        Self {
            all: Vec::with_capacity(96),
        }
    }

    /// The primitive with this number.
    pub fn get(&self, id: PrimitiveId) -> &Primitive {
        &self.all[id.0 as usize]
    }

    /// A quantity as written, with its standard uncertainty in SI units.
    pub fn written(
        &mut self,
        what: What,
        quantity: Quantity,
        uncertainty: f64,
        place: Place,
    ) -> PrimitiveId {
        self.add(Primitive {
            value: quantity.si(),
            uncertainty,
            what,
            place: Some(place),
            origin: Origin::Written(quantity),
        })
    }

    /// A quantity of ours that stands in no file, taken as exact.
    pub fn standard(&mut self, what: What, quantity: Quantity) -> PrimitiveId {
        self.add(Primitive {
            value: quantity.si(),
            uncertainty: 0.0,
            what,
            place: None,
            origin: Origin::Written(quantity),
        })
    }

    /// The factor of a scale: one, with its relative standard uncertainty.
    pub fn factor(&mut self, what: What, uncertainty: f64, place: Option<Place>) -> PrimitiveId {
        self.add(Primitive {
            value: 1.0,
            uncertainty,
            what,
            place,
            origin: Origin::Whole(1),
        })
    }

    /// A value that another record's figure gave, with its standard uncertainty.
    pub fn worked_out(
        &mut self,
        what: What,
        value: f64,
        uncertainty: f64,
        place: Place,
    ) -> PrimitiveId {
        self.add(Primitive {
            value,
            uncertainty,
            what,
            place: Some(place),
            origin: Origin::WorkedOut,
        })
    }

    /// The density of water, 1 g/mL, with its relative standard uncertainty.
    pub fn water(&mut self, relative_uncertainty: f64) -> PrimitiveId {
        self.add(Primitive {
            value: 1000.0,
            uncertainty: 1000.0 * relative_uncertainty,
            what: What::Density,
            place: None,
            origin: Origin::Whole(1000),
        })
    }

    /// An error of unknown size, zero as far as anyone knows, with its standard uncertainty.
    pub fn error(&mut self, what: What, uncertainty: f64, place: Option<Place>) -> PrimitiveId {
        self.add(Primitive {
            value: 0.0,
            uncertainty,
            what,
            place,
            origin: Origin::Whole(0),
        })
    }

    fn add(&mut self, primitive: Primitive) -> PrimitiveId {
        let id = u32::try_from(self.all.len()).expect("a record is far smaller than 4 GiB");
        self.all.push(primitive);
        PrimitiveId(id)
    }
}

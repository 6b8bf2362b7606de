//! What of a visit may be wrong: every value that takes part in a cross-check.

/// A value of a visit, or a part of the machine that shows in several of them. Nozzles, sections and runs count from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Value {
    /// What was caught of a nozzle.
    Caught(u16),
    /// What was caught of a nozzle in the last good visit, as a flow at the rated pressure.
    Before(u16),
    /// What was caught of a nozzle once more, by the number of the repeat.
    Repeat(u16),
    /// What was caught in a retest, by the number of the retest.
    CaughtAgain(u16),
    /// How long each nozzle was collected, by the number of the list; 0 but for a visit with several.
    Collected(u16),
    /// How long a retest was collected, by its number.
    CollectedAgain(u16),
    /// The pressure of the catch.
    Pressure,
    /// The pressure of a retest, by its number.
    PressureAgain(u16),
    /// The flow of the sheet's tip at its rated pressure.
    RatedFlow,
    /// The pressure the rated flow is of.
    RatedPressure,
    /// The setup's pressure.
    SetupPressure,
    /// The setup's rate, as a length: volume over area.
    SetupRate,
    /// The setup's speed.
    SetupSpeed,
    /// From nozzle to nozzle.
    Spacing,
    /// The width entered for a section.
    EnteredWidth(u16),
    /// The volume sprayed out in a meter test, known otherwise.
    KnownVolume,
    /// What the console showed of it.
    ShownVolume,
    /// How long it was sprayed.
    RunTime,
    /// The flow factor found.
    FactorBefore,
    /// The flow factor left.
    FactorAfter,
    /// The flow factor that the last visit left.
    FactorLeftLast,
    /// The speed factor found.
    SpeedFactorBefore,
    /// The speed factor left.
    SpeedFactorAfter,
    /// The speed factor that the last visit left.
    SpeedFactorLeftLast,
    /// The length of the speed course.
    Course,
    /// How long a run took.
    Elapsed(u16),
    /// The distance shown after a run, or the speed shown times its time.
    ShownDistance(u16),
    /// The pressure at the boom's end.
    BoomEndPressure,
    /// What was shown with every section on.
    AllOn,
    /// What was shown with a section off, as found.
    BypassFound(u16),
    /// The same as left.
    BypassLeft(u16),
    /// A nozzle of the machine: its true flow over rated.
    Nozzle(u16),
    /// The flow meter of the machine.
    Meter,
    /// The speed sensor of the machine.
    SpeedSensor,
    /// The jug or scale.
    Jug,
    /// The pressure gauge.
    Gauge,
    /// What the known volume is known by.
    FillMeter,
}

impl Value {
    /// Which kind of value it is.
    pub const fn of(self) -> Of {
        match self {
            Self::Caught(_) => Of::Caught,
            Self::Before(_) => Of::Before,
            Self::Repeat(_) => Of::Repeat,
            Self::CaughtAgain(_) => Of::CaughtAgain,
            Self::Collected(_) => Of::Collected,
            Self::CollectedAgain(_) => Of::CollectedAgain,
            Self::Pressure => Of::Pressure,
            Self::PressureAgain(_) => Of::PressureAgain,
            Self::RatedFlow => Of::RatedFlow,
            Self::RatedPressure => Of::RatedPressure,
            Self::SetupPressure => Of::SetupPressure,
            Self::SetupRate => Of::SetupRate,
            Self::SetupSpeed => Of::SetupSpeed,
            Self::Spacing => Of::Spacing,
            Self::EnteredWidth(_) => Of::EnteredWidth,
            Self::KnownVolume => Of::KnownVolume,
            Self::ShownVolume => Of::ShownVolume,
            Self::RunTime => Of::RunTime,
            Self::FactorBefore => Of::FactorBefore,
            Self::FactorAfter => Of::FactorAfter,
            Self::FactorLeftLast => Of::FactorLeftLast,
            Self::SpeedFactorBefore => Of::SpeedFactorBefore,
            Self::SpeedFactorAfter => Of::SpeedFactorAfter,
            Self::SpeedFactorLeftLast => Of::SpeedFactorLeftLast,
            Self::Course => Of::Course,
            Self::Elapsed(_) => Of::Elapsed,
            Self::ShownDistance(_) => Of::ShownDistance,
            Self::BoomEndPressure => Of::BoomEndPressure,
            Self::AllOn => Of::AllOn,
            Self::BypassFound(_) => Of::BypassFound,
            Self::BypassLeft(_) => Of::BypassLeft,
            Self::Nozzle(_) => Of::Nozzle,
            Self::Meter => Of::Meter,
            Self::SpeedSensor => Of::SpeedSensor,
            Self::Jug => Of::Jug,
            Self::Gauge => Of::Gauge,
            Self::FillMeter => Of::FillMeter,
        }
    }

    /// Whether it has a place in the record or the machine file, where it can be mended. Parts of the machine and instruments have
    /// none, and the last visit's file is not mended.
    pub const fn is_written(self) -> bool {
        let of = self.of();
        let is_a_part = matches!(
            of,
            Of::Nozzle | Of::Meter | Of::SpeedSensor | Of::Jug | Of::Gauge | Of::FillMeter
        );
        !is_a_part && !of.is_of_last_visit()
    }
}

/// A kind of value, whichever nozzle, section or run it is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "each is the kind of the `Value` of its name")]
pub enum Of {
    Caught,
    Before,
    Repeat,
    CaughtAgain,
    Collected,
    CollectedAgain,
    Pressure,
    PressureAgain,
    RatedFlow,
    RatedPressure,
    SetupPressure,
    SetupRate,
    SetupSpeed,
    Spacing,
    EnteredWidth,
    KnownVolume,
    ShownVolume,
    RunTime,
    FactorBefore,
    FactorAfter,
    FactorLeftLast,
    SpeedFactorBefore,
    SpeedFactorAfter,
    SpeedFactorLeftLast,
    Course,
    Elapsed,
    ShownDistance,
    BoomEndPressure,
    AllOn,
    BypassFound,
    BypassLeft,
    Nozzle,
    Meter,
    SpeedSensor,
    Jug,
    Gauge,
    FillMeter,
}

impl Of {
    /// Every kind with its word in files of causes.
    pub const WORDS: [(Self, &'static str); 37] = [
        (Self::Caught, "caught"),
        (Self::Before, "caught-last-visit"),
        (Self::Repeat, "caught-in-repeat"),
        (Self::CaughtAgain, "caught-in-retest"),
        (Self::Collected, "collected"),
        (Self::CollectedAgain, "collected-in-retest"),
        (Self::Pressure, "pressure"),
        (Self::PressureAgain, "pressure-of-retest"),
        (Self::RatedFlow, "rated-flow"),
        (Self::RatedPressure, "rated-pressure"),
        (Self::SetupPressure, "setup-pressure"),
        (Self::SetupRate, "setup-rate"),
        (Self::SetupSpeed, "setup-speed"),
        (Self::Spacing, "spacing"),
        (Self::EnteredWidth, "entered-width"),
        (Self::KnownVolume, "known-volume"),
        (Self::ShownVolume, "shown-volume"),
        (Self::RunTime, "run-time"),
        (Self::FactorBefore, "factor-before"),
        (Self::FactorAfter, "factor-after"),
        (Self::FactorLeftLast, "factor-left-last"),
        (Self::SpeedFactorBefore, "speed-factor-before"),
        (Self::SpeedFactorAfter, "speed-factor-after"),
        (Self::SpeedFactorLeftLast, "speed-factor-left-last"),
        (Self::Course, "course"),
        (Self::Elapsed, "elapsed"),
        (Self::ShownDistance, "shown-distance"),
        (Self::BoomEndPressure, "boom-end-pressure"),
        (Self::AllOn, "all-on"),
        (Self::BypassFound, "section-off-as-found"),
        (Self::BypassLeft, "section-off-as-left"),
        (Self::Nozzle, "nozzle"),
        (Self::Meter, "meter"),
        (Self::SpeedSensor, "speed-sensor"),
        (Self::Jug, "jug"),
        (Self::Gauge, "gauge"),
        (Self::FillMeter, "fill-meter"),
    ];

    /// Whether it was read or left by the last visit.
    pub const fn is_of_last_visit(self) -> bool {
        matches!(
            self,
            Self::Before | Self::FactorLeftLast | Self::SpeedFactorLeftLast
        )
    }

    /// The kind that a file of causes calls so.
    pub fn named(word: &str) -> Option<Self> {
        let mut all = Self::WORDS.iter();
        all.find(|(_, name)| *name == word).map(|(of, _)| *of)
    }

    /// Its word in files of causes.
    pub fn word(self) -> &'static str {
        let mut all = Self::WORDS.iter();
        all.find(|(of, _)| *of == self)
            .map_or("", |(_, name)| *name)
    }
}

//! What a cause is of and what is held against what, by name.

use crate::cause::{At, CrossCheck, Of, Toward, Value};
use crate::fact::Fact;
use crate::figure::Subject;

/// Where a cause holds.
pub(super) fn place(at: &At, subject: &Subject<'_>) -> Fact {
    match at {
        At::All => Fact::Words("the whole boom"),
        At::Nozzle(at) => nozzle(*at, subject),
        At::Nozzles(all) => Fact::list(all.iter().map(|at| nozzle(*at, subject))),
        At::Section(at) => section(*at, subject),
        At::FromNozzle(at) => Fact::phrase("from {} on", [nozzle(*at, subject)]),
        At::ToNozzle(at) => Fact::phrase("up to {}", [nozzle(*at, subject)]),
        At::Toward(Toward::Right) => Fact::Words("toward the right end"),
        At::Toward(Toward::Left) => Fact::Words("toward the left end"),
        At::Toward(Toward::BothEnds) => Fact::Words("toward both ends"),
        At::Every(kind) => every(*kind),
        At::Value(of) => value(*of, subject),
        At::Values(one, other) => {
            Fact::phrase("{} and {}", [value(*one, subject), value(*other, subject)])
        }
    }
}

/// All values of a kind.
fn every(of: Of) -> Fact {
    const NAMES: [(Of, &str); 8] = [
        (Of::Caught, "every reading of the catch"),
        (Of::Repeat, "every repeat of the catch"),
        (Of::Collected, "every collection time"),
        (Of::Elapsed, "the time of every run"),
        (Of::ShownDistance, "the distance shown in every run"),
        (Of::EnteredWidth, "every width entered"),
        (Of::BypassFound, "every reading with a section off"),
        (Of::BypassLeft, "every reading with a section off"),
    ];
    let named = NAMES.iter().find(|(own, _)| *own == of);
    // Of any other kind there is one value, which has a name of its own.
    Fact::Words(named.map_or("every reading", |(_, name)| name))
}

pub(super) fn nozzle(at: u16, subject: &Subject<'_>) -> Fact {
    let number = at.saturating_add(1);
    let named = subject.nozzle(number);
    named.unwrap_or_else(|| Fact::phrase("nozzle {}", [Fact::number(number.into(), 0)]))
}

fn section(at: u16, subject: &Subject<'_>) -> Fact {
    let layout = subject.layout.as_ref();
    let name = layout.and_then(|layout| layout.section_name(at));
    name.map_or(Fact::Words("the boom"), |name| {
        Fact::phrase("section {}", [Fact::Name(name.to_owned())])
    })
}

fn nth(phrase: &'static str, at: u16) -> Fact {
    Fact::phrase(phrase, [Fact::Ordinal(usize::from(at) + 1)])
}

/// A value, or a part that shows in several.
pub(super) fn value(of: Value, subject: &Subject<'_>) -> Fact {
    match of {
        Value::Caught(at) => Fact::phrase("the catch of {}", [nozzle(at, subject)]),
        Value::Repeat(at) => nth("the {} repeat", at),
        Value::Before(at) => Fact::phrase("the last visit's catch of {}", [nozzle(at, subject)]),
        Value::CaughtAgain(_) => Fact::Words("the retest"),
        Value::Collected(_) => Fact::Words("the collection time"),
        Value::CollectedAgain(_) => Fact::Words("the collection time of the retest"),
        Value::Pressure => Fact::Words("the catch pressure"),
        Value::PressureAgain(_) => Fact::Words("the pressure of the retest"),
        Value::RatedFlow => Fact::Words("the nozzle size"),
        Value::RatedPressure => Fact::Words("the rated pressure"),
        Value::SetupPressure => Fact::Words("the setup's pressure"),
        Value::SetupRate => Fact::Words("the setup's rate"),
        Value::SetupSpeed => Fact::Words("the setup's speed"),
        Value::Spacing => Fact::Words("the nozzle spacing"),
        Value::EnteredWidth(at) => Fact::phrase("the width entered for {}", [section(at, subject)]),
        Value::KnownVolume => Fact::Words("the known volume"),
        Value::ShownVolume => Fact::Words("the volume the console showed"),
        Value::RunTime => Fact::Words("the time of the meter test"),
        Value::FactorBefore => Fact::Words("the flow factor before the test"),
        Value::FactorAfter => Fact::Words("the flow factor after the test"),
        Value::FactorLeftLast => Fact::Words("the flow factor the last visit left"),
        Value::SpeedFactorBefore => Fact::Words("the speed factor before the test"),
        Value::SpeedFactorAfter => Fact::Words("the speed factor after the test"),
        Value::SpeedFactorLeftLast => Fact::Words("the speed factor the last visit left"),
        Value::Course => Fact::Words("the length of the speed course"),
        Value::Elapsed(at) => nth("the time of the {} run", at),
        Value::ShownDistance(at) => nth("the distance shown in the {} run", at),
        Value::BoomEndPressure => Fact::Words("the boom-end pressure"),
        Value::AllOn => Fact::Words("the reading with all sections on"),
        Value::BypassFound(at) => {
            Fact::phrase("the reading as found with {} off", [section(at, subject)])
        }
        Value::BypassLeft(at) => {
            Fact::phrase("the reading as left with {} off", [section(at, subject)])
        }
        Value::Nozzle(at) => nozzle(at, subject),
        Value::Meter => Fact::Words("the flow meter"),
        Value::SpeedSensor => Fact::Words("the speed sensor"),
        Value::Jug => Fact::Words("the jug or scale"),
        Value::Gauge => Fact::Words("the pressure gauge"),
        Value::FillMeter => Fact::Words("the fill meter"),
    }
}

/// What is held against what.
pub(super) fn check(of: CrossCheck, subject: &Subject<'_>) -> Fact {
    match of {
        CrossCheck::Nozzle(at) => Fact::phrase("{} against rated flow", [nozzle(at, subject)]),
        CrossCheck::Repeat(at) => nth("the {} repeat against rated flow", at),
        CrossCheck::Before(at) => Fact::phrase(
            "{} in the last visit against rated flow",
            [nozzle(at, subject)],
        ),
        CrossCheck::Again(at) => nth("the {} retest against rated flow", at),
        CrossCheck::KnownOverCatch => Fact::Words("the known volume against the catch"),
        CrossCheck::ShownOverKnown => Fact::Words("the volume shown against the known volume"),
        CrossCheck::FactorOverComputed => {
            Fact::Words("the new flow factor against the one the test makes")
        }
        CrossCheck::FactorOverLast => {
            Fact::Words("the flow factor found against the one the last visit left")
        }
        CrossCheck::SpeedFactorOverComputed => {
            Fact::Words("the new speed factor against the one the runs make")
        }
        CrossCheck::SpeedFactorOverLast => {
            Fact::Words("the speed factor found against the one the last visit left")
        }
        CrossCheck::Run(at) => nth("the speed of the {} run against the setup's", at),
        CrossCheck::ShownOverCourse(at) => {
            nth("the distance shown in the {} run against the course", at)
        }
        CrossCheck::RateByCatch => Fact::Words("the rate by the catch against the setup's"),
        CrossCheck::SheetSum => {
            Fact::Words("the rate that the setup's values make against its rate")
        }
        CrossCheck::Width(at) => Fact::phrase(
            "the width entered for {} against spacing times nozzles",
            [section(at, subject)],
        ),
        CrossCheck::PressureOverSetup => Fact::Words("the catch pressure against the setup's"),
        CrossCheck::BoomEnd => Fact::Words("the boom-end pressure against the catch pressure"),
        CrossCheck::BypassFound(at) => {
            Fact::phrase("{} off, as found, against all on", [section(at, subject)])
        }
        CrossCheck::BypassLeft(at) => {
            Fact::phrase("{} off, as left, against all on", [section(at, subject)])
        }
    }
}

/// All nozzles of a boom in one cross-check.
pub(super) const CATCH_AVERAGE: Fact = Fact::Words("the catch average against rated flow");

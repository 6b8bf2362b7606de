//! The kinds of mend: each gives the hypotheses there are for the readings of a stage.

mod bypass;
mod digits;
mod exchange;
mod factor;
mod flow;
mod instrument;
mod places;
mod retest;
mod scale;
mod sheet;
mod size;
mod unit;
mod unlisted;

use super::content::Kind;
use super::hypothesis::{At, Change, Hypothesis};
use super::seen::Seen;

/// Every hypothesis of a kind of mend; none where the readings have no place for it.
pub(super) fn hypotheses(kind: &Kind, seen: &Seen<'_>) -> Vec<Hypothesis> {
    match kind {
        Kind::Scale { of, reach, by } => scale::hypotheses(seen, of, *reach, by),
        Kind::Unit { of, reach } => unit::hypotheses(seen, of, *reach),
        Kind::Point { of } => digits::point(seen, of),
        Kind::Digits { of } => digits::swapped(seen, of),
        Kind::Exchange { pairs } => exchange::hypotheses(seen, pairs),
        Kind::AsSetup => sheet::as_setup(seen),
        Kind::SheetSum { effect } => sheet::one_of_setup(seen, *effect),
        Kind::FactorTurned => factor::turned(seen),
        Kind::Flow { part, effect } => flow::hypotheses(seen, *part, *effect),
        Kind::Tilt { effect } => flow::tilt(seen, *effect),
        Kind::Size { part, nearest } => size::hypotheses(seen, *part, *nearest),
        Kind::Tare { effect } => instrument::tare(seen, *effect),
        Kind::From { effect } => instrument::from(seen, *effect),
        Kind::Instrument { of, effect } => instrument::one_against_all(seen, *of, *effect),
        Kind::BypassTurned { effect } => bypass::turned(seen, *effect),
        Kind::OtherNozzle { chance } => retest::other_nozzle(seen, *chance),
        Kind::Copied => unlisted::copied(seen),
        Kind::Nothing => vec![Hypothesis::new(At::All, Change::None)],
        Kind::Reading { effect } => unlisted::reading(seen, *effect),
        Kind::Scatter { deviation } => vec![Hypothesis::new(At::All, Change::Scatter(*deviation))],
    }
}

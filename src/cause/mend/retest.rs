//! The retest is of a nozzle that was not out.

use crate::cause::hypothesis::{At, Change, Hypothesis};
use crate::cause::seen::Seen;

/// A good nozzle was caught again and one that is out was not.
pub(super) fn other_nozzle(seen: &Seen<'_>, chance: f64) -> Vec<Hypothesis> {
    let Some(caught) = seen.readings.good_nozzle_caught_again else {
        return Vec::new();
    };
    vec![Hypothesis::new(
        At::Nozzle(caught),
        Change::OtherNozzle { caught, chance },
    )]
}

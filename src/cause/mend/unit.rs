//! A value is written in another unit than it was read in.

use super::places::{LEAST, places};
use super::scale::scaled;
use crate::cause::content::Reach;
use crate::cause::hypothesis::{Hypothesis, Meant};
use crate::cause::seen::Seen;
use crate::cause::value::Of;
use crate::quantity::confusion::taken_for;

/// One reading of a list was read off the jug that the others were read off: it is in a unit of the other system, or in none that is
/// close, such as an imperial fluid ounce. Our choice.
const LEAST_OF_ONE: f64 = 0.1;

/// Each place with each unit that its own is taken for.
pub(super) fn hypotheses(seen: &Seen<'_>, of: &[Of], reach: Reach) -> Vec<Hypothesis> {
    let places = of.iter().flat_map(|of| places(seen, *of, reach));
    let mut all = Vec::new();
    for (at, on) in places {
        let written = on
            .iter()
            .find_map(|(value, _)| seen.readings.written(*value));
        let Some(written) = written else { continue };
        for meant in taken_for(written.unit) {
            let ratio = written.unit.factor() / meant.factor();
            let least = if reach == Reach::One {
                LEAST_OF_ONE
            } else {
                LEAST
            };
            if libm::log(ratio).abs() > least {
                all.push(Hypothesis {
                    meant: Some(Meant::Unit(meant)),
                    ..scaled(&at, &on, ratio)
                });
            }
        }
    }
    all
}

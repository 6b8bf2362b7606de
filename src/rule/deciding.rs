//! What would decide a verdict that is undecided: more time, or a better instrument.

use crate::figure::{Measure, Primitives, What};
use std::collections::BTreeMap;

/// What would decide it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Deciding {
    /// Collecting this many times as long, or as much, at the present estimate.
    Longer(f64),
    /// No time decides: this contributes most of what time does not shrink.
    Better(What),
}

/// More than this many times as long is no advice.
const LONGEST: f64 = 10.0;

/// What would bring the expanded uncertainty below `distance`, at the present value.
///
/// With the part that shrinks with time `u_t` and the part that does not `u_0`, k `sqrt(u_0^2` + (`u_t/f)^2`)
/// = distance at f = `u_t` / sqrt((distance/k)^2 - `u_0^2`); where `u_0` alone is too large no time decides.
/// None where nothing contributes.
pub fn deciding(
    measure: &Measure,
    primitives: &Primitives,
    distance: f64,
    coverage_factor: f64,
) -> Option<Deciding> {
    let mut variance_by: BTreeMap<What, f64> = BTreeMap::new();
    for &(id, sensitivity) in measure.parts() {
        let primitive = primitives.get(id);
        let contribution = sensitivity * primitive.uncertainty;
        *variance_by.entry(primitive.what).or_default() += contribution * contribution;
    }
    let (mut shrinking, mut lasting) = (0.0, 0.0);
    for (what, variance) in &variance_by {
        if what.shrinks_with_time() {
            shrinking += variance;
        } else {
            lasting += variance;
        }
    }
    let wanted = distance / coverage_factor;
    let room = wanted * wanted - lasting;
    if 0.0 < room {
        let longer = (shrinking / room).sqrt();
        if 0.0 < longer && longer <= LONGEST {
            return Some(Deciding::Longer(longer));
        }
    }
    let largest = |lasting_only: bool| {
        variance_by
            .iter()
            .filter(|(what, variance)| {
                0.0 < **variance && !(lasting_only && what.shrinks_with_time())
            })
            .max_by(|one, other| one.1.total_cmp(other.1))
            .map(|(what, _)| Deciding::Better(*what))
    };
    largest(true).or_else(|| largest(false))
}

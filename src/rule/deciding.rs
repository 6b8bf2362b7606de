//! What would decide a verdict that is undecided: more of the same, or a better instrument.

use crate::figure::{Effort, Measure, Primitives, What};
use crate::quantity::Quantity;
use std::collections::BTreeMap;

/// What would decide it.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Deciding {
    /// Doing more of what was done decides it nine times in ten, if the value found is the true one.
    More {
        /// Of what.
        effort: Effort,
        /// How many times as much.
        times: f64,
        /// How much it was, where the record says so.
        was: Option<Quantity>,
    },
    /// More of the same does not decide it: this contributes most of what it does not shrink.
    Better(What),
}

/// More than this many times as much is no advice (our choice).
const MOST_TIMES: f64 = 6.0;

/// The normal distribution is below this many standard deviations nine times in ten (computed).
const NINE_IN_TEN: f64 = 1.281_551_565_5;

/// What would decide in nine tests of ten whether a value lies over or within a limit at `distance`.
///
/// Another test finds the value anew, with a standard uncertainty u about the present one, and it decides
/// where it comes out more than k u off the limit: nine times in ten that is so at u = distance / (k +
/// 1.28). What is done f times as much shrinks its part `u_t` of u to `u_t / f` and leaves the rest `u_0`,
/// so f = `u_t` / sqrt(u^2 - `u_0`^2); where `u_0` alone is too large nothing is decided by it.
/// None where nothing contributes.
pub fn deciding(
    measure: &Measure,
    primitives: &Primitives,
    distance: f64,
    coverage_factor: f64,
) -> Option<Deciding> {
    let mut shrinking: BTreeMap<Effort, f64> = BTreeMap::new();
    let mut by_what: BTreeMap<(Option<Effort>, What), f64> = BTreeMap::new();
    let mut whole = 0.0;
    for &(id, sensitivity) in measure.parts() {
        let primitive = primitives.get(id);
        let contribution = sensitivity * primitive.uncertainty;
        let variance = contribution * contribution;
        let effort = primitive.shrinks_with();
        whole += variance;
        *by_what.entry((effort, primitive.what)).or_default() += variance;
        if let Some(effort) = effort {
            *shrinking.entry(effort).or_default() += variance;
        }
    }
    let most = shrinking
        .iter()
        .max_by(|one, other| one.1.total_cmp(other.1));
    let most = most.map(|(effort, variance)| (*effort, *variance));
    if let Some((effort, shrinking)) = most {
        let wanted = distance / (coverage_factor + NINE_IN_TEN);
        let room = wanted * wanted - (whole - shrinking);
        let times = (shrinking / room).sqrt();
        if 0.0 < room && 0.0 < times && times <= MOST_TIMES {
            let was = amount(measure, primitives, effort);
            return Some(Deciding::More { effort, times, was });
        }
    }
    let by_most = most.map(|(effort, _)| effort);
    let largest = |lasting_only: bool| {
        by_what
            .iter()
            .filter(|((effort, _), variance)| {
                0.0 < **variance && !(lasting_only && effort.is_some() && *effort == by_most)
            })
            .max_by(|one, other| one.1.total_cmp(other.1))
            .map(|((_, what), _)| Deciding::Better(*what))
    };
    largest(true).or_else(|| largest(false))
}

/// How much of it there was: the most that is written down.
fn amount(measure: &Measure, primitives: &Primitives, effort: Effort) -> Option<Quantity> {
    let inputs = measure.parts().iter().map(|(id, _)| primitives.get(*id));
    let amounts = inputs.filter(|input| input.what == effort.amount());
    let amounts = amounts.filter_map(|input| input.written().copied());
    amounts.max_by(|one, other| one.si().total_cmp(&other.si()))
}

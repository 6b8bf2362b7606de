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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::Number;
    use crate::quantity::decimal::Decimal;
    use crate::quantity::unit::Unit;
    use crate::source::{FileId, Place, Span};

    const NOWHERE: Place = Place {
        file: FileId(0),
        span: Span::new(0, 0),
    };

    /// A ratio of one: a jug within 0.5%, and a catch of 30 s with an error of its timing.
    fn caught(timing: f64) -> (Measure, Primitives) {
        let mut primitives = Primitives::default();
        let duration = Quantity {
            decimal: Decimal::whole(30),
            unit: Unit::SECOND,
        };
        let duration = primitives.written(What::CollectionTime, duration, 0.0, NOWHERE);
        let timing = primitives.error(What::Timing, timing, None);
        let jug = primitives.factor(What::JugScale, 0.005, None);
        let input = |id| Measure::input(&primitives, id);
        let time = input(duration).plus(&input(timing));
        let measure = Measure::whole(30).over(&time).times(&input(jug));
        (measure, primitives)
    }

    #[test]
    fn a_longer_catch_leaves_nine_tests_in_ten_decided() {
        let (measure, primitives) = caught(0.6);
        let Some(Deciding::More { effort, times, was }) =
            deciding(&measure, &primitives, 0.03, 2.0)
        else {
            panic!("nothing decides it");
        };
        assert_eq!(effort, Effort::Collecting);
        assert_eq!(was.unwrap().to_string(), "30 s");
        let longer = (0.02 / times * (0.02 / times) + 0.005 * 0.005_f64).sqrt();
        assert!(
            ((2.0 + 1.281_551_6) * longer - 0.03).abs() < 1e-9,
            "{times}"
        );
    }

    #[test]
    fn no_catch_decides_what_the_jug_leaves_open() {
        let (measure, primitives) = caught(0.6);
        for distance in [0.016, 0.010, 0.0] {
            let deciding = deciding(&measure, &primitives, distance, 2.0);
            assert_eq!(
                deciding,
                Some(Deciding::Better(What::JugScale)),
                "{distance}"
            );
        }
    }
}

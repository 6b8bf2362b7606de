//! The factors a visit begins with beside those the last visit left.

use super::instrument::Bench;
use super::records::Records;
use super::shown::Shown;
use crate::outcome::Step;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::unit::Unit;
use crate::record::Calibration;
use crate::source::{FileId, Place, Spanned};

/// A factor a visit begins with, beside the one the last visit left.
#[derive(Debug, Clone)]
pub struct Continued {
    /// Whose factor it is.
    pub step: Step,
    /// The factor of the visit's first test.
    pub before: Shown,
    /// The factor the last visit left, or why it is not known.
    pub left: Result<Shown, &'static str>,
}

/// The factor each step of a visit begins with: before the first of its tests that gives one.
pub(super) fn begun(bench: &mut Bench<'_>, visit: &Calibration) -> Vec<(Step, Shown)> {
    Step::all()
        .filter_map(|step| {
            let first = (step.procedure().factors)(visit).into_iter().next()?;
            Some((step, shown(bench, visit.file, first.before.as_ref()?)))
        })
        .collect()
}

/// None for a step whose factor the visit does not give, or no visit before it.
pub(super) fn factors(
    bench: &mut Bench<'_>,
    records: &Records<'_>,
    begun: &[(Step, Shown)],
) -> Vec<Continued> {
    begun
        .iter()
        .filter_map(|&(step, before)| {
            let left = match records.last_with(|earlier| left(earlier, step)) {
                Ok(last) => {
                    let (file, factor) = last?;
                    Ok(shown(bench, file, factor))
                }
                Err(because) => Err(because),
            };
            Some(Continued { step, before, left })
        })
        .collect()
}

/// The factor a visit left: after its last change, or the one it began with.
fn left(visit: &Calibration, step: Step) -> Option<(FileId, &Spanned<Decimal>)> {
    let last = (step.procedure().factors)(visit).pop()?;
    Some((visit.file, last.after.as_ref().or(last.before.as_ref())?))
}

fn shown(bench: &mut Bench<'_>, file: FileId, factor: &Spanned<Decimal>) -> Shown {
    let quantity = Quantity {
        decimal: factor.value,
        unit: Unit::ONE,
    };
    let place = Place {
        file,
        span: factor.span,
    };
    Shown {
        quantity,
        id: bench.declared(quantity, place),
        place,
    }
}

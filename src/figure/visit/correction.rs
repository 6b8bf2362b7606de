//! Corrections of a factor in the console.

use super::instrument::Bench;
use super::shown::Shown;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::unit::Unit;
use crate::record::calibration::FactorChange;
use crate::source::{Span, Spanned};

/// The factor before and after, where a test changed it and both can be read.
pub(super) fn correction(
    bench: &mut Bench<'_>,
    factor: Option<&FactorChange>,
) -> Option<(Shown, Shown)> {
    let factor = factor?;
    if factor.is_unchanged() != Some(false) {
        return None;
    }
    let mut declared = |decimal: &Spanned<Decimal>| {
        let quantity = Quantity {
            decimal: decimal.value,
            unit: Unit::ONE,
        };
        let place = bench.place(decimal.span);
        Shown {
            quantity,
            id: bench.declared(quantity, place),
            place,
        }
    };
    Some((
        declared(factor.before.as_ref()?),
        declared(factor.after.as_ref()?),
    ))
}

/// Where a test says that it changed the factor.
pub(super) fn corrected_at(factor: Option<&FactorChange>) -> Option<Span> {
    let factor = factor?;
    let after = factor.after.as_ref()?;
    (factor.is_unchanged() != Some(true)).then_some(after.span)
}

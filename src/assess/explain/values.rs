//! What is written and what it would be, of the value that a cause is of.

use super::gathered::Gathered;
use crate::cause::{At, Best, Change, Meant, Of, Value};
use crate::fact::Fact;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::words::numbers;

/// A value as written, and once it is mended.
pub(super) struct Mended {
    pub(super) written: Fact,
    pub(super) mended: Fact,
}

impl Gathered {
    /// The value of a record that a cause is of, before and after; `of_times` says that the cause is of times, which show in
    /// what was caught.
    pub(super) fn written_and_mended(&self, best: &Best, of_times: bool) -> Option<Mended> {
        let hypothesis = &best.hypothesis;
        if let Some(Meant::Size(_)) = hypothesis.meant {
            return None; // A size is no number with a unit.
        }
        let (of, ratio) = multiplied_first(best)?;
        let is_of_a_part = !matches!(hypothesis.at, At::Every(Of::Caught));
        let (of, ratio) = if let Value::Caught(nozzle) = of
            && of_times
            && is_of_a_part
        {
            let list = self.readings.list_of(Value::Caught(nozzle))?;
            (Value::Collected(list), 1.0 / ratio)
        } else {
            (of, ratio)
        };
        let written = self.readings.written(of)?;
        if let (At::Every(_), Some(Meant::Unit(unit))) = (&hypothesis.at, hypothesis.meant.as_ref())
        {
            // Each reading has its own number; the unit is what they share.
            return Some(Mended {
                written: Fact::Name(written.unit.to_string()),
                mended: Fact::Name(unit.to_string()),
            });
        }
        let mended = match hypothesis.meant {
            Some(Meant::Unit(unit)) => Quantity { unit, ..written },
            Some(Meant::Size(_)) | None => multiplied(written, ratio)?,
        };
        Some(Mended {
            written: Fact::Written(written),
            mended: Fact::Written(mended),
        })
    }

    /// The two values that a cause exchanges, as written; of a bypass by how much the rate changed as found and as left; of a
    /// retest the nozzle that was out and the one that was caught again.
    pub(super) fn first_and_second(&self, at: &At, change: &Change) -> Option<(Fact, Fact)> {
        let written = |of: Value| self.readings.written(of).map(Fact::Written);
        match (at, change) {
            (At::Values(one, other), _) => Some((written(*one)?, written(*other)?)),
            (At::Section(section), _) => {
                let all_on = self.readings.get(Value::AllOn)?;
                let changed = |of: Value| {
                    let off = self.readings.get(of)? / all_on - 1.0;
                    Some(Fact::Percent {
                        ratio: off,
                        decimals: 1,
                        is_signed: true,
                    })
                };
                let found = changed(Value::BypassFound(*section))?;
                Some((found, changed(Value::BypassLeft(*section))?))
            }
            _ => None,
        }
    }
}

/// The first value that a mend multiplies and that is written, with the ratio; of a catch that was made at another
/// pressure the pressure, which goes with the square of the flow.
fn multiplied_first(best: &Best) -> Option<(Value, f64)> {
    let hypothesis = &best.hypothesis;
    let ratios = hypothesis.change.ratios(best.size);
    if let At::Value(own) = hypothesis.at {
        let direct = ratios.iter().find(|(of, _)| *of == own);
        let through_flow = || {
            let is_pressure = own == Value::Pressure;
            let (_, ratio) = ratios.first().filter(|_| is_pressure)?;
            Some((own, 1.0 / (ratio * ratio)))
        };
        return direct.copied().or_else(through_flow);
    }
    let mut written = ratios.into_iter().filter(|(of, _)| of.is_written());
    written.next()
}

/// A quantity times a ratio to three significant digits, or to as many places as it is written with, without needless zeros.
fn multiplied(written: Quantity, ratio: f64) -> Option<Quantity> {
    let value = written.decimal.to_f64() * ratio;
    let shown = numbers::significant(value, 3);
    let trimmed = match shown.split_once('.') {
        Some(_) => shown.trim_end_matches('0').trim_end_matches('.'),
        None => &shown,
    };
    Some(Quantity {
        decimal: Decimal::parse(trimmed).ok()?,
        unit: written.unit,
    })
}

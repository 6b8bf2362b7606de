//! What one nozzle is to be caught with.

use super::rated::flow_at;
use crate::figure::number::Number;
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::machine::Rated;

/// What a jug or a scale shows of a rated nozzle at a pressure after a time, or its flow, in a unit that a catch may have.
///
/// Water as it is weighed in the figures of a catch: 1 g/mL.
pub fn rated_catch(rated: &Rated, pressure: Quantity, duration: Quantity, unit: Unit) -> f64 {
    let rated_at = rated.pressure.value.si();
    let flow = flow_at(&rated.flow.value.si(), &rated_at, &pressure.si());
    let water = Unit::GRAM_PER_MILLILITER.factor();
    let amount = caught(&flow, &duration.si(), &water, unit.dimension());
    Quantity::in_unit(amount, unit)
}

/// What is read of a flow after a time, as a volume or a weight, or of the flow itself; `water` is its density.
pub(in crate::figure) fn caught<N: Number>(
    flow: &N,
    duration: &N,
    water: &N,
    read_as: Dimension,
) -> N {
    match read_as {
        Dimension::FLOW => flow.clone(),
        Dimension::WEIGHED_FLOW => flow.times(water),
        Dimension::MASS => flow.times(duration).times(water),
        Dimension::Plain(_) | Dimension::Per(..) => flow.times(duration),
    }
}

/// The least and the most that a limit relative to a value allows.
pub fn allowed(value: f64, relative: f64) -> (f64, f64) {
    (value * (1.0 - relative), value * (1.0 + relative))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{FileId, Place, Placed, Span};

    /// Size 06 is 0.6 US gal/min at 40 psi; at 36 psi by the square-root law 36.429 fl oz in 30 s (computed).
    #[test]
    fn a_tip_of_size_06_at_36_psi() {
        let parse = |text| Quantity::parse(text, &[]).unwrap();
        let placed = |text| Placed {
            value: parse(text),
            place: Place {
                file: FileId(0),
                span: Span::new(0, 0),
            },
        };
        let rated = Rated {
            flow: placed("0.6 gpm"),
            pressure: placed("40 psi"),
            size: None,
            range: None,
        };
        let caught = |unit| rated_catch(&rated, parse("36 psi"), parse("30 s"), unit);
        assert!((caught(Unit::FLUID_OUNCE) - 36.429_439).abs() < 1e-6);
        assert!((caught(parse("1 L/min").unit) - 2.154_697).abs() < 1e-5);
        assert!((caught(parse("1 g").unit) - 1_077.348).abs() < 1e-2);
        let (least, most) = allowed(36.0, 0.1);
        assert!((least - 32.4).abs() < 1e-9 && (most - 39.6).abs() < 1e-9);
    }
}

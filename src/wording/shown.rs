//! The unit a figure is shown in: what a value in SI units is there.

use crate::figure::ShownAs;
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;

/// The name of a unit, empty for counts and factors, and what makes a value in SI units one in it.
pub struct ShownIn {
    /// The name: `%`, `days`, `h`.
    pub name: String,
    factor: f64,
    unit: Option<Unit>,
}

/// The unit of a figure shown in this way; `unit` is that of its readings, for a figure shown as measured.
pub fn shown_in(shown_as: ShownAs, unit: Option<Unit>) -> ShownIn {
    let (name, factor) = match shown_as {
        ShownAs::Percent => ("%", 100.0),
        ShownAs::Count => ("", 1.0),
        ShownAs::Days => ("days", 1.0 / 86_400.0),
        ShownAs::Seconds => ("s", 1.0),
        ShownAs::Hours => ("h", 1.0 / 3_600.0),
        ShownAs::Length => ("m", 1.0),
        ShownAs::Measured => {
            return ShownIn {
                name: unit.map_or_else(String::new, |unit| unit.to_string()),
                factor: 1.0,
                unit,
            };
        }
    };
    ShownIn {
        name: name.to_owned(),
        factor,
        unit: None,
    }
}

impl ShownIn {
    /// A value in SI units, or a ratio, in this unit.
    pub fn value(&self, si: f64) -> f64 {
        match self.unit {
            Some(unit) => Quantity::in_unit(si, unit),
            None => si * self.factor,
        }
    }
}

//! Units that are taken for each other, recognised by the ratio they leave behind.
//!
//! Suggests what to look at and corrects nothing: a ratio fits a mix-up by chance, too.

use super::dimension::{Dimension, Kind};

/// A mix-up of units that would explain a ratio.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Confusion {
    /// Found over wanted, were this mix-up the only fault.
    pub ratio: f64,
    /// What to look at, beginning with a verb.
    pub help: &'static str,
}

/// The known mix-up that `ratio`, found over wanted, fits; `None` where none does, or more than one.
///
/// It fits within the relative uncertainty given, and within 1 % at the least.
pub fn confusion(ratio: f64, dimension: Dimension, relative_uncertainty: f64) -> Option<Confusion> {
    let within = relative_uncertainty.max(0.01);
    let mut fitting = KNOWN.iter().filter(|known| {
        known.dimension == dimension && (ratio / known.confusion.ratio - 1.0).abs() <= within
    });
    let only = fitting.next()?;
    fitting.next().is_none().then_some(only.confusion)
}

struct Known {
    dimension: Dimension,
    confusion: Confusion,
}

static KNOWN: [Known; 1] = [Known {
    dimension: Dimension::Plain(Kind::Pressure),
    confusion: Confusion {
        ratio: 14.503_773_773_020_923,
        help: "check whether the gauge reads bar: 1 bar is 14.5 psi",
    },
}];

//! What a label allows of a product on an area, and whether a rate keeps to it.

use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use jiff::civil::Date;

/// The limits of a label, as somebody wrote them down.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// The least per area.
    pub min: Option<Quantity>,
    /// The most per area.
    pub max: Option<Quantity>,
    /// Who wrote it down.
    pub from: LabelFrom,
}

/// Where the limits of a label come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LabelFrom {
    /// Whoever asks.
    Asked,
    /// The last application record of the group that has one.
    Record {
        /// Its day.
        day: Date,
        /// Its path.
        path: String,
    },
}

/// A product over its label.
#[derive(Debug, Clone, PartialEq)]
pub struct OverLabel {
    /// The product.
    pub product: String,
    /// The most per area.
    pub max: Quantity,
    /// Where that comes from.
    pub from: LabelFrom,
}

/// Whether both are rates by volume, or both by weight: nobody tells what a product weighs.
pub(super) fn are_alike(one: &Quantity, other: &Quantity) -> bool {
    matches!(
        (one.dimension(), other.dimension()),
        (Dimension::Per(left, _), Dimension::Per(right, _)) if left == right
    )
}

impl Label {
    /// Its maximum, where a rate that is written down is above it, exactly.
    pub(super) fn exceeded_by(&self, rate: &Quantity) -> Option<Quantity> {
        self.max.filter(|max| max.exact() < rate.exact())
    }

    /// Its minimum, where a rate that is written down is below it.
    pub(super) fn not_reached_by(&self, rate: &Quantity) -> Option<Quantity> {
        self.min.filter(|min| rate.exact() < min.exact())
    }

    /// Its maximum, where what is put down in SI units is above it, beyond what floating point leaves.
    pub(super) fn exceeded_on_the_ground(&self, per_area: f64) -> Option<Quantity> {
        self.max.filter(|max| max.si() * (1.0 + 1e-12) < per_area)
    }
}

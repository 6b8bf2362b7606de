//! What is asked for, and why that cannot be answered at all.

use super::label::{Label, are_alike};
use crate::quantity::Quantity;
use crate::report::Unusable;

/// The largest tank that is believed, in cubic meters: about 5,280 US gallons, far beyond a boom sprayer of a course (our choice).
pub const MOST_TANK: f64 = 20.0;

/// A job before it is done.
#[derive(Debug, Clone)]
pub struct Asked {
    /// The machine, by name.
    pub machine: String,
    /// The setup; the only one where none is named.
    pub setup: Option<String>,
    /// The area to spray, above zero.
    pub area: Quantity,
    /// The tank, where it is not the machine file's.
    pub tank: Option<Quantity>,
    /// What goes in, in the order it was named.
    pub products: Vec<Product>,
    /// Whether all loads are to be alike.
    pub equal_loads: bool,
    /// Whether the nominal rate is asked for, ready or not.
    pub nominal: bool,
}

/// A product to mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Product {
    /// Its name.
    pub name: String,
    /// How much of it goes on an area, above zero.
    pub rate: Quantity,
    /// What is known of its label.
    pub labels: Vec<Label>,
}

/// Why nothing can be mixed: what is asked for is not there, or cannot be so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CannotMix {
    /// The machine or its setup.
    Unusable(Unusable),
    /// A file that the answer stands on could not be read.
    NotRead {
        /// Its path.
        path: String,
        /// Why, as a fragment.
        reason: String,
    },
    /// The machine file has no tank, and none was given.
    NoTank {
        /// The machine.
        machine: String,
    },
    /// The tank is larger than any.
    TankTooLarge {
        /// As written.
        tank: String,
    },
    /// The setup has no rate, which the nominal one is.
    NoNominalRate {
        /// The setup.
        setup: String,
    },
    /// So much area makes more loads than any job.
    TooManyLoads {
        /// The area as written.
        area: String,
    },
    /// A product cannot be as it is asked for.
    Product {
        /// The product.
        name: String,
        /// Why not.
        because: WrongProduct,
    },
}

impl From<Unusable> for CannotMix {
    fn from(cannot: Unusable) -> Self {
        Self::Unusable(cannot)
    }
}

/// Why a product cannot be as it is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WrongProduct {
    /// It is named twice.
    Twice,
    /// The rate counts by volume and its label by weight, or the other way around.
    UnlikeLabel,
    /// Its minimum is above its maximum.
    MinAboveMax,
}

impl Product {
    /// Whether a label counts as its rate does: both by volume, or both by weight.
    pub fn is_alike(&self, label: &Label) -> bool {
        let mut limits = [label.min, label.max].into_iter().flatten();
        limits.all(|limit| are_alike(&limit, &self.rate))
    }
}

impl Asked {
    /// Whether the products make sense by themselves.
    ///
    /// # Errors
    /// The first that does not.
    pub fn products_make_sense(&self) -> Result<(), CannotMix> {
        for (at, product) in self.products.iter().enumerate() {
            let wrong = |because| {
                Err(CannotMix::Product {
                    name: product.name.clone(),
                    because,
                })
            };
            let before = &self.products[..at];
            if before
                .iter()
                .any(|other| is_named(&other.name, &product.name))
            {
                return wrong(WrongProduct::Twice);
            }
            for label in &product.labels {
                if !product.is_alike(label) {
                    return wrong(WrongProduct::UnlikeLabel);
                }
                if let (Some(min), Some(max)) = (label.min, label.max)
                    && max.exact() < min.exact()
                {
                    return wrong(WrongProduct::MinAboveMax);
                }
            }
        }
        Ok(())
    }
}

/// Whether two names are of one product: capitals, spaces, hyphens and what does not show do not matter. Two names too many
/// taken for one only bring a limit too many.
pub(super) fn is_named(one: &str, other: &str) -> bool {
    letters(one) == letters(other)
}

/// Whether a text has the name of a product in it, by the same letters.
pub(super) fn is_mentioned(text: &str, product: &str) -> bool {
    letters(text).contains(&letters(product))
}

fn letters(name: &str) -> String {
    let letters = name.chars().filter(|letter| letter.is_alphanumeric());
    letters.flat_map(char::to_lowercase).collect()
}

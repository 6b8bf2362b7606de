//! What is mixed for a job, as plain data.

use super::label::OverLabel;
use super::measured::Measured;
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;

/// Which rate the numbers stand on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The one that the last calibration tells.
    Actual,
    /// The one that the setup is meant to put down, which nothing proves.
    Nominal,
}

impl Basis {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Actual => "actual",
            Self::Nominal => "nominal",
        }
    }
}

/// The rate that tests tell, in SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Actual {
    /// Volume per area.
    pub value: f64,
    /// Its expanded uncertainty.
    pub expanded: f64,
    /// The unit it is shown in.
    pub unit: Unit,
}

/// What is mixed.
#[derive(Debug, Clone, PartialEq)]
pub struct Mix {
    /// Which rate it stands on.
    pub basis: Basis,
    /// That rate in SI units.
    pub rate: f64,
    /// The unit it is shown in.
    pub unit: Unit,
    /// Its expanded uncertainty; none of a nominal one.
    pub expanded: Option<f64>,
    /// The area that a full tank covers, in square meters.
    pub area_of_tank: f64,
    /// Loads that are alike, the full ones first.
    pub loads: Vec<Load>,
    /// What all loads hold.
    pub total: Measured,
    /// The products in the order they were named.
    pub products: Vec<MixedProduct>,
    /// What the nominal rate would make of it beside the actual one; none where one of them is not known.
    pub beside: Option<Beside>,
}

/// Loads that are alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// How many.
    pub count: u32,
    /// The area of each, in square meters.
    pub area: f64,
    /// The volume that this takes, in cubic meters.
    pub needed: f64,
    /// What each is filled up to, the products in it.
    pub fill: Measured,
    /// Whether it fills the tank.
    pub is_full: bool,
}

/// A product in all loads.
#[derive(Debug, Clone, PartialEq)]
pub struct MixedProduct {
    /// Its name.
    pub name: String,
    /// How much of it goes on an area.
    pub rate: Quantity,
    /// How much of it each load takes, in the order of the loads.
    pub amounts: Vec<Measured>,
    /// How much of it all loads take.
    pub total: Measured,
    /// Area times rate in SI units, before anything is rounded.
    pub needed: f64,
}

/// What would come of mixing for the nominal rate while the actual one is sprayed.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside {
    /// The nominal rate.
    pub nominal: Quantity,
    /// The actual rate.
    pub actual: Actual,
    /// How far the actual rate is off the nominal one.
    pub off: f64,
    /// The area that a full tank would be mixed for, in square meters.
    pub area_of_tank: f64,
    /// What is left of the job's mix, or of its area.
    pub leftover: Leftover,
    /// What goes on an area of each product.
    pub products: Vec<BesideProduct>,
}

/// What is left once either the mix or the area is used up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Leftover {
    /// Mix, in cubic meters.
    Mix(f64),
    /// Area without mix, in square meters.
    Area(f64),
}

/// What goes on an area of a product that is mixed for the nominal rate.
#[derive(Debug, Clone, PartialEq)]
pub struct BesideProduct {
    /// Its name.
    pub name: String,
    /// The amount per area in SI units.
    pub per_area: f64,
    /// The unit of the rate asked for.
    pub unit: Unit,
    /// Whether that is over its label.
    pub is_over_label: bool,
}

/// Why nothing is mixed.
#[derive(Debug, Clone, PartialEq)]
pub enum Refused {
    /// The rate of a product is over its label.
    OverLabel(OverLabel),
    /// Mixed for the nominal rate, a product goes on over its label at the actual one.
    OverLabelOnGround(OverLabel),
    /// The products alone would fill the load, or weigh more than it can carry.
    FillsTank,
    /// A load takes less of a product than can be measured.
    TooLittle {
        /// The product.
        product: String,
        /// Whether loads that are all alike would take enough of it.
        is_enough_in_equal_loads: bool,
    },
}

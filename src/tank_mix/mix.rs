//! The loads of a job at one rate, with what goes into each; or why there is none.

use super::asked::{CannotMix, Product};
use super::card::Warning;
use super::label::OverLabel;
use super::loads::shares;
use super::measured::Measured;
use super::mixed::{
    Actual, Basis, Beside, BesideProduct, Leftover, Load, Mix, MixedProduct, Refused,
};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;

/// A part load of less than this share of the tank is told: a pump may not take it up, nor stir it (our choice).
pub const SMALL_LOAD: f64 = 0.1;

/// A loss of more than this share of a product to rounding is told (our choice).
pub const COARSE: f64 = 0.02;

/// More than so many kilograms of products in a cubic meter of mix are no mix (our choice).
const DENSEST: f64 = 2_000.0;

/// What a job is mixed for.
#[derive(Debug, Clone, Copy)]
pub struct Job<'a> {
    /// The area, above zero.
    pub area: Quantity,
    /// What the tank holds.
    pub tank: Quantity,
    /// What goes in.
    pub products: &'a [Product],
    /// Whether all loads are to be alike.
    pub equal_loads: bool,
    /// The rate the numbers are to stand on.
    pub rate: MixedAt,
}

/// The rate that a job is mixed at, with the other one where it is known.
#[derive(Debug, Clone, Copy)]
pub enum MixedAt {
    /// The rate by tests.
    Actual {
        /// The rate.
        actual: Actual,
        /// The rate of the setup.
        nominal: Option<Quantity>,
    },
    /// The rate of the setup.
    Nominal {
        /// The rate.
        nominal: Quantity,
        /// The rate by tests, where they tell one.
        actual: Option<Actual>,
    },
}

impl MixedAt {
    const fn basis(&self) -> Basis {
        match self {
            Self::Actual { .. } => Basis::Actual,
            Self::Nominal { .. } => Basis::Nominal,
        }
    }

    /// The rate in SI units, its unit, and its expanded uncertainty, where it has one.
    fn value(&self) -> (f64, Unit, Option<f64>) {
        match self {
            Self::Actual { actual, .. } => (actual.value, actual.unit, Some(actual.expanded)),
            Self::Nominal { nominal, .. } => (nominal.si(), nominal.unit, None),
        }
    }

    const fn actual(&self) -> Option<Actual> {
        match self {
            Self::Actual { actual, .. } => Some(*actual),
            Self::Nominal { actual, .. } => *actual,
        }
    }

    /// What goes on the ground as a multiple of what is meant, and so far as the actual rate may be off at most; none where
    /// that is not known.
    fn on_ground(&self) -> Option<(f64, f64)> {
        let actual = self.actual()?;
        let meant = self.value().0;
        Some((
            actual.value / meant,
            (actual.value + actual.expanded) / meant,
        ))
    }
}

/// A mix with what is to be said beside it, or every reason against it.
pub type MixOrNot = Result<(Mix, Vec<Warning>), Vec<Refused>>;

impl Job<'_> {
    /// What to mix, with what is to be said about it; or every reason against it, and then no number.
    ///
    /// Product of a load = area of the load x rate of the product; water of a load = area of the load x rate of the machine.
    ///
    /// # Errors
    /// Where the job has more loads than any.
    pub fn mix(&self) -> Result<MixOrNot, CannotMix> {
        let over = self.over_label();
        if !over.is_empty() {
            return Ok(Err(over));
        }
        let rate = self.rate.value();
        let (area, tank) = (self.area.si(), self.tank.si());
        let shares = shares(area, rate.0, tank, self.equal_loads);
        let shares = shares.ok_or_else(|| CannotMix::TooManyLoads {
            area: self.area.to_string(),
        })?;
        let full = Measured::as_given(tank, self.tank.unit.of_tank());
        let loads = shares.iter().map(|share| {
            let needed = share.area * rate.0;
            let is_full = tank * (1.0 - 1e-9) <= needed;
            let fill = if is_full {
                full
            } else {
                Measured::at_least(needed, full.unit).or_less(full)
            };
            Load {
                count: share.count,
                area: share.area,
                needed,
                fill,
                is_full,
            }
        });
        let loads: Vec<Load> = loads.collect();
        let products: Vec<MixedProduct> = self
            .products
            .iter()
            .map(|product| mixed(product, &loads, area))
            .collect();
        let refused = self.cannot_be_measured(&loads, &products);
        if !refused.is_empty() {
            return Ok(Err(refused));
        }
        let fills = loads.iter().map(|load| load.fill.times(load.count));
        let mix = Mix {
            basis: self.rate.basis(),
            rate: rate.0,
            unit: rate.1,
            expanded: rate.2,
            area_of_tank: tank / rate.0,
            total: sum(fills, full.unit),
            loads,
            products,
            beside: self.beside(),
        };
        let warnings = self.warnings(&mix);
        Ok(Ok((mix, warnings)))
    }

    /// What of each product is over its label: as it is asked for, and as the nominal mix puts it down at the actual rate.
    fn over_label(&self) -> Vec<Refused> {
        let on_ground = self.rate.on_ground().map_or(1.0, |(ratio, _)| ratio);
        let labels = self
            .products
            .iter()
            .flat_map(|product| product.labels.iter().map(move |label| (product, label)));
        labels
            .filter_map(|(product, label)| {
                let over = |max| OverLabel {
                    product: product.name.clone(),
                    max,
                    from: label.from.clone(),
                };
                if let Some(max) = label.exceeded_by(&product.rate) {
                    return Some(Refused::OverLabel(over(max)));
                }
                let max = label.exceeded_on_the_ground(product.rate.si() * on_ground)?;
                Some(Refused::OverLabelOnGround(over(max)))
            })
            .collect()
    }

    fn cannot_be_measured(&self, loads: &[Load], products: &[MixedProduct]) -> Vec<Refused> {
        let of_kind = |wanted: Dimension| -> f64 {
            let rates = self.products.iter().map(|product| &product.rate);
            let rates = rates.filter(|rate| rate.dimension() == wanted);
            rates.map(Quantity::si).sum()
        };
        let (volume, weight) = (of_kind(Dimension::RATE), of_kind(Dimension::WEIGHED_RATE));
        let is_filled = |load: &Load| {
            let rate = load.needed / load.area;
            rate <= volume || DENSEST * rate < weight
        };
        if loads.iter().any(is_filled) {
            return vec![Refused::FillsTank];
        }
        let is_nothing = |product: &&MixedProduct| {
            let mut amounts = product.amounts.iter();
            amounts.any(|amount| amount.is_zero())
        };
        let too_little = products.iter().filter(is_nothing);
        too_little
            .map(|product| Refused::TooLittle {
                product: product.name.clone(),
                is_enough_in_equal_loads: self.is_enough_in_equal_loads(product, loads),
            })
            .collect()
    }

    fn is_enough_in_equal_loads(&self, product: &MixedProduct, loads: &[Load]) -> bool {
        if self.equal_loads || !loads.iter().any(|load| load.is_full) {
            return false;
        }
        let count: u32 = loads.iter().map(|load| load.count).sum();
        let area = self.area.si() / f64::from(count);
        !measured_out(&product.rate, area).is_zero()
    }

    /// Of an actual mix alone: beside a nominal one no number could be taken for another.
    fn beside(&self) -> Option<Beside> {
        let MixedAt::Actual {
            actual,
            nominal: Some(nominal),
        } = self.rate
        else {
            return None;
        };
        let ratio = actual.value / nominal.si();
        let area = self.area.si();
        let products = self.products.iter().map(|product| {
            let per_area = product.rate.si() * ratio;
            let mut labels = product.labels.iter();
            BesideProduct {
                name: product.name.clone(),
                per_area,
                unit: product.rate.unit,
                is_over_label: labels.any(|label| label.exceeded_on_the_ground(per_area).is_some()),
            }
        });
        Some(Beside {
            nominal,
            actual,
            off: ratio - 1.0,
            area_of_tank: self.tank.si() / nominal.si(),
            leftover: if ratio <= 1.0 {
                Leftover::Mix(area * (nominal.si() - actual.value))
            } else {
                Leftover::Area(area * (1.0 - 1.0 / ratio))
            },
            products: products.collect(),
        })
    }

    fn warnings(&self, mix: &Mix) -> Vec<Warning> {
        let mut warnings = Vec::new();
        let most = self.rate.on_ground().map(|(_, most)| most);
        for product in self.products {
            let name = &product.name;
            let maxima = product.labels.iter().filter_map(|label| label.max);
            let lowest = maxima.min_by(|one, other| one.exact().cmp(&other.exact()));
            match (lowest, most) {
                (None, _) => warnings.push(Warning::NoMaximum {
                    product: name.clone(),
                }),
                (Some(max), None) => warnings.push(Warning::NotHeldAgainstActual {
                    product: name.clone(),
                    max,
                }),
                (Some(max), Some(most)) if max.si() < product.rate.si() * most => {
                    warnings.push(Warning::MayExceed {
                        product: name.clone(),
                        up_to: product.rate.si() * most,
                        unit: product.rate.unit,
                        max,
                    });
                }
                (Some(_), Some(_)) => {}
            }
            let mut labels = product.labels.iter();
            warnings.extend(
                labels
                    .find_map(|label| label.not_reached_by(&product.rate))
                    .map(|min| Warning::UnderLabel {
                        product: name.clone(),
                        rate: product.rate,
                        min,
                    }),
            );
        }
        for product in &mix.products {
            let mut amounts = product.amounts.iter().zip(&mix.loads);
            let is_coarse = amounts.any(|(amount, load)| {
                let needed = product.rate.si() * load.area;
                amount.si() < needed * (1.0 - COARSE)
            });
            if is_coarse {
                warnings.push(Warning::Coarse {
                    product: product.name.clone(),
                });
            }
        }
        let tank = self.tank.si();
        if mix.loads.iter().any(|load| load.needed < SMALL_LOAD * tank) {
            let is_beside_full = mix.loads.iter().any(|load| load.is_full);
            warnings.push(Warning::SmallLoad { is_beside_full });
        }
        warnings
    }
}

fn mixed(product: &Product, loads: &[Load], area: f64) -> MixedProduct {
    let rate = &product.rate;
    let amounts = loads.iter().map(|load| measured_out(rate, load.area));
    let amounts: Vec<Measured> = amounts.collect();
    let all = amounts.iter().zip(loads);
    let total = all.map(|(amount, load)| amount.times(load.count));
    MixedProduct {
        name: product.name.clone(),
        rate: *rate,
        total: sum(total, of_jug_or_scale(rate)),
        amounts,
        needed: rate.si() * area,
    }
}

/// What a jug or a scale is read in for a product of a rate.
fn of_jug_or_scale(rate: &Quantity) -> Unit {
    let amount = rate.unit.above_the_stroke();
    amount.of_jug_or_scale().unwrap_or(amount)
}

/// Rounded down in each load: never up beyond the rate, which may be the label's maximum.
fn measured_out(rate: &Quantity, area: f64) -> Measured {
    Measured::at_most(rate.si() * area, of_jug_or_scale(rate))
}

fn sum(amounts: impl Iterator<Item = Measured>, unit: Unit) -> Measured {
    amounts.fold(Measured::as_given(0.0, unit), Measured::plus)
}

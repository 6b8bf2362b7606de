//! Marginal likelihoods of Gaussian readings in closed form: the covariance is factored once, and a hypothesis is a few products.

use super::content::Effect;
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// A vector by its entries that are not zero.
pub(super) type Sparse = Vec<(usize, f64)>;

/// Readings with mean zero and a covariance, if nothing is off.
#[derive(Debug)]
pub(super) struct Gaussian {
    covariance: Vec<Vec<f64>>,
    inverse: Vec<Vec<f64>>,
    readings: Vec<f64>,
    /// The inverse times the readings.
    weighed: Vec<f64>,
    /// The readings times that.
    distance: f64,
    /// The logarithm of the density at the mean.
    at_mean: f64,
}

/// How probable readings are under an effect of unknown size, and what size they speak for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Marginal {
    pub(super) ln_density: f64,
    /// The mean of the effect, given the readings.
    pub(super) size: f64,
}

impl Gaussian {
    /// None where the covariance is none.
    pub(super) fn new(readings: Vec<f64>, covariance: Vec<Vec<f64>>) -> Option<Self> {
        let lower = factor(&covariance)?;
        let inverse = inverted(&lower);
        let weighed: Vec<f64> = inverse.iter().map(|row| dot(row, &readings)).collect();
        Some(Self {
            distance: dot(&readings, &weighed),
            at_mean: at_mean(&lower),
            covariance,
            inverse,
            readings,
            weighed,
        })
    }

    /// The logarithm of the density of the readings where nothing is off.
    pub(super) fn ln_density(&self) -> f64 {
        self.at_mean - self.distance / 2.0
    }

    /// The same where each reading is off by a known shift.
    pub(super) fn shifted(&self, by: &[(usize, f64)]) -> f64 {
        let distance = self.distance - 2.0 * self.along(by) + self.squared(by);
        self.at_mean - distance / 2.0
    }

    /// The same where the readings are off along a pattern, by an effect whose size is not known.
    pub(super) fn effect(&self, pattern: &[(usize, f64)], effect: Effect) -> Marginal {
        let deviation = effect.deviation();
        let (along, squared) = (self.along(pattern), self.squared(pattern));
        let variance = deviation * deviation;
        let widened = 1.0 + variance * squared;
        let distance = self.distance - variance * along * along / widened;
        let either = self.at_mean - ln(widened) / 2.0 - distance / 2.0;
        // Given the readings the effect is normal again, cut at zero where it is one-sided.
        let mean = variance * along / widened;
        let spread = deviation / widened.sqrt();
        let cut = cut_at_zero(effect, mean, spread);
        Marginal {
            ln_density: either + cut.ln_density,
            size: cut.size,
        }
    }

    /// The same for several effects at once, with the size of each. One-sided ones are taken each by itself, which is close where
    /// they do not hide each other.
    pub(super) fn effects(
        &self,
        of: &[(Sparse, Effect)],
        by: &[(usize, f64)],
    ) -> Option<(f64, Vec<f64>)> {
        let weighed_shift = self.weighed_pattern(by);
        let along = |pattern: &Sparse| self.along(pattern) - weigh(pattern, &weighed_shift);
        let along: Vec<f64> = of.iter().map(|(pattern, _)| along(pattern)).collect();
        let mut precision = Vec::with_capacity(of.len());
        for (at, (pattern, effect)) in of.iter().enumerate() {
            let weighed = self.weighed_pattern(pattern);
            let mut row: Vec<f64> = of.iter().map(|(other, _)| weigh(other, &weighed)).collect();
            *row.get_mut(at)? += 1.0 / (effect.deviation() * effect.deviation());
            precision.push(row);
        }
        let lower = factor(&precision)?;
        let covariance = inverted(&lower);
        let sizes: Vec<f64> = covariance.iter().map(|row| dot(row, &along)).collect();
        let widened: f64 = lower
            .iter()
            .filter_map(|row| row.last())
            .map(|own| ln(*own))
            .sum::<f64>()
            + of.iter()
                .map(|(_, effect)| ln(effect.deviation()))
                .sum::<f64>();
        let mut ln_density = self.shifted(by) - widened + dot(&along, &sizes) / 2.0;
        let mut cut_sizes = Vec::with_capacity(of.len());
        for (at, (size, (_, effect))) in sizes.iter().zip(of).enumerate() {
            let spread = covariance.get(at)?.get(at)?.sqrt();
            let cut = cut_at_zero(*effect, *size, spread);
            ln_density += cut.ln_density;
            cut_sizes.push(cut.size);
        }
        Some((ln_density, cut_sizes))
    }

    /// A pattern times the inverse of the covariance.
    fn weighed_pattern(&self, pattern: &[(usize, f64)]) -> Vec<f64> {
        self.inverse.iter().map(|row| weigh(pattern, row)).collect()
    }

    /// The same where some readings scatter wider by a standard deviation.
    pub(super) fn scattered(&self, which: &[usize], deviation: f64) -> Option<f64> {
        let mut covariance = self.covariance.clone();
        for at in which {
            if let Some(own) = covariance.get_mut(*at).and_then(|row| row.get_mut(*at)) {
                *own += deviation * deviation;
            }
        }
        let lower = factor(&covariance)?;
        let distance = solved(&lower, &self.readings)
            .iter()
            .map(|z| z * z)
            .sum::<f64>();
        Some(at_mean(&lower) - distance / 2.0)
    }

    /// The standard uncertainty of one reading.
    pub(super) fn uncertainty(&self, at: usize) -> f64 {
        let own = self.covariance.get(at).and_then(|row| row.get(at));
        own.copied().unwrap_or_default().sqrt()
    }

    fn along(&self, pattern: &[(usize, f64)]) -> f64 {
        weigh(pattern, &self.weighed)
    }

    fn squared(&self, pattern: &[(usize, f64)]) -> f64 {
        let rows = pattern
            .iter()
            .filter_map(|(at, by)| Some((self.inverse.get(*at)?, by)));
        rows.map(|(row, by)| {
            by * pattern
                .iter()
                .map(|(at, by)| by * value(row, *at))
                .sum::<f64>()
        })
        .sum()
    }
}

/// A pattern times a vector.
fn weigh(pattern: &[(usize, f64)], by: &[f64]) -> f64 {
    pattern.iter().map(|(at, of)| of * value(by, *at)).sum()
}

fn value(of: &[f64], at: usize) -> f64 {
    of.get(at).copied().unwrap_or_default()
}

fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}

fn ln(of: f64) -> f64 {
    libm::log(of)
}

fn at_mean(lower: &[Vec<f64>]) -> f64 {
    let diagonal = lower.iter().filter_map(|row| row.last());
    diagonal.map(|own| -ln(*own) - ln(2.0 * PI) / 2.0).sum()
}

/// What an effect that is normal given the readings becomes where it is one-sided: its mean once it is cut at zero, and what is added to
/// the density.
fn cut_at_zero(effect: Effect, mean: f64, spread: f64) -> Marginal {
    let one_sided = |sign: f64| {
        let z = sign * mean / spread;
        Marginal {
            ln_density: ln(2.0) + ln_below(z),
            size: sign * spread * (z + density_over_below(z)),
        }
    };
    match effect {
        Effect::Either(_) => Marginal {
            ln_density: 0.0,
            size: mean,
        },
        Effect::More(_) => one_sided(1.0),
        Effect::Less(_) => one_sided(-1.0),
    }
}

/// The lower triangle whose square is a covariance (Cholesky), row by row.
fn factor(covariance: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let mut lower: Vec<Vec<f64>> = Vec::with_capacity(covariance.len());
    for (at, row) in covariance.iter().enumerate() {
        let mut made: Vec<f64> = Vec::with_capacity(at + 1);
        for (other, entry) in lower.iter().zip(row) {
            let rest = entry - dot(&made, other);
            made.push(rest / other.last()?);
        }
        let own = row.get(at)? - dot(&made, &made);
        if !(own.is_finite() && own > 0.0) {
            return None;
        }
        made.push(own.sqrt());
        lower.push(made);
    }
    Some(lower)
}

/// A vector divided by a lower triangle.
fn solved(lower: &[Vec<f64>], by: &[f64]) -> Vec<f64> {
    let mut made: Vec<f64> = Vec::with_capacity(by.len());
    for (row, entry) in lower.iter().zip(by) {
        let own = row.last().copied().unwrap_or(1.0);
        made.push((entry - dot(row, &made)) / own);
    }
    made
}

/// The inverse of the covariance that a lower triangle is of.
fn inverted(lower: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let size = lower.len();
    // Each column of the triangle's own inverse; its first entries are zero and left out.
    let columns: Vec<Vec<f64>> = (0..size)
        .map(|column| {
            let mut made: Vec<f64> = Vec::with_capacity(size - column);
            for (at, row) in lower.iter().enumerate().skip(column) {
                let own = row.last().copied().unwrap_or(1.0);
                let unit = if at == column { 1.0 } else { 0.0 };
                let before = row.get(column..).map_or(0.0, |row| dot(row, &made));
                made.push((unit - before) / own);
            }
            made
        })
        .collect();
    let entry = |one: usize, other: usize| {
        let later = one.max(other);
        let of = |column: usize| {
            columns
                .get(column)
                .and_then(|made| made.get(later - column..))
        };
        dot(of(one).unwrap_or_default(), of(other).unwrap_or_default())
    };
    (0..size)
        .map(|one| (0..size).map(|other| entry(one, other)).collect())
        .collect()
}

/// Below this the probability of lying below is worked out by its leading terms; the library's own would end at zero.
const FAR_BELOW: f64 = -30.0;

/// The logarithm of the probability that a standard normal value lies below `z`.
fn ln_below(z: f64) -> f64 {
    if z < FAR_BELOW {
        return -z * z / 2.0 - ln(-z) - ln(2.0 * PI) / 2.0 - 1.0 / (z * z);
    }
    ln(libm::erfc(-z * FRAC_1_SQRT_2) / 2.0)
}

/// The standard normal density at `z` over the probability of lying below it.
fn density_over_below(z: f64) -> f64 {
    if z < FAR_BELOW {
        return -z - 1.0 / z;
    }
    libm::exp(-z * z / 2.0 - ln(2.0 * PI) / 2.0 - ln_below(z))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_covariance_is_inverted() {
        let covariance = vec![
            vec![4.0, 1.0, 0.5],
            vec![1.0, 3.0, 0.2],
            vec![0.5, 0.2, 2.0],
        ];
        let gaussian = Gaussian::new(vec![1.0, -1.0, 0.5], covariance.clone()).unwrap();
        for (one, row) in covariance.iter().enumerate() {
            for other in 0..3 {
                let product: f64 = (0..3).map(|at| row[at] * gaussian.inverse[at][other]).sum();
                let unit = if one == other { 1.0 } else { 0.0 };
                assert!((product - unit).abs() < 1e-14);
            }
        }
        assert!(Gaussian::new(vec![0.0; 2], vec![vec![1.0, 1.0], vec![1.0, 1.0]]).is_none());
    }

    #[test]
    fn both_halves_of_an_effect_make_the_whole() {
        let gaussian =
            Gaussian::new(vec![0.3, 0.1], vec![vec![0.04, 0.01], vec![0.01, 0.09]]).unwrap();
        let pattern = [(0, 1.0), (1, -0.5)];
        let of = |effect| libm::exp(gaussian.effect(&pattern, effect).ln_density);
        let halves = of(Effect::More(0.2)).midpoint(of(Effect::Less(0.2)));
        assert!((halves - of(Effect::Either(0.2))).abs() < 1e-12);
    }

    #[test]
    fn an_effect_has_one_size_alone_and_among_others() {
        let gaussian =
            Gaussian::new(vec![0.05, -0.3], vec![vec![0.04, 0.0], vec![0.0, 0.09]]).unwrap();
        let (first, second) = (vec![(0, 1.0)], vec![(1, 1.0)]);
        for effect in [Effect::Either(0.2), Effect::More(0.2), Effect::Less(0.2)] {
            let (one, other) = (
                gaussian.effect(&first, effect),
                gaussian.effect(&second, effect),
            );
            let (ln_density, sizes) = gaussian.effects(&[(first.clone(), effect)], &[]).unwrap();
            assert!((ln_density - one.ln_density).abs() < 1e-12, "{effect:?}");
            assert!((sizes[0] - one.size).abs() < 1e-12, "{effect:?}: {sizes:?}");
            // Of readings that share nothing, two effects are as each by itself.
            let both = [(first.clone(), effect), (second.clone(), effect)];
            let (_, sizes) = gaussian.effects(&both, &[]).unwrap();
            assert!((sizes[0] - one.size).abs() < 1e-12, "{effect:?}: {sizes:?}");
            assert!(
                (sizes[1] - other.size).abs() < 1e-12,
                "{effect:?}: {sizes:?}"
            );
        }
    }

    #[test]
    fn far_below_joins_what_is_worked_out_directly() {
        let direct = ln(libm::erfc((1.0 - FAR_BELOW) * FRAC_1_SQRT_2) / 2.0);
        assert!((ln_below(FAR_BELOW - 1.0) / direct - 1.0).abs() < 1e-8);
    }
}

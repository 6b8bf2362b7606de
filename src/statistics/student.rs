//! Quantiles of Student's t distribution and of the normal one.
//!
//! Of t only for whole degrees of freedom, where it has a closed form of roots and one arc tangent; that
//! one, and the error function, are computed alike on every platform.

use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2};

/// How sure an interval is to hold what it is for; between 0 and 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Confidence(f64);

impl Confidence {
    /// Nineteen times in twenty.
    pub const P95: Self = Self(0.95);

    /// A probability between 0 and 1, both left out; none for anything else.
    pub fn new(probability: f64) -> Option<Self> {
        (0.0 < probability && probability < 1.0).then_some(Self(probability))
    }

    /// The t that the magnitude of Student's t stays below with this probability; none where nothing
    /// is left to tell the scatter from.
    ///
    /// Right to about 1e-16 of what is left of the probability: twelve digits at 99.99%. Takes a time
    /// in proportion to the degrees of freedom.
    ///
    /// ```
    /// use swathlint::statistics::Confidence;
    ///
    /// let t = Confidence::P95.two_sided(4).unwrap();
    /// assert!((t - 2.776_445_105).abs() < 1e-9);
    /// assert_eq!(Confidence::P95.two_sided(0), None);
    /// ```
    pub fn two_sided(self, degrees_of_freedom: u32) -> Option<f64> {
        let within = |t| probability_within(t, degrees_of_freedom);
        (0 < degrees_of_freedom).then(|| self.where_reached(within))
    }

    /// Likewise for the normal distribution, of which the scatter is known beforehand.
    ///
    /// ```
    /// use swathlint::statistics::Confidence;
    ///
    /// assert!((Confidence::P95.two_sided_normal() - 1.959_963_985).abs() < 1e-9);
    /// ```
    pub fn two_sided_normal(self) -> f64 {
        self.where_reached(|z| libm::erf(z * FRAC_1_SQRT_2))
    }

    /// Where a probability that grows from 0 to 1 reaches this one.
    fn where_reached(self, within: impl Fn(f64) -> f64) -> f64 {
        // Doubling ends: what is within comes to lie closer to 1 than any confidence does.
        let mut above = 1.0;
        while within(above) < self.0 && above < 1e300 {
            above *= 2.0;
        }
        // Halving the bracket gains a binary digit each time, and cannot run away as steeper ways can.
        let mut below = 0.0;
        loop {
            let middle = f64::midpoint(below, above);
            if middle <= below || above <= middle {
                return middle;
            }
            if within(middle) < self.0 {
                below = middle;
            } else {
                above = middle;
            }
        }
    }
}

/// How probable it is that the magnitude of Student's t is below `t`.
///
/// With sin θ = t / √(ν + t²): for an odd ν, 2/π (θ + sin θ (cos θ + 2/3 cos³ θ + 2/3 4/5 cos⁵ θ …));
/// for an even ν, sin θ (1 + 1/2 cos² θ + 1/2 3/4 cos⁴ θ …); both to the power ν - 2 (Abramowitz and
/// Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4; from memory, held to an independent
/// table by tests).
fn probability_within(t: f64, degrees_of_freedom: u32) -> f64 {
    let nu = f64::from(degrees_of_freedom);
    let hypotenuse = libm::hypot(nu.sqrt(), t);
    let (sine, cosine) = (t / hypotenuse, nu.sqrt() / hypotenuse);
    let is_odd = degrees_of_freedom % 2 == 1;
    let mut term = if is_odd { cosine } else { 1.0 };
    let mut sum = 0.0;
    for power in (degrees_of_freedom % 2..=degrees_of_freedom.saturating_sub(2)).step_by(2) {
        sum += term;
        let power = f64::from(power);
        term *= cosine * cosine * (power + 1.0) / (power + 2.0);
    }
    if is_odd {
        (libm::atan2(t, nu.sqrt()) + sine * sum) / FRAC_PI_2
    } else {
        sine * sum
    }
}

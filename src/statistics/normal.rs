//! The normal distribution with mean 0 and deviation 1, computed alike on every platform.

use std::f64::consts::FRAC_1_SQRT_2;

/// How probable it is to lie below `z`, less a half: alike but for the sign on both sides.
///
/// ```
/// use swathlint::statistics::normal;
///
/// assert!((normal::from_middle(1.4) - 0.419_243_341).abs() < 1e-9);
/// ```
pub fn from_middle(z: f64) -> f64 {
    libm::erf(z * FRAC_1_SQRT_2) / 2.0
}

/// How probable it is to lie farther out than `z` on either side.
///
/// ```
/// use swathlint::statistics::normal;
///
/// assert!((normal::beyond(1.0) - 0.317_310_508).abs() < 1e-9);
/// ```
pub fn beyond(z: f64) -> f64 {
    libm::erfc(z * FRAC_1_SQRT_2)
}

/// How likely `z` is against the middle, which is 1.
///
/// ```
/// use swathlint::statistics::normal;
///
/// assert!((normal::likelihood(2.0) - 0.135_335_283).abs() < 1e-9);
/// ```
pub fn likelihood(z: f64) -> f64 {
    libm::exp(-z * z / 2.0)
}

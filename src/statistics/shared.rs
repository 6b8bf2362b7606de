//! Where a straight line crosses a level, if its points also share errors that no scatter shows.
//!
//! Points that were measured with one instrument are all off by what that instrument is off, and the
//! line through them with them. Such an error is taken as rectangular: anywhere within a half width.

use super::line::{Interval, Line, NoCrossing, NoLine};
use super::student::Confidence;

/// A line, and for each error that points share a line through what it can do to each of them.
///
/// A line through errors is the error of the line: least squares are linear in y.
#[derive(Debug, Clone)]
pub struct SharedLine {
    line: Line,
    errors: Vec<Line>,
}

impl SharedLine {
    /// A line whose points share errors: each a list of x with the half width of the error there, 0
    /// where the point has no part in it.
    ///
    /// # Errors
    ///
    /// Where the points of an error do not make a line.
    pub fn new(line: Line, errors: &[Vec<(f64, f64)>]) -> Result<Self, NoLine> {
        let errors = errors.iter().map(|error| Line::through(error));
        Ok(Self {
            line,
            errors: errors.collect::<Result<_, _>>()?,
        })
    }

    /// Where it crosses a level, with what the true line's crossing lies within 19 times in 20.
    ///
    /// All x at which the level lies no farther from the line than both kinds of error allow together.
    /// Without shared errors that is [`Line::crossing`].
    ///
    /// # Errors
    ///
    /// The slope is not significant, or the level out of range.
    pub fn crossing(&self, level: f64) -> Result<Interval, NoCrossing> {
        let by_scatter = self.line.crossing(level, Confidence::P95)?;
        if self.errors.is_empty() {
            return Ok(by_scatter);
        }
        // Far out everything grows with x alone: there the slope must win, or an end lies nowhere.
        let of_slope = self.together(
            self.line.margin(Confidence::P95) / self.line.sxx.sqrt(),
            self.errors.iter().map(|error| error.slope),
        );
        if self.line.slope.abs() <= of_slope {
            return Err(NoCrossing::SlopeNotSignificant);
        }
        let at = by_scatter.value;
        let end = |by_scatter: f64, direction: f64| {
            self.end(level, at, (by_scatter - at).abs(), direction)
        };
        let interval = Interval {
            value: at,
            low: end(by_scatter.low, -1.0),
            high: end(by_scatter.high, 1.0),
        };
        let all = [interval.low, interval.high];
        let is_told = all.iter().all(|end| end.is_finite());
        is_told.then_some(interval).ok_or(NoCrossing::OutOfRange)
    }

    /// The last x in a direction at which the level is still within reach.
    ///
    /// The distance from the line grows evenly, what the errors allow ever more evenly from below: there
    /// is one such x, and halving finds it.
    fn end(&self, level: f64, at: f64, by_scatter: f64, direction: f64) -> f64 {
        let is_within = |step: f64| {
            let x = at + direction * step;
            (level - self.line.at(x)).abs() <= self.margin(x)
        };
        let mut beyond = by_scatter.max(self.line.sxx.sqrt());
        while is_within(beyond) && beyond.is_finite() {
            beyond *= 2.0;
        }
        let mut within = 0.0;
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(within, beyond);
            if is_within(middle) {
                within = middle;
            } else {
                beyond = middle;
            }
        }
        at + direction * beyond
    }

    /// How far the line may lie off the true one at `x`.
    fn margin(&self, x: f64) -> f64 {
        let scatter = self.line.band_half_width(x, Confidence::P95);
        self.together(scatter, self.errors.iter().map(|error| error.at(x)))
    }

    /// What scatter, at 95% by Student's t, and shared errors of these half widths come to together.
    ///
    /// As independent errors do, by the root of the sum of squares; but with few degrees of freedom ν by
    /// a higher power, 2 + 1/(ν - 1), and with one by the larger of both: the t of few points is so wide
    /// that it has room for the rest (our choice, by simulation: so 93 to 97 of 100 intervals hold the
    /// truth, whatever the share; with squares alone it were up to 99).
    fn together(&self, scatter: f64, errors: impl Iterator<Item = f64>) -> f64 {
        let shared = rectangular_within_95(errors);
        let (larger, smaller) = (scatter.max(shared), scatter.min(shared));
        let degrees = self.line.degrees_of_freedom;
        if degrees <= 1 || larger <= 0.0 {
            return larger;
        }
        let power = 2.0 + 1.0 / f64::from(degrees - 1);
        larger * libm::pow(1.0 + libm::pow(smaller / larger, power), 1.0 / power)
    }
}

/// Enough for ten digits of any end.
const HALVINGS: u32 = 40;

/// What the sum of independent rectangular errors of these half widths lies within 19 times in 20.
///
/// So many of its standard deviations, by its excess kurtosis: 1.645 for one error, 1.902 for two alike,
/// 1.960 for very many; between them by a parabola, which is right to 0.5% for any two and for three alike
/// (computed).
fn rectangular_within_95(half_widths: impl Iterator<Item = f64>) -> f64 {
    let (mut squares, mut fourths) = (0.0, 0.0);
    for half_width in half_widths {
        let square = half_width * half_width;
        squares += square;
        fourths += square * square;
    }
    if squares <= 0.0 {
        return 0.0;
    }
    let flatness = 1.2 * fourths / (squares * squares);
    let deviations = 1.959_964 + (0.0694 - 0.2764 * flatness) * flatness;
    deviations * (squares / 3.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of two: below a - b evenly, then like a triangle; of three alike by the cubic of its end.
    #[test]
    fn sums_of_rectangular_errors() {
        let two = |a: f64, b: f64| {
            if 0.95 * a <= a - b {
                0.95 * a
            } else {
                a + b - (0.2 * a * b).sqrt()
            }
        };
        for b in [0.0, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0] {
            let found = rectangular_within_95([1.0, b].into_iter());
            let wanted = two(1.0, b);
            assert!(
                (found / wanted - 1.0).abs() < 0.006,
                "{b}: {found}, not {wanted}"
            );
        }
        // P(beyond x) = (3 - x)^3 / 24 on both sides together, for x from 1.
        let wanted = 3.0 - libm::cbrt(0.05 * 24.0);
        let found = rectangular_within_95([1.0; 3].into_iter());
        assert!(
            (found / wanted - 1.0).abs() < 0.006,
            "{found}, not {wanted}"
        );
        assert!(rectangular_within_95(std::iter::empty()) <= 0.0);
    }
}

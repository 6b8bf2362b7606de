//! A straight line by ordinary least squares: its coefficients, its predictions, its crossings.
//!
//! All errors are in y, alike at every point and independent; x is taken as exact. Weighs no point and
//! drops none.

use super::student::Confidence;

/// A straight line through points, and how far the points lie off it.
///
/// Worked out in two passes, means first, since the sums of squares as they stand cancel where the
/// values are large against their spread. The same points give the same bits in any order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Where it meets x = 0; 0 for a line through the origin.
    pub intercept: f64,
    /// How much y grows with each of x.
    pub slope: f64,
    /// The standard deviation of the intercept; 0 for a line through the origin.
    pub intercept_deviation: f64,
    /// The standard deviation of the slope.
    pub slope_deviation: f64,
    /// The standard deviation of the points about the line.
    pub residual_deviation: f64,
    /// The points, less the coefficients they had to give.
    pub degrees_of_freedom: u32,
    /// The mean of x, about which the line is free to turn; 0 for a line through the origin.
    pub mean_x: f64,
    /// The mean of y, likewise.
    pub mean_y: f64,
    /// The sum of the squares of x, each less `mean_x`.
    pub sxx: f64,
    /// One over the number of points, where the line is free to move up and down; else 0.
    share: f64,
    /// The standard deviation that points are known to have at least.
    known_deviation: f64,
}

/// Why no line could be laid through points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoLine {
    /// There are fewer points than it takes to see a scatter: three, or two with the origin given.
    TooFewPoints,
    /// Every point has the same x, as far as can be told; or is at the origin, where that is given.
    AllAtOneX,
    /// A value is not a number, or too large to compute with.
    OutOfRange,
}

/// Why there is no crossing of a level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoCrossing {
    /// The slope cannot be told from none, so the crossing may be anywhere, or nowhere.
    SlopeNotSignificant,
    /// The line falls, and the level lies above.
    FallsAway,
    /// The line has reached the level already.
    AlreadyCrossed,
    /// The level is not a number, or the crossing is too far away to compute with.
    OutOfRange,
}

/// What a value lies within.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The value itself.
    pub value: f64,
    /// The lower end.
    pub low: f64,
    /// The upper end; never below the lower.
    pub high: f64,
}

impl Interval {
    /// None where an end is not a number, or too large.
    fn new(value: f64, low: f64, high: f64) -> Option<Self> {
        let all = [low, value, high];
        // Rounding must not carry an end past the value.
        all.iter().all(|end| end.is_finite()).then_some(Self {
            value,
            low: low.min(value),
            high: high.max(value),
        })
    }
}

impl Line {
    /// The line y = a + b x through points, each x and y.
    ///
    /// # Errors
    ///
    /// See [`NoLine`]; it wants three points.
    pub fn through(points: &[(f64, f64)]) -> Result<Self, NoLine> {
        let points = in_order(points)?;
        let n_points = count(&points)?;
        let Some(degrees_of_freedom) = n_points.checked_sub(2).filter(|left| 0 < *left) else {
            return Err(NoLine::TooFewPoints);
        };
        // Differences to one of the points first: they are exact where the points lie close together.
        let (first_x, first_y) = points[0];
        if points.iter().all(|(x, _)| *x <= first_x) {
            return Err(NoLine::AllAtOneX);
        }
        let n = f64::from(n_points);
        let mean_of = |part: &dyn Fn(&(f64, f64)) -> f64| points.iter().map(part).sum::<f64>() / n;
        let shift_x = mean_of(&|(x, _)| x - first_x);
        let shift_y = mean_of(&|(_, y)| y - first_y);
        let about: Vec<(f64, f64)> = points
            .iter()
            .map(|(x, y)| (x - first_x - shift_x, y - first_y - shift_y))
            .collect();
        let turning = (first_x + shift_x, first_y + shift_y);
        Self::about(turning, &about, 1.0 / n, degrees_of_freedom)
    }

    /// The line y = b x through points, each x and y, and through the origin.
    ///
    /// # Errors
    ///
    /// See [`NoLine`]; it wants two points.
    pub fn through_origin(points: &[(f64, f64)]) -> Result<Self, NoLine> {
        let points = in_order(points)?;
        let Some(degrees_of_freedom) = count(&points)?.checked_sub(1).filter(|left| 0 < *left)
        else {
            return Err(NoLine::TooFewPoints);
        };
        Self::about((0.0, 0.0), &points, 0.0, degrees_of_freedom)
    }

    /// The line through `turning` that fits points given as they lie from there.
    fn about(
        turning: (f64, f64),
        points: &[(f64, f64)],
        share: f64,
        degrees_of_freedom: u32,
    ) -> Result<Self, NoLine> {
        let sum_of = |part: &dyn Fn(&(f64, f64)) -> f64| points.iter().map(part).sum::<f64>();
        let sxx = sum_of(&|(x, _)| x * x);
        if sxx <= 0.0 {
            return Err(NoLine::AllAtOneX);
        }
        let slope = sum_of(&|(x, y)| x * y) / sxx;
        let squares = sum_of(&|(x, y)| {
            let residual = y - slope * x;
            residual * residual
        });
        let residual_deviation = (squares / f64::from(degrees_of_freedom)).sqrt();
        let (mean_x, mean_y) = turning;
        let line = Self {
            intercept: mean_y - slope * mean_x,
            slope,
            intercept_deviation: match share {
                0.0 => 0.0,
                _ => residual_deviation * (share + mean_x / sxx * mean_x).sqrt(),
            },
            slope_deviation: residual_deviation / sxx.sqrt(),
            residual_deviation,
            degrees_of_freedom,
            mean_x,
            mean_y,
            sxx,
            share,
            known_deviation: 0.0,
        };
        let computed = [
            sxx,
            line.intercept,
            slope,
            line.intercept_deviation,
            line.slope_deviation,
            residual_deviation,
        ];
        if computed.iter().all(|value| value.is_finite()) {
            Ok(line)
        } else {
            Err(NoLine::OutOfRange)
        }
    }

    /// The line, where points are known beforehand to have at least this standard deviation each.
    ///
    /// Few points may lie on a line by chance, and all of them may share what scatters between others:
    /// no interval is then narrower than with that deviation and the normal distribution. Anything but a
    /// number above 0 changes nothing.
    #[must_use]
    pub fn scattering_at_least(self, deviation: f64) -> Self {
        Self {
            known_deviation: if deviation.is_finite() {
                deviation
            } else {
                0.0
            },
            ..self
        }
    }

    /// The line at `x`.
    pub fn at(&self, x: f64) -> f64 {
        self.mean_y + self.slope * (x - self.mean_x)
    }

    /// What another point at `x` will lie within: t s √(1 + 1/n + (x - x̄)²/Sxx) either side of the line
    /// (NBS Handbook 91, 5-4.1).
    ///
    /// None where `x` is not a number, or too far away to compute with.
    pub fn prediction(&self, x: f64, confidence: Confidence) -> Option<Interval> {
        self.within(x, 1.0, confidence)
    }

    /// What the true line at `x` lies within: t s √(1/n + (x - x̄)²/Sxx) either side (NBS Handbook 91,
    /// 5-4.1).
    ///
    /// None where `x` is not a number, or too far away to compute with.
    pub fn band(&self, x: f64, confidence: Confidence) -> Option<Interval> {
        self.within(x, 0.0, confidence)
    }

    fn within(&self, x: f64, of_a_point: f64, confidence: Confidence) -> Option<Interval> {
        let margin = self.half_width(x, of_a_point, confidence);
        let value = self.at(x);
        Interval::new(value, value - margin, value + margin)
    }

    /// Half the width of the band of the true line at `x`.
    pub(super) fn band_half_width(&self, x: f64, confidence: Confidence) -> f64 {
        self.half_width(x, 0.0, confidence)
    }

    fn half_width(&self, x: f64, of_a_point: f64, confidence: Confidence) -> f64 {
        let from_mean = x - self.mean_x;
        let spread = (of_a_point + self.share + from_mean / self.sxx * from_mean).sqrt();
        self.margin(confidence) * spread
    }

    /// How far a point may lie off the line: t s, or what is known beforehand where that is more.
    pub(super) fn margin(&self, confidence: Confidence) -> f64 {
        let t = confidence.two_sided(self.degrees_of_freedom);
        let seen = t.expect("a line leaves degrees of freedom") * self.residual_deviation;
        if 0.0 < self.known_deviation {
            seen.max(confidence.two_sided_normal() * self.known_deviation)
        } else {
            seen
        }
    }

    /// Where the line crosses a level, with what the true line's crossing lies within (Fieller 1954).
    ///
    /// With d = (y - ȳ)/b and g = t² s² / (b² Sxx), the ends are
    /// x̄ + (d ± t s/|b| √((1 - g)/n + d²/Sxx)) / (1 - g). Where g is 1 or more, the slope cannot be
    /// told from none and the ends would be those of no interval.
    ///
    /// # Errors
    ///
    /// The slope is not significant, or the level out of range.
    pub fn crossing(&self, level: f64, confidence: Confidence) -> Result<Interval, NoCrossing> {
        let margin = self.margin(confidence);
        // The slope's own half-width, and its share of the slope: g is the square of that.
        let of_slope = margin / self.sxx.sqrt();
        if self.slope.abs() <= of_slope {
            return Err(NoCrossing::SlopeNotSignificant);
        }
        let root_of_g = of_slope / self.slope.abs();
        let kept = (1.0 - root_of_g) * (1.0 + root_of_g);
        let from_mean = (level - self.mean_y) / self.slope;
        let half_width = margin / self.slope.abs()
            * (kept * self.share + from_mean / self.sxx * from_mean).sqrt();
        Interval::new(
            self.mean_x + from_mean,
            self.mean_x + (from_mean - half_width) / kept,
            self.mean_x + (from_mean + half_width) / kept,
        )
        .ok_or(NoCrossing::OutOfRange)
    }

    /// Where the line will rise to a level, seen from `from`.
    ///
    /// The lower end may lie before `from`: the true line may have crossed already.
    ///
    /// # Errors
    ///
    /// See [`NoCrossing`].
    pub fn rises_to(
        &self,
        level: f64,
        from: f64,
        confidence: Confidence,
    ) -> Result<Interval, NoCrossing> {
        let crossing = self.crossing(level, confidence)?;
        if !from.is_finite() {
            Err(NoCrossing::OutOfRange)
        } else if level <= self.at(from) {
            Err(NoCrossing::AlreadyCrossed)
        } else if self.slope < 0.0 {
            Err(NoCrossing::FallsAway)
        } else {
            Ok(crossing)
        }
    }
}

/// The points by x, then y, all of them numbers: sums come out alike whichever way they were listed.
fn in_order(points: &[(f64, f64)]) -> Result<Vec<(f64, f64)>, NoLine> {
    if points.iter().any(|(x, y)| !x.is_finite() || !y.is_finite()) {
        return Err(NoLine::OutOfRange);
    }
    let mut points = points.to_vec();
    points.sort_by(|one, other| {
        let by_x = one.0.total_cmp(&other.0);
        by_x.then(one.1.total_cmp(&other.1))
    });
    Ok(points)
}

fn count(points: &[(f64, f64)]) -> Result<u32, NoLine> {
    u32::try_from(points.len()).map_err(|_| NoLine::OutOfRange)
}

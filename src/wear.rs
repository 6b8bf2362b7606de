//! When a set of nozzles will be worn to a limit, as its catches since it was fitted tell.
//!
//! Chooses no catches, sets no limit and knows no date on which the hours will be reached.
//!
//! The flow is fitted by a straight line against the hours. Its interval tells of two things. The catches
//! scatter about the line, and the line with them: that is Fieller's interval. And an instrument used at
//! each visit is off alike at each: that moves the whole line up or down and does not turn it, so the
//! crossing moves by that error over the slope. Where wear is even, the interval holds the true hours in
//! 93 to 97 of 100 forecasts; `tests/slow/wear.rs` measures it.
//!
//! It does not tell of wear that slows. Tips wear fastest when new and the flow grows about with the root
//! of the hours (Transactions of the ASAE 34, 1991; Illinois Extension), which a straight line misses on
//! the safe side: it foretells the limit too early, the more so the sooner it is asked. Of simulated
//! nozzles that reach the limit at 400 h, caught every 25 h with a scatter of 0.2%, it says 240 h when
//! asked at 150 h, 274 h at 200 h and 326 h at 300 h; at 350 h, with the flow 9.4% off, it mostly says
//! that the trend has passed 10%. The 400 h lie above the interval in more than 97 of 100 such forecasts,
//! and below it in none. A line against the root of the hours would hold them as often as it says, but
//! where wear goes evenly it is late: 877 h when asked at 200 h. `tests/fast/wear.rs` measures all of it.

use crate::source::Place;
use crate::statistics::{Confidence, Line, NoCrossing, NoLine, SharedLine};
use crate::words::numbers::{number, percent};
use crate::words::phrases::plural;
use jiff::civil::Date;

/// How far the mean flow of a whole boom was off its rated flow at one visit, as left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WearPoint {
    /// The day of the visit.
    pub date: Date,
    /// How many hours the nozzles had been in use since they were fitted.
    pub hours: f64,
    /// Mean flow over rated flow at the pressure of the catch, less 1.
    pub off_rated: f64,
    /// The standard uncertainty of what was read anew at this visit alone; 0 where it is not known.
    pub standard_uncertainty: f64,
    /// Where the catch stands.
    pub place: Place,
}

/// When the flow will have grown to a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WearForecast {
    /// It will, 19 times in 20 within an interval.
    Crosses {
        /// After so many hours from fitting.
        at_hours: f64,
        /// After as many at least; may be less than at the last catch.
        low: f64,
        /// After as many at most.
        high: f64,
        /// How much the flow grows in 100 hours, as a ratio to the rated flow.
        per_100_hours: f64,
    },
    /// Nothing can be said of it.
    None(Reason),
}

/// Why there is no forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// Two catches always lie on a line.
    TooFewCatches {
        /// How many there are.
        catches: usize,
    },
    /// The machine did not run between the catches, as far as its hours tell.
    SameHours {
        /// How many there are.
        catches: usize,
    },
    /// The catches scatter about the trend too much to tell it from none.
    WithinScatter {
        /// How many there are.
        catches: usize,
        /// The hours from the first to the last.
        over_hours: f64,
    },
    /// The trend could be the doing of what was measured with.
    WithinUncertainty {
        /// How many catches there are.
        catches: usize,
        /// The hours from the first to the last.
        over_hours: f64,
    },
    /// The flow falls, which no wear does.
    Falls {
        /// By how much in 100 hours, as a ratio to the rated flow; above 0.
        per_100_hours: f64,
    },
    /// The trend has passed the limit by the last catch.
    Passed {
        /// At so many hours from fitting; none where it was past it at the first catch already.
        at_hours: Option<f64>,
    },
    /// A number is none, or too large to compute with.
    OutOfRange,
}

impl Reason {
    /// In words that stand behind "no forecast:".
    ///
    /// ```
    /// use swathlint::wear::Reason;
    ///
    /// assert_eq!(
    ///     Reason::WithinScatter { catches: 4, over_hours: 310.0 }.words(),
    ///     "the flow has not grown more than its scatter in 4 catches over 310 h",
    /// );
    /// ```
    pub fn words(&self) -> String {
        let hours = |hours: f64| format!("{} h", number(hours, 0));
        let over = |catches: usize, over_hours: f64| {
            format!("{} over {}", plural(catches, "catch"), hours(over_hours))
        };
        match *self {
            Self::TooFewCatches { catches } => {
                let there_are = match catches {
                    0 => "no catch".to_owned(),
                    _ => format!("only {}", plural(catches, "catch")),
                };
                format!("{there_are} since the nozzles were fitted; a trend takes 3")
            }
            Self::SameHours { catches } => format!(
                "the hour meter reads the same at all {}",
                plural(catches, "catch")
            ),
            Self::WithinScatter {
                catches,
                over_hours,
            } => format!(
                "the flow has not grown more than its scatter in {}",
                over(catches, over_hours)
            ),
            Self::WithinUncertainty {
                catches,
                over_hours,
            } => format!(
                "the flow has not grown more than its uncertainty in {}",
                over(catches, over_hours)
            ),
            Self::Falls { per_100_hours } => {
                format!("the flow falls by {} in 100 h", percent(per_100_hours, 1))
            }
            Self::Passed { at_hours: None } => {
                "the trend of the flow is past the limit from the first catch on".to_owned()
            }
            Self::Passed {
                at_hours: Some(at_hours),
            } => format!(
                "the trend of the flow passed the limit {} after fitting",
                hours(at_hours)
            ),
            Self::OutOfRange => "a number is too large to reckon with".to_owned(),
        }
    }
}

/// When the flow, off its rated one by `limit` at most, will have grown past it.
///
/// The points are of one set of nozzles at one setup, in any order. An instrument is what it may do to
/// each point, in their order: the half width of a rectangular error of `off_rated`, 0 where it was not
/// used. The interval is at 95%: by the scatter of the catches about the line, or by their own standard
/// uncertainty where that is more, together with the errors of the instruments.
pub fn forecast(points: &[WearPoint], instruments: &[Vec<f64>], limit: f64) -> WearForecast {
    crosses(points, instruments, limit).unwrap_or_else(WearForecast::None)
}

fn crosses(
    points: &[WearPoint],
    instruments: &[Vec<f64>],
    limit: f64,
) -> Result<WearForecast, Reason> {
    let catches = points.len();
    let against_hours = |values: &mut dyn Iterator<Item = f64>| -> Vec<(f64, f64)> {
        let hours = points.iter().map(|point| point.hours);
        hours.zip(values).collect()
    };
    let pairs = against_hours(&mut points.iter().map(|point| point.off_rated));
    let uncertainty = typical_uncertainty(points).ok_or(Reason::OutOfRange)?;
    let no_line = |reason| match reason {
        NoLine::TooFewPoints => Reason::TooFewCatches { catches },
        NoLine::AllAtOneX => Reason::SameHours { catches },
        NoLine::OutOfRange => Reason::OutOfRange,
    };
    let line = Line::through(&pairs).map_err(no_line)?;
    let hours = || pairs.iter().map(|(hours, _)| *hours);
    let first = hours().fold(f64::INFINITY, f64::min);
    let last = hours().fold(f64::NEG_INFINITY, f64::max);
    let over_hours = last - first;
    let per_100_hours = 100.0 * line.slope;
    line.rises_to(limit, last, Confidence::P95)
        .map_err(|reason| match reason {
            NoCrossing::SlopeNotSignificant => Reason::WithinScatter {
                catches,
                over_hours,
            },
            // Also where it is on its way down to the limit from above.
            NoCrossing::FallsAway | NoCrossing::AlreadyCrossed if line.slope < 0.0 => {
                Reason::Falls {
                    per_100_hours: -per_100_hours,
                }
            }
            NoCrossing::AlreadyCrossed | NoCrossing::FallsAway => {
                let crossing = line.crossing(limit, Confidence::P95);
                let at_hours = crossing.ok().map(|crossing| crossing.value);
                Reason::Passed {
                    at_hours: at_hours.filter(|at| first < *at),
                }
            }
            NoCrossing::OutOfRange => Reason::OutOfRange,
        })?;
    // A few catches may lie on a line by chance. One standard uncertainty is room enough for that: with
    // all of what 95 in 100 lie within, 99 in 100 intervals of three catches would hold the truth.
    let known = uncertainty / Confidence::P95.two_sided_normal();
    let shared = instruments
        .iter()
        .map(|instrument| against_hours(&mut instrument.iter().copied()));
    let shared: Vec<Vec<(f64, f64)>> = shared.collect();
    let line = SharedLine::new(line.scattering_at_least(known), &shared).map_err(no_line)?;
    let crossing = line.crossing(limit).map_err(|reason| match reason {
        NoCrossing::SlopeNotSignificant => Reason::WithinUncertainty {
            catches,
            over_hours,
        },
        NoCrossing::FallsAway | NoCrossing::AlreadyCrossed | NoCrossing::OutOfRange => {
            Reason::OutOfRange
        }
    })?;
    Ok(WearForecast::Crosses {
        at_hours: crossing.value,
        low: crossing.low,
        high: crossing.high,
        per_100_hours,
    })
}

/// The root of the mean square of the catches' own standard uncertainties; none where one is no number.
fn typical_uncertainty(points: &[WearPoint]) -> Option<f64> {
    let squares = points
        .iter()
        .map(|point| point.standard_uncertainty * point.standard_uncertainty);
    let n_points = u32::try_from(points.len()).ok()?.max(1);
    let typical = (squares.sum::<f64>() / f64::from(n_points)).sqrt();
    typical.is_finite().then_some(typical)
}

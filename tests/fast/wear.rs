//! Wear forecasts: what is foretold, why nothing is, and what a straight line misses of wear that slows.

use crate::chance::Chance;
use jiff::civil::date;
use swathlint::source::{FileId, Place, Span};
use swathlint::statistics::{Confidence, Line};
use swathlint::wear::{Reason, WearForecast, WearPoint, forecast};

const LIMIT: f64 = 0.1;

/// Catches, each its hours since fitting and its flow off the rated one in percent.
fn catches(of: &[(f64, f64)], uncertainty_in_percent: f64) -> Vec<WearPoint> {
    let place = Place {
        file: FileId(0),
        span: Span::new(0, 0),
    };
    of.iter()
        .map(|(hours, percent)| WearPoint {
            date: date(2026, 3, 9),
            hours: *hours,
            off_rated: percent / 100.0,
            standard_uncertainty: uncertainty_in_percent / 100.0,
            place,
        })
        .collect()
}

#[track_caller]
fn foretold(points: &[WearPoint]) -> [f64; 4] {
    match forecast(points, &[], LIMIT) {
        WearForecast::Crosses {
            at_hours,
            low,
            high,
            per_100_hours,
        } => [at_hours, low, high, per_100_hours],
        WearForecast::None(reason) => panic!("{}", reason.words()),
    }
}

#[test]
fn a_season_of_catches() {
    let mut season = catches(
        &[
            (0.0, 0.4),
            (62.0, 2.1),
            (147.0, 3.0),
            (233.0, 5.2),
            (310.0, 6.1),
        ],
        0.0,
    );
    // As an independent library has it: the set `wear` of published/statistics.csv, 10% at 95%.
    let wanted = [513.584_405_621_2, 435.767_324_858_8, 641.426_078_579_8];
    let found = foretold(&season);
    for (found, wanted) in found.iter().zip(wanted) {
        assert!((found - wanted).abs() < 1e-6, "{found}, not {wanted}");
    }
    assert!((found[3] - 0.018_283).abs() < 1e-6, "{}", found[3]);
    let in_order = forecast(&season, &[], LIMIT);
    season.reverse();
    assert_eq!(forecast(&season, &[], LIMIT), in_order);
    // What the catches are known to within widens the interval once it is more than they scatter.
    for (u, widens) in [(1.1, false), (1.2, true)] {
        for catch in &mut season {
            catch.standard_uncertainty = u / 100.0;
        }
        let unsure = foretold(&season);
        assert!((unsure[0] - found[0]).abs() < 1e-9);
        assert_eq!(unsure[1] < found[1] && found[2] < unsure[2], widens);
    }
}

#[test]
fn why_nothing_is_foretold() {
    let nothing: &[(f64, f64)] = &[];
    for (of, u, words) in [
        (
            nothing,
            0.0,
            "no catch since the nozzles were fitted; a trend takes 3",
        ),
        (
            &[(0.0, 1.0)],
            0.0,
            "only 1 catch since the nozzles were fitted; a trend takes 3",
        ),
        (
            &[(0.0, 1.0), (300.0, 8.0)],
            0.0,
            "only 2 catches since the nozzles were fitted; a trend takes 3",
        ),
        (
            &[(80.0, 1.0), (80.0, 2.0), (80.0, 1.5)],
            0.0,
            "the hour meter reads the same at all 3 catches",
        ),
        (
            &[(0.0, 1.0), (100.0, 2.0), (200.0, 0.5), (310.0, 2.0)],
            0.0,
            "the flow has not grown more than its scatter in 4 catches over 310 h",
        ),
        // Without scatter and without growth.
        (
            &[(20.0, 1.0), (100.0, 1.0), (200.0, 1.0)],
            0.0,
            "the flow has not grown more than its scatter in 3 catches over 180 h",
        ),
        // On a line by chance, of catches that are known to 1.5% each.
        (
            &[(0.0, 1.0), (100.0, 2.0), (200.0, 3.0)],
            1.5,
            "the flow has not grown more than its uncertainty in 3 catches over 200 h",
        ),
        (
            &[(0.0, 6.0), (100.0, 4.1), (200.0, 1.9), (300.0, 0.0)],
            0.2,
            "the flow falls by 2.0% in 100 h",
        ),
        // Above the limit and falling towards it, which is no wear either.
        (
            &[(0.0, 16.0), (100.0, 14.1), (200.0, 12.0)],
            0.0,
            "the flow falls by 2.0% in 100 h",
        ),
        (
            &[(0.0, 4.0), (100.0, 6.1), (200.0, 7.9), (350.0, 11.0)],
            0.2,
            "the trend of the flow passed the limit 301 h after fitting",
        ),
        (
            &[(50.0, 11.0), (100.0, 12.1), (200.0, 13.9)],
            0.0,
            "the trend of the flow is past the limit from the first catch on",
        ),
        (
            &[(0.0, 1.0), (100.0, f64::NAN), (200.0, 3.0)],
            0.0,
            "a number is too large to reckon with",
        ),
        (
            &[(0.0, 1.0), (f64::INFINITY, 2.0), (200.0, 3.0)],
            0.0,
            "a number is too large to reckon with",
        ),
        (
            &[(0.0, 1.0), (100.0, 2.0), (200.0, 3.0)],
            f64::NAN,
            "a number is too large to reckon with",
        ),
    ] {
        match forecast(&catches(of, u), &[], LIMIT) {
            WearForecast::None(reason) => assert_eq!(reason.words(), words, "{of:?}"),
            WearForecast::Crosses { .. } => panic!("{words} is not said of {of:?}"),
        }
    }
    let grows = catches(&[(0.0, 1.0), (100.0, 2.0), (200.0, 3.0)], 0.0);
    for limit in [f64::NAN, f64::INFINITY] {
        assert_eq!(
            forecast(&grows, &[], limit),
            WearForecast::None(Reason::OutOfRange)
        );
    }
}

/// The hours at which the flow of simulated nozzles is at the limit.
const LIFE: f64 = 400.0;

/// How far a simulated catch is off by chance, in percent.
const SCATTER: f64 = 0.2;

const RUNS: u32 = 4_000;

/// In percent: as wear goes, with the root of the hours (Transactions of the ASAE 34, 1991; Illinois
/// Extension).
fn slowing(hours: f64) -> f64 {
    10.0 * (hours / LIFE).sqrt()
}

/// In percent: as a straight line takes it to go.
fn even(hours: f64) -> f64 {
    10.0 * hours / LIFE
}

/// Hours with what they lie within, for catches of so many percent at so many hours; none where the
/// trend has passed the limit.
type Forecast = fn(&[(f64, f64)]) -> Option<[f64; 3]>;

/// Against the hours, as the program does.
fn by_hours(caught: &[(f64, f64)]) -> Option<[f64; 3]> {
    match forecast(&catches(caught, 0.0), &[], LIMIT) {
        WearForecast::Crosses {
            at_hours,
            low,
            high,
            ..
        } => Some([low, at_hours, high]),
        WearForecast::None(Reason::Passed { .. }) => None,
        WearForecast::None(reason) => panic!("{}", reason.words()),
    }
}

/// Against the root of the hours, which the program does not do.
fn by_root(caught: &[(f64, f64)]) -> Option<[f64; 3]> {
    let roots: Vec<(f64, f64)> = caught
        .iter()
        .map(|(hours, percent)| (hours.sqrt(), percent / 100.0))
        .collect();
    let line = Line::through(&roots).ok()?;
    let crossing = line.crossing(LIMIT, Confidence::P95).ok()?;
    Some([crossing.low, crossing.value, crossing.high].map(|root| root * root))
}

/// What became of simulated sets of nozzles, caught every 25 hours.
struct Outcome {
    /// The middle one of the hours foretold.
    median: f64,
    /// In how many of all runs the true hours lay below the interval, in it, and above it.
    below_within_above: [f64; 3],
    /// In how many the trend had passed the limit.
    passed: f64,
}

fn simulated(wear: fn(f64) -> f64, up_to: u32, forecast: Forecast) -> Outcome {
    let mut chance = Chance::seeded(1);
    let mut at = Vec::new();
    let mut below_within_above = [0; 3];
    let mut passed = 0;
    for _ in 0..RUNS {
        let hours = (0..=up_to / 25).map(|nth| f64::from(25 * nth));
        let caught: Vec<(f64, f64)> = hours
            .map(|hours| (hours, wear(hours) + chance.normal(SCATTER)))
            .collect();
        let Some([low, middle, high]) = forecast(&caught) else {
            passed += 1;
            continue;
        };
        at.push(middle);
        let lies = usize::from(low <= LIFE) + usize::from(high < LIFE);
        below_within_above[lies] += 1;
    }
    at.sort_by(f64::total_cmp);
    let share = |n: u32| f64::from(n) / f64::from(RUNS);
    Outcome {
        median: at[at.len() / 2],
        below_within_above: below_within_above.map(share),
        passed: share(passed),
    }
}

/// The numbers of the module's own documentation.
#[test]
fn a_straight_line_foretells_wear_that_slows_too_early_and_never_too_late() {
    for (up_to, median, above) in [(150, 240.0, 0.97), (200, 274.0, 0.997), (300, 326.0, 0.996)] {
        let outcome = simulated(slowing, up_to, by_hours);
        assert!((outcome.median - median).abs() < 1.0, "{}", outcome.median);
        let [below, _, found_above] = outcome.below_within_above;
        assert!((found_above - above).abs() < 0.01, "{found_above}");
        assert!(below <= 0.0, "{below}");
    }
    // At 350 hours the flow is 9.4% off, and its trend past 10%.
    let outcome = simulated(slowing, 350, by_hours);
    assert!((outcome.passed - 0.82).abs() < 0.03, "{}", outcome.passed);
}

/// Why the program does not fit against the root: where wear does not slow, that is far too late.
#[test]
fn the_root_of_the_hours_errs_on_the_other_side() {
    for up_to in [150, 200, 300] {
        for (wear, forecast) in [
            (slowing as fn(f64) -> f64, by_root as Forecast),
            (even, by_hours),
        ] {
            let outcome = simulated(wear, up_to, forecast);
            assert!((outcome.median - LIFE).abs() < 2.0, "{}", outcome.median);
            let [_, within, _] = outcome.below_within_above;
            assert!((within - 0.95).abs() < 0.015, "{within}");
        }
    }
    for (up_to, median) in [(200, 877.0), (300, 611.0)] {
        let outcome = simulated(even, up_to, by_root);
        assert!((outcome.median - median).abs() < 5.0, "{}", outcome.median);
        let [below, ..] = outcome.below_within_above;
        assert!(0.99 < below, "{below}");
    }
}

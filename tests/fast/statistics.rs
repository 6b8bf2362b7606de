//! Straight lines against certified results, an independent library, a seeded simulation, and what must
//! not change them.

use crate::chance::Chance;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use swathlint::statistics::{Confidence, Interval, Line, NoCrossing, NoLine};

/// The points of one set, each x and y.
type Points = Vec<(f64, f64)>;

/// NIST Statistical Reference Datasets: Norris (calibration of ozone monitors).
fn norris() -> Points {
    let mut rows = include_str!("../published/norris.csv").lines();
    assert_eq!(rows.next(), Some("x,y,mark,source"));
    rows.map(|row| {
        let [x, y, ..] = row.split(',').collect::<Vec<_>>()[..] else {
            panic!("too few columns: {row}");
        };
        (x.parse().unwrap(), y.parse().unwrap())
    })
    .collect()
}

/// NIST Statistical Reference Datasets: `NoInt1` (generated).
fn no_int_1() -> Points {
    (0..11)
        .map(|n| (60.0 + f64::from(n), 130.0 + f64::from(n)))
        .collect()
}

/// NIST Statistical Reference Datasets: `NoInt2` (generated).
fn no_int_2() -> Points {
    vec![(4.0, 3.0), (5.0, 4.0), (6.0, 4.0)]
}

/// The sets of `published/statistics.py`, by their names.
fn sets() -> BTreeMap<&'static str, Points> {
    let clock = (0..12).map(|n| {
        let off = [0.1, -0.2, 0.05, 0.05][usize::try_from(n % 4).unwrap()];
        (1e6 + f64::from(n), 1e4 + 0.5 * f64::from(n) + off)
    });
    BTreeMap::from([
        ("norris", norris()),
        ("noint1", no_int_1()),
        ("noint2", no_int_2()),
        ("wear", wear()),
        ("clock", clock.collect()),
        (
            "steep",
            vec![(0.001, 5000.0), (0.002, 11_000.0), (0.0035, 17_000.0)],
        ),
    ])
}

/// Flow over rated as it may be caught over 310 hours.
fn wear() -> Points {
    vec![
        (0.0, 0.004),
        (62.0, 0.021),
        (147.0, 0.030),
        (233.0, 0.052),
        (310.0, 0.061),
    ]
}

/// How far two numbers are apart, in parts of the wanted one.
fn apart(found: f64, wanted: f64) -> f64 {
    if wanted == 0.0 {
        found.abs()
    } else {
        (found / wanted - 1.0).abs()
    }
}

#[track_caller]
fn assert_close(found: f64, wanted: f64, within: f64) {
    assert!(
        apart(found, wanted) < within,
        "{found:?}, not {wanted:?}: {:e}",
        apart(found, wanted)
    );
}

#[test]
fn certified_results() {
    // NIST Statistical Reference Datasets, certified values as printed there.
    let line = Line::through(&norris()).unwrap();
    assert_eq!(line.degrees_of_freedom, 34);
    for (found, certified) in [
        (line.intercept, -0.262_323_073_774_029),
        (line.intercept_deviation, 0.232_818_234_301_152),
        (line.slope, 1.002_116_818_020_45),
        (line.slope_deviation, 0.429_796_848_199_937e-3),
        (line.residual_deviation, 0.884_796_396_144_373),
    ] {
        assert_close(found, certified, 1e-11);
    }
    for (points, slope, slope_deviation, residual_deviation) in [
        (
            no_int_1(),
            2.074_380_165_289_26,
            0.016_528_925_619_834_7,
            3.567_530_340_063_38,
        ),
        (
            no_int_2(),
            0.727_272_727_272_727,
            0.042_082_731_807_843_2,
            0.369_274_472_937_998,
        ),
    ] {
        let line = Line::through_origin(&points).unwrap();
        assert_close(line.slope, slope, 1e-13);
        assert_close(line.slope_deviation, slope_deviation, 1e-13);
        assert_close(line.residual_deviation, residual_deviation, 1e-13);
        assert_eq!((line.intercept, line.intercept_deviation), (0.0, 0.0));
    }
}

/// Two passes keep what one pass over the squares loses altogether (as in NIST's `NumAcc3`).
#[test]
fn large_values_of_little_spread() {
    let near: Points = (0..501)
        .map(|n| {
            (
                f64::from(n),
                [0.2, 0.1, 0.3][usize::try_from(n % 3).unwrap()],
            )
        })
        .collect();
    let far: Points = near.iter().map(|(x, y)| (x + 1e8, y + 1e6)).collect();
    let (near, far) = (Line::through(&near).unwrap(), Line::through(&far).unwrap());
    // The data themselves are only given to 1e-10 up there.
    assert_close(far.residual_deviation, near.residual_deviation, 1e-8);
    assert_close(far.sxx, near.sxx, 1e-13);
    assert_close(far.mean_x - 1e8, near.mean_x, 1e-13);
}

#[test]
fn an_independent_library_agrees() {
    let sets = sets();
    let mut rows = include_str!("../published/statistics.csv").lines();
    assert_eq!(
        rows.next(),
        Some("set,line,asked,at,confidence,value,low,high")
    );
    let mut seen = BTreeSet::new();
    for row in rows {
        let [set, free, asked, at, confidence, value, low, high] =
            row.split(',').collect::<Vec<_>>()[..]
        else {
            panic!("not eight columns: {row}");
        };
        seen.insert(asked);
        let number = |text: &str| -> f64 { text.parse().unwrap() };
        let confidence = || Confidence::new(number(confidence)).unwrap();
        if asked == "t" {
            let t = match at {
                "normal" => confidence().two_sided_normal(),
                freedom => confidence().two_sided(freedom.parse().unwrap()).unwrap(),
            };
            assert!(apart(t, number(value)) < 1e-12, "{t}: {row}");
            continue;
        }
        let points = &sets[set];
        let line = match free {
            "free" => Line::through(points).unwrap(),
            "origin" => Line::through_origin(points).unwrap(),
            other => panic!("no line is {other}"),
        };
        let interval = |found: Interval| vec![found.value, found.low, found.high];
        let found = match asked {
            "intercept" => vec![line.intercept, line.intercept_deviation],
            "slope" => vec![line.slope, line.slope_deviation],
            "residual" => vec![line.residual_deviation],
            "band" => interval(line.band(number(at), confidence()).unwrap()),
            "prediction" => interval(line.prediction(number(at), confidence()).unwrap()),
            "crossing" => match line.crossing(number(at), confidence()) {
                Ok(found) => interval(found),
                Err(reason) => {
                    assert_eq!(reason, NoCrossing::SlopeNotSignificant);
                    assert_eq!(value, "not significant", "{row}");
                    continue;
                }
            },
            other => panic!("nothing is called {other}"),
        };
        let wanted = [value, low, high].map(|text| text.parse::<f64>().ok());
        let n_wanted = wanted.iter().flatten().count();
        assert_eq!(found.len(), n_wanted, "{row}");
        for (found, wanted) in found.iter().zip(wanted.iter().flatten()) {
            assert!(apart(*found, *wanted) < 1e-9, "{found}: {row}");
        }
    }
    assert_eq!(seen.len(), 7, "{seen:?}");
}

#[test]
fn confidence_is_between_none_and_full() {
    for wrong in [0.0, 1.0, -0.1, 1.1, f64::NAN, f64::INFINITY] {
        assert_eq!(Confidence::new(wrong), None);
    }
    assert_eq!(Confidence::P95.two_sided(0), None);
    // As sure as a number can be: still a number, and the more certain the wider.
    let surest = Confidence::new(1.0 - f64::EPSILON).unwrap();
    for freedom in [1, 2, 3, 4, 50, 1001] {
        let t = surest.two_sided(freedom).unwrap();
        assert!(t.is_finite() && Confidence::P95.two_sided(freedom).unwrap() < t);
    }
    // With many degrees of freedom it is the normal distribution's.
    let normal = Confidence::P95.two_sided_normal();
    assert_close(Confidence::P95.two_sided(100_000).unwrap(), normal, 2e-5);
    assert!(surest.two_sided_normal().is_finite() && normal < surest.two_sided_normal());
}

#[test]
fn what_gives_no_line() {
    let (nan, infinite) = (f64::NAN, f64::INFINITY);
    for (points, reason) in [
        (&[][..], NoLine::TooFewPoints),
        (&[(1.0, 1.0)], NoLine::TooFewPoints),
        (&[(1.0, nan)], NoLine::OutOfRange),
        (&[(0.0, 1.0), (0.0, 2.0), (0.0, 3.0)], NoLine::AllAtOneX),
        (&[(0.0, 1.0), (-0.0, 2.0), (0.0, 3.0)], NoLine::AllAtOneX),
        (
            &[(1e-200, 1.0), (2e-200, 2.0), (3e-200, 3.0)],
            NoLine::AllAtOneX,
        ),
        (&[(1.0, 2.0), (nan, 2.0), (3.0, 1.0)], NoLine::OutOfRange),
        (&[(1.0, 2.0), (2.0, nan), (3.0, 1.0)], NoLine::OutOfRange),
        (
            &[(1.0, 2.0), (2.0, infinite), (3.0, 1.0)],
            NoLine::OutOfRange,
        ),
        (
            &[(1.0, 2.0), (-infinite, 3.0), (3.0, 1.0)],
            NoLine::OutOfRange,
        ),
        (
            &[(-1e308, 0.0), (0.0, 1.0), (1e308, 2.0)],
            NoLine::OutOfRange,
        ),
    ] {
        assert_eq!(Line::through(points), Err(reason), "{points:?}");
        assert_eq!(Line::through_origin(points), Err(reason), "{points:?}");
    }
    // A tenth is no binary fraction: means of it must not make a spread of their own.
    let tenths = [(0.1, 1.0), (0.1, 2.0), (0.1, 3.0)];
    assert_eq!(Line::through(&tenths), Err(NoLine::AllAtOneX));
    // Two points always lie on a line, and tell nothing of their scatter.
    let two = [(1.0, 1.0), (2.0, 2.0)];
    assert_eq!(Line::through(&two), Err(NoLine::TooFewPoints));
    assert!(Line::through_origin(&two).is_ok());
}

#[test]
fn points_on_a_line_leave_no_doubt() {
    let points: Points = (0..5)
        .map(|n| (f64::from(n), 3.0 + 0.5 * f64::from(n)))
        .collect();
    let line = Line::through(&points).unwrap();
    assert_eq!((line.intercept, line.slope), (3.0, 0.5));
    assert_eq!((line.residual_deviation, line.slope_deviation), (0.0, 0.0));
    let exact = |value| Interval {
        value,
        low: value,
        high: value,
    };
    let confidence = Confidence::P95;
    assert_eq!(line.band(10.0, confidence), Some(exact(8.0)));
    assert_eq!(line.prediction(10.0, confidence), Some(exact(8.0)));
    assert_eq!(line.crossing(8.0, confidence), Ok(exact(10.0)));
    assert_eq!(line.rises_to(8.0, 9.5, confidence), Ok(exact(10.0)));
    assert_eq!(
        line.rises_to(8.0, 10.0, confidence),
        Err(NoCrossing::AlreadyCrossed)
    );
    let flat = [(0.0, 0.1), (1.0, 0.1), (2.0, 0.1)];
    let flat = Line::through(&flat).unwrap();
    assert_eq!(flat.prediction(9.0, confidence), Some(exact(0.1)));
    assert_eq!(
        flat.crossing(0.1, confidence),
        Err(NoCrossing::SlopeNotSignificant)
    );
}

#[test]
fn a_scatter_known_beforehand_is_the_least_there_is() {
    let confidence = Confidence::P95;
    let line = Line::through(&wear()).unwrap();
    let seen = line.crossing(0.1, confidence).unwrap();
    let t = confidence.two_sided(3).unwrap();
    let as_seen = line.residual_deviation * t / confidence.two_sided_normal();
    for nothing_more in [0.0, -1.0, f64::NAN, f64::INFINITY, 0.99 * as_seen] {
        let line = line.scattering_at_least(nothing_more);
        assert_eq!(line.crossing(0.1, confidence), Ok(seen));
    }
    // Twice as much is twice as wide.
    let unsure = line.scattering_at_least(2.0 * as_seen);
    for x in [0.0, 310.0, 500.0] {
        let (one, two) = (line.band(x, confidence), unsure.band(x, confidence));
        let (one, two) = (one.unwrap(), two.unwrap());
        assert_close(two.high - two.value, 2.0 * (one.high - one.value), 1e-12);
    }
    let wider = unsure.crossing(0.1, confidence).unwrap();
    assert!(wider.low < seen.low && seen.high < wider.high);
    assert_close(wider.value, seen.value, 1e-15);
    let slope_lost = line.slope * line.sxx.sqrt() / confidence.two_sided_normal();
    for (of_that, is_told) in [(0.999, true), (1.001, false)] {
        let line = line.scattering_at_least(of_that * slope_lost);
        assert_eq!(line.crossing(0.1, confidence).is_ok(), is_told);
    }
    let exact = Line::through(&[(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)]).unwrap();
    let band = exact
        .scattering_at_least(0.1)
        .band(1.0, confidence)
        .unwrap();
    assert_close(
        band.high,
        1.0 + 0.195_996_398_454_005 / 3.0_f64.sqrt(),
        1e-12,
    );
}

#[test]
fn what_gives_no_crossing() {
    let confidence = Confidence::P95;
    let rising = Line::through(&wear()).unwrap();
    let mirrored: Points = wear().iter().map(|(x, y)| (*x, -y)).collect();
    let falling = Line::through(&mirrored).unwrap();
    assert!(rising.rises_to(0.1, 310.0, confidence).is_ok());
    for (line, level, from, reason) in [
        (rising, 0.05, 310.0, NoCrossing::AlreadyCrossed),
        (rising, -0.05, 310.0, NoCrossing::AlreadyCrossed),
        (falling, 0.1, 310.0, NoCrossing::FallsAway),
        (falling, -0.1, 310.0, NoCrossing::AlreadyCrossed),
        (rising, f64::NAN, 310.0, NoCrossing::OutOfRange),
        (rising, f64::INFINITY, 310.0, NoCrossing::OutOfRange),
        (rising, 0.1, f64::NAN, NoCrossing::OutOfRange),
        (rising, 0.1, f64::NEG_INFINITY, NoCrossing::OutOfRange),
    ] {
        assert_eq!(line.rises_to(level, from, confidence), Err(reason));
    }
    for x in [f64::NAN, f64::INFINITY, f64::MAX] {
        assert_eq!(rising.band(x, confidence), None);
        assert_eq!(rising.prediction(x, confidence), None);
    }
    // Where the slope is told from none at 95%, it is not at the confidence that its t has.
    let t = rising.slope / rising.slope_deviation;
    let t_of = |confidence: Confidence| confidence.two_sided(3).unwrap();
    for thousandth in (1..1000).map(f64::from) {
        let confidence = Confidence::new(thousandth / 1000.0).unwrap();
        assert_eq!(
            rising.crossing(0.1, confidence).is_ok(),
            t_of(confidence) < t,
            "{confidence:?}"
        );
    }
}

/// Of 20,000 runs, 95% hold the truth to 0.7%, four and a half times what chance does to that number.
#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    const RUNS: u32 = 20_000;
    /// Where the machine is caught, in hours; how much a catch is off by chance.
    const DESIGNS: [(&[f64], f64); 3] = [
        (&[0.0, 60.0, 150.0, 230.0, 310.0], 0.003),
        (&[0.0, 100.0, 200.0], 0.000_1),
        (&[5.0, 6.0, 7.0, 300.0, 310.0, 400.0, 420.0, 430.0], 0.008),
    ];
    let truth = |hours: f64| 0.01 + 0.000_2 * hours;
    let (level, crossing, ahead) = (0.1, 450.0, 600.0);
    for (seed, (hours, scatter)) in (1..).zip(DESIGNS) {
        let mut chance = Chance::seeded(seed);
        let mut held = [0_u32; 3];
        for _ in 0..RUNS {
            let points: Points = hours
                .iter()
                .map(|x| (*x, truth(*x) + chance.normal(scatter)))
                .collect();
            let another = truth(ahead) + chance.normal(scatter);
            let line = Line::through(&points).unwrap();
            let crosses = line.crossing(level, Confidence::P95).unwrap();
            let band = line.band(ahead, Confidence::P95).unwrap();
            let prediction = line.prediction(ahead, Confidence::P95).unwrap();
            for (nth, (interval, wanted)) in [
                (crosses, crossing),
                (band, truth(ahead)),
                (prediction, another),
            ]
            .into_iter()
            .enumerate()
            {
                held[nth] += u32::from(interval.low <= wanted && wanted <= interval.high);
            }
        }
        for held in held.map(|held| f64::from(held) / f64::from(RUNS)) {
            assert!((held - 0.95).abs() < 0.007, "{held} at {hours:?}");
        }
    }
}

/// Points with a slope and a scatter, at different x.
fn scattered() -> impl Strategy<Value = Points> {
    // Few enough places that some are taken twice.
    let point = (0_i32..20, -1.0..1.0_f64);
    (
        prop::collection::vec(point, 3..12),
        -2.0..2.0_f64,
        -50.0..50.0_f64,
    )
        .prop_map(|(points, slope, intercept)| {
            points
                .into_iter()
                .map(|(step, off)| {
                    let x = f64::from(step) * 20.1;
                    (x, intercept + slope * x + off)
                })
                .collect()
        })
        .prop_filter("all at one x", |points: &Points| {
            points.iter().any(|(x, _)| (x - points[0].0).abs() > 1.0)
        })
}

/// Every number a line gives, with where it crosses `level` and what it predicts at `x`.
fn all_of(line: &Line, x: f64, level: f64) -> Vec<f64> {
    let crossing = line.crossing(level, Confidence::P95).ok();
    let prediction = line.prediction(x, Confidence::P95);
    let ends = [crossing, prediction];
    let ends = ends.iter().flatten();
    ends.flat_map(|interval| [interval.value, interval.low, interval.high])
        .chain([
            line.intercept,
            line.slope,
            line.intercept_deviation,
            line.slope_deviation,
            line.residual_deviation,
            line.sxx,
        ])
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// The order in which points are listed changes no bit.
    #[test]
    fn order_does_not_matter(
        (points, shuffled) in scattered().prop_flat_map(|points| {
            (Just(points.clone()), Just(points).prop_shuffle())
        })
    ) {
        for lay in [Line::through, Line::through_origin] {
            let (line, other) = (lay(&points).unwrap(), lay(&shuffled).unwrap());
            prop_assert_eq!(all_of(&line, 500.0, 7.0), all_of(&other, 500.0, 7.0));
        }
    }

    /// Other units of x and y, exactly converted, give the same line in those units.
    #[test]
    fn units_do_not_matter(points in scattered(), by_x in -20_i32..20, by_y in -20_i32..20) {
        // Powers of two scale without rounding, so every number must scale exactly.
        let two_to = |power: i32| (0..power.abs()).fold(1.0, |product: f64, _| {
            if power < 0 { product / 2.0 } else { product * 2.0 }
        });
        let (by_x, by_y) = (two_to(by_x), two_to(by_y));
        let scaled: Points = points.iter().map(|(x, y)| (x * by_x, y * by_y)).collect();
        for lay in [Line::through, Line::through_origin] {
            let (line, other) = (lay(&points).unwrap(), lay(&scaled).unwrap());
            prop_assert_eq!(
                (line.slope * by_y / by_x, line.intercept * by_y, line.residual_deviation * by_y),
                (other.slope, other.intercept, other.residual_deviation)
            );
            prop_assert_eq!(
                line.crossing(7.0, Confidence::P95).map(|found| (found.low * by_x, found.high * by_x)),
                other.crossing(7.0 * by_y, Confidence::P95).map(|found| (found.low, found.high))
            );
            prop_assert_eq!(
                line.prediction(500.0, Confidence::P95).map(|found| (found.low * by_y, found.high * by_y)),
                other.prediction(500.0 * by_x, Confidence::P95).map(|found| (found.low, found.high))
            );
        }
    }

    /// Counting x or y from elsewhere moves what is found by as much, and no width.
    #[test]
    fn where_counting_begins_does_not_matter(
        points in scattered(),
        on_x in -1000_i32..1000,
        on_y in -1000_i32..1000,
    ) {
        let (on_x, on_y) = (f64::from(on_x), f64::from(on_y));
        let moved: Points = points.iter().map(|(x, y)| (x + on_x, y + on_y)).collect();
        let (line, other) = (Line::through(&points).unwrap(), Line::through(&moved).unwrap());
        let same = |one: f64, other: f64| (one - other).abs() <= 1e-9 * one.abs().max(1.0);
        prop_assert!(same(line.slope, other.slope));
        prop_assert!(same(line.residual_deviation, other.residual_deviation));
        prop_assert!(same(line.slope_deviation, other.slope_deviation));
        prop_assert!(same(line.at(500.0) + on_y, other.at(500.0 + on_x)));
        let (one, two) = (
            line.prediction(500.0, Confidence::P95).unwrap(),
            other.prediction(500.0 + on_x, Confidence::P95).unwrap(),
        );
        prop_assert!(same(one.high - one.low, two.high - two.low));
        prop_assert!(same(one.low + on_y, two.low));
        // A slope that hardly differs from none sends the ends too far away to compare.
        let steep = 1.1 * Confidence::P95.two_sided(line.degrees_of_freedom).unwrap();
        if steep * line.slope_deviation < line.slope.abs() {
            let one = line.crossing(7.0, Confidence::P95).unwrap();
            let two = other.crossing(7.0 + on_y, Confidence::P95).unwrap();
            for (one, two) in [(one.low, two.low), (one.value, two.value), (one.high, two.high)] {
                prop_assert!((one + on_x - two).abs() <= 1e-6 * (one.abs() + 1.0), "{one} {two}");
            }
        }
    }

    /// The ends of a crossing are where the band about the line meets the level, and nowhere else.
    #[test]
    fn a_crossing_ends_where_the_band_meets_the_level(points in scattered(), level in -60.0..60.0_f64) {
        for lay in [Line::through, Line::through_origin] {
            let line = lay(&points).unwrap();
            let Ok(found) = line.crossing(level, Confidence::P95) else { continue };
            prop_assert!(found.low <= found.value && found.value <= found.high);
            for end in [found.low, found.high] {
                let band = line.band(end, Confidence::P95).unwrap();
                let off = (band.low - level).abs().min((band.high - level).abs());
                let scale = line.residual_deviation + level.abs() + line.slope.abs() * end.abs();
                prop_assert!(off <= 1e-7 * scale, "{off:e} at {end}");
            }
        }
    }

    /// Whatever the points, no number is none, and ends are in order.
    #[test]
    fn never_not_a_number(
        points in prop::collection::vec((any::<f64>(), any::<f64>()), 0..6),
        at in any::<f64>(),
    ) {
        for line in [Line::through(&points), Line::through_origin(&points)].into_iter().flatten() {
            prop_assert!([line.intercept, line.slope, line.intercept_deviation, line.slope_deviation,
                line.residual_deviation, line.mean_x, line.mean_y, line.sxx]
                .iter().all(|value| value.is_finite()));
            let found = [
                line.band(at, Confidence::P95),
                line.prediction(at, Confidence::P95),
                line.crossing(at, Confidence::P95).ok(),
                line.rises_to(at, 0.0, Confidence::P95).ok(),
            ];
            for interval in found.iter().flatten() {
                prop_assert!(interval.low.is_finite() && interval.high.is_finite());
                prop_assert!(interval.low <= interval.value && interval.value <= interval.high);
            }
        }
    }
}

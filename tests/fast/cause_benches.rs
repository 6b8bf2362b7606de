//! Causes of one machine's visits, each as a slip or a fault would leave it: what is told first, with what beside it, and what is not.

use crate::bench_visit::{Visit, list};
use swathlint::cause::{At, CauseSet, Explanation, Toward, Value, explain};

/// What is said of a visit: causes that are told, with their rivals, and where.
fn said(visit: &Visit) -> (Vec<(String, Option<String>, At)>, Explanation) {
    let causes = CauseSet::built_in();
    let explanation = explain(&visit.readings(), causes).unwrap();
    let name = |row: &swathlint::cause::Row| causes.causes()[row.cause].id.clone();
    let told = explanation.causes.iter().map(|told| {
        let rival = told.rival.as_ref().map(name);
        (name(&told.row), rival, told.row.best.hypothesis.at.clone())
    });
    (told.collect(), explanation)
}

/// What must be said first.
enum First {
    /// Nothing.
    Nothing,
    /// One of these, whatever is beside it.
    Either(&'static [&'static str]),
    /// These two, one beside the other.
    Both(&'static str, &'static str),
    /// These causes at these places, in any order, and no others.
    All(&'static [(&'static str, At)]),
}

use First::{All, Both, Either, Nothing};

/// Each case: what is other than in the good visit, and what must be said.
fn cases() -> Vec<(&'static str, Visit, First)> {
    let of = |change: &dyn Fn(&mut Visit)| {
        let mut visit = Visit::good();
        change(&mut visit);
        visit
    };
    let caught = |numbers: &str| of(&|visit: &mut Visit| visit.caught = list(numbers, "fl oz"));
    let one = |at: usize, text: &str| of(&|visit: &mut Visit| visit.caught[at] = text.to_owned());
    let own = str::to_owned;
    vec![
        ("good", Visit::good(), Nothing),
        (
            "time-tenth",
            of(&|v| v.duration = own("3.0 s")),
            Either(&["time-misread"]),
        ),
        (
            "time-half",
            caught("25.5 25.5 26.0 25.5 25.5 26.0 26.0 25.5 25.5"),
            Either(&["time-misread"]),
        ),
        (
            "time-minutes",
            of(&|v| v.duration = own("30 min")),
            Either(&["time-misread"]),
        ),
        (
            "time-half-of-boom",
            caught("51.5 51.5 52.0 51.0 25.5 25.5 26.0 25.5 25.5"),
            Either(&["time-misread", "jug-wrong"]),
        ),
        (
            "tip-half",
            one(4, "25.5 fl oz"),
            Both("tip-plugged", "time-misread"),
        ),
        (
            "list-in-ml",
            of(&|v| v.caught = list("1520 1520 1530 1510 1520 1520 1530 1520 1510", "fl oz")),
            Either(&["unit-mistaken"]),
        ),
        (
            "one-in-ml",
            one(4, "1520 fl oz"),
            All(&[("unit-mistaken", At::Nozzle(4))]),
        ),
        (
            "point-slipped",
            one(4, "515 fl oz"),
            All(&[("point-slipped", At::Nozzle(4))]),
        ),
        (
            "digits-swapped",
            one(4, "15.5 fl oz"),
            Both("digits-swapped", "tip-plugged"),
        ),
        (
            "jug-changed",
            caught("51.5 51.5 52.0 51.0 54.5 54.5 55.0 54.5 54.0"),
            All(&[("jug-wrong", At::FromNozzle(4))]),
        ),
        (
            "scale-not-zeroed",
            of(&|v| {
                v.is_weighed = true;
                v.caught = list("62.2 62.2 62.7 61.7 62.2 62.2 62.7 62.2 61.7", "wt oz");
            }),
            Either(&["jug-wrong"]),
        ),
        (
            "tip-of-06",
            one(4, "38.5 fl oz"),
            Either(&["tip-other-size"]),
        ),
        (
            "sheet-size",
            of(&|v| v.gpm = 0.6),
            Either(&["sheet-size-wrong"]),
        ),
        (
            "caught-at-30",
            caught("44.5 44.5 45.0 44.0 44.5 44.5 45.0 44.5 44.0"),
            Both("pressure-misread", "jug-wrong"),
        ),
        (
            "section-starved",
            caught("51.5 51.5 52.0 51.0 51.5 51.5 43.5 43.0 43.5"),
            All(&[("section-starved", At::Section(2))]),
        ),
        (
            "dead-nozzle",
            one(4, "0 fl oz"),
            All(&[("tip-plugged", At::Nozzle(4))]),
        ),
        (
            "dead-section",
            caught("51.5 51.5 52.0 51.0 51.5 51.5 0 0 0"),
            All(&[("section-starved", At::Section(2))]),
        ),
        (
            "dead-nozzle-and-worn",
            caught("51.5 58.0 52.0 51.0 51.5 51.5 52.0 0 51.0"),
            All(&[("tip-worn", At::Nozzle(1)), ("tip-plugged", At::Nozzle(7))]),
        ),
        (
            "dead-nozzle-and-list-in-ml",
            of(&|v| v.caught = list("1520 1520 1530 1510 0 1520 1530 1520 1510", "fl oz")),
            All(&[
                ("unit-mistaken", At::Every(swathlint::cause::Of::Caught)),
                ("tip-plugged", At::Nozzle(4)),
            ]),
        ),
        (
            "dead-nozzle-and-time-minutes",
            of(&|v| {
                v.duration = own("30 min");
                v.caught[4] = own("0 fl oz");
            }),
            All(&[
                ("time-misread", At::Value(Value::Collected(0))),
                ("tip-plugged", At::Nozzle(4)),
            ]),
        ),
        (
            "worn-volume-agrees",
            of(&|v| {
                v.caught = list("57.5 57.0 57.5 57.0 57.5 57.0 57.5 57.0 57.5", "fl oz");
                v.known = own("56.3 gal");
                v.shown = own("56.4 gal");
            }),
            Both("set-worn", "gauge-wrong"),
        ),
        (
            "worn-volume-denies",
            caught("57.5 57.0 57.5 57.0 57.5 57.0 57.5 57.0 57.5"),
            Both("jug-wrong", "pressure-misread"),
        ),
        (
            "three-worn",
            caught("51.5 58.0 58.5 51.0 51.5 58.0 52.0 51.5 51.0"),
            All(&[
                ("tip-worn", At::Nozzle(1)),
                ("tip-worn", At::Nozzle(2)),
                ("tip-worn", At::Nozzle(5)),
            ]),
        ),
        (
            "four-worn",
            caught("51.5 58.0 58.5 51.0 51.5 58.0 52.0 58.0 51.0"),
            All(&[
                ("tip-worn", At::Nozzle(1)),
                ("tip-worn", At::Nozzle(2)),
                ("tip-worn", At::Nozzle(5)),
                ("tip-worn", At::Nozzle(7)),
            ]),
        ),
        (
            "worn-and-plugged",
            caught("51.5 51.5 58.0 51.0 51.5 51.5 46.0 51.5 51.0"),
            All(&[("tip-worn", At::Nozzle(2)), ("tip-plugged", At::Nozzle(6))]),
        ),
        (
            "both-ends-low",
            caught("46.0 51.5 52.0 51.0 51.5 51.5 52.0 51.5 46.0"),
            All(&[
                ("tip-plugged", At::Nozzle(0)),
                ("tip-plugged", At::Nozzle(8)),
            ]),
        ),
        (
            "falls-to-right",
            caught("53.5 53.0 52.5 52.0 51.5 50.5 49.5 49.0 48.5"),
            All(&[("pressure-falls", At::Toward(Toward::Right))]),
        ),
        (
            "known-shown-swapped",
            of(&|v| {
                v.known = own("53.2 gal");
                v.shown = own("50.1 gal");
                v.factor = (620.0, 658.0);
            }),
            Either(&["values-exchanged"]),
        ),
        (
            "factor-turned",
            of(&|v| {
                v.shown = own("53.2 gal");
                v.factor = (620.0, 584.0);
            }),
            Either(&["factor-turned"]),
        ),
        (
            "known-in-liters",
            of(&|v| v.known = own("189.6 gal")),
            All(&[("unit-mistaken", At::Value(Value::KnownVolume))]),
        ),
        (
            "course-20-ft",
            of(&|v| v.course = own("20 ft")),
            All(&[("point-slipped", At::Value(Value::Course))]),
        ),
        (
            "course-in-m",
            of(&|v| v.course = own("200 m")),
            All(&[("unit-mistaken", At::Value(Value::Course))]),
        ),
        (
            "run-in-min",
            of(&|v| v.elapsed[0] = own("45.4 min")),
            All(&[("time-misread", At::Value(Value::Elapsed(0)))]),
        ),
        (
            "spacing-in-cm",
            of(&|v| v.spacing = own("20 cm")),
            All(&[("unit-mistaken", At::Value(Value::Spacing))]),
        ),
        (
            "sheet-pressure-bar",
            of(&|v| v.setup_pressure = own("40 bar")),
            All(&[("unit-mistaken", At::Value(Value::SetupPressure))]),
        ),
        (
            "catch-pressure-bar",
            of(&|v| v.pressure = own("40 bar")),
            All(&[("unit-mistaken", At::Value(Value::Pressure))]),
        ),
        (
            "sheet-rate-per-1000",
            of(&|v| v.rate = own("79 gal/1000 ft2")),
            All(&[("unit-mistaken", At::Value(Value::SetupRate))]),
        ),
        (
            "sheet-sum",
            of(&|v| v.speed = own("4 mph")),
            All(&[("sheet-sum-wrong", At::Value(Value::SetupSpeed))]),
        ),
        (
            "bypass-wrong-way",
            of(&|v| {
                v.found[0] = 86.0;
                v.left = vec![90.0];
            }),
            All(&[("bypass-turned-wrong", At::Section(0))]),
        ),
        (
            "wrong-nozzle-recaught",
            of(&|v| {
                v.caught[2] = own("58.0 fl oz");
                v.retest = Some((6, own("51.5 fl oz"), own("30 s")));
            }),
            All(&[
                ("tip-worn", At::Nozzle(2)),
                ("wrong-nozzle-recaught", At::Nozzle(6)),
            ]),
        ),
        (
            "retest-time",
            of(&|v| {
                v.caught[2] = own("58.0 fl oz");
                v.retest = Some((2, own("51.0 fl oz"), own("15 s")));
            }),
            All(&[
                ("time-misread", At::Value(Value::CollectedAgain(0))),
                ("tip-worn", At::Nozzle(2)),
            ]),
        ),
        (
            "copied",
            of(&|v| {
                v.caught = list("51.5 51.0 51.0 51.0 50.5 51.0 51.0 51.5 51.0", "fl oz");
                v.chance_of_copy = Some(2e-6);
            }),
            All(&[(
                "copied-from-last-visit",
                At::Every(swathlint::cause::Of::Caught),
            )]),
        ),
    ]
}

/// Nothing caught is a reading like any other, and each reading has the name it is stored under.
#[test]
fn each_reading_of_a_nozzle_is_one_value() {
    let mut readings = swathlint::cause::Readings::of_boom(&[3], 0.015);
    assert_eq!(readings.catch(0, f64::NAN, Some(30.0)), None);
    assert_eq!(readings.catch_nothing(0, 1e-7), Some(Value::Caught(0)));
    assert_eq!(readings.catch(0, 1e-3, Some(30.0)), Some(Value::Repeat(0)));
    assert_eq!(readings.catch(0, -1.0, Some(30.0)), None);
    assert_eq!(readings.catch_nothing(0, 1e-7), Some(Value::Repeat(1)));
    assert_eq!(readings.catch(1, 1e-3, Some(30.0)), Some(Value::Caught(1)));
    assert!(readings.is_zero(Value::Caught(0)) && readings.is_zero(Value::Repeat(1)));
    assert!(!readings.is_zero(Value::Repeat(0)));
    // What was read as 0 is as little after any time.
    let lists = [
        Value::Caught(0),
        Value::Repeat(0),
        Value::Repeat(1),
        Value::Caught(1),
    ];
    assert_eq!(
        lists.map(|of| readings.list_of(of)),
        [None, Some(0), None, Some(0)]
    );
}

/// A run without a time hides none of those after it.
#[test]
fn runs_after_one_that_is_missing_are_looked_at() {
    let mut visit = Visit::good();
    visit.elapsed = list("45.4 45.7 45.5 4.55", "s");
    let mut all = visit.readings();
    all.known.size = None;
    let causes = CauseSet::built_in();
    let mut readings = swathlint::cause::Readings::of_boom(&[3, 3, 3], 0.015);
    for of in [Value::Course, Value::SetupSpeed] {
        readings.put(of, all.get(of).unwrap());
    }
    for run in 1..4 {
        let (elapsed, shown) = (Value::Elapsed(run), Value::ShownDistance(run));
        readings.put_written(elapsed, all.written(elapsed).unwrap());
        readings.put_written(shown, all.written(shown).unwrap());
    }
    let explanation = explain(&readings, causes).unwrap();
    let told = &explanation.causes.first().unwrap().row;
    let at = &told.best.hypothesis.at;
    assert_eq!(*at, At::Value(Value::Elapsed(3)), "{told:?}");
}

#[test]
fn each_bench_has_its_cause() {
    let mut wrong = Vec::new();
    for (name, visit, first) in cases() {
        let (told, explanation) = said(&visit);
        let is_right = match (&first, told.as_slice()) {
            (Nothing, told) => told.is_empty(),
            (Either(ids), [(id, ..), ..]) => ids.contains(&id.as_str()),
            (Both(one, other), [(id, Some(rival), _)]) => {
                (id == one && rival == other) || (id == other && rival == one)
            }
            (All(wanted), told) => {
                wanted.len() == told.len()
                    && wanted.iter().all(|(id, at)| {
                        told.iter()
                            .any(|(told, _, told_at)| told == id && told_at == at)
                    })
            }
            _ => false,
        };
        if !is_right {
            let causes = CauseSet::built_in();
            let rows = explanation.first.rows.iter().take(4);
            let rows = rows.map(|row| {
                let id = &causes.causes()[row.cause].id;
                format!(
                    "{id} {:.3} ln {:.1} at {:?} size {:.3}",
                    row.share, row.ln_evidence, row.best.hypothesis.at, row.best.size
                )
            });
            wrong.push(format!(
                "{name}: {told:?}\n    {}",
                rows.collect::<Vec<_>>().join("\n    ")
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

//! How likely readings are under each cause, and the shares that follow: worked examples, and a second implementation's over many
//! booms.

use std::collections::BTreeMap;
use swathlint::cause::{
    About, By, Cause, CauseSet, Effect, Kind, Mend, Of, Part, Reach, Readings, Row, Value, explain,
};

const FLUID_OUNCE: f64 = 29.573_529_562_5e-6;
const IMPERIAL_FLUID_OUNCE: f64 = 28.413_062_5e-6;
const GPM: f64 = 0.003_785_411_784 / 60.0;
const PSI: f64 = 8_896_443_230_521.0 / 1_290_320_000.0;

/// A cause of one mend, without texts.
fn cause(id: &str, prior: f64, kind: Kind) -> Cause {
    Cause {
        id: id.to_owned(),
        since: String::new(),
        told: id != "healthy",
        mends: vec![Mend { prior, kind }],
        gives_way_to: Vec::new(),
        about: About::Nothing,
        title: String::new(),
        message: String::new(),
        next: Vec::new(),
        told_apart: BTreeMap::new(),
        why: String::new(),
        sources: Vec::new(),
    }
}

/// A row of `tests/published/causes.csv`.
struct Case(BTreeMap<String, String>);

impl Case {
    fn all() -> Vec<Self> {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/published/causes.csv");
        let mut reader = csv::Reader::from_path(path).unwrap();
        reader.deserialize().map(|row| Self(row.unwrap())).collect()
    }

    fn number(&self, column: &str) -> f64 {
        self.0[column].parse().unwrap()
    }

    fn numbers(&self, column: &str) -> Vec<f64> {
        let words = self.0[column].split(' ');
        words.map(|word| word.parse().unwrap()).collect()
    }

    fn causes(&self) -> CauseSet {
        let effect = |name: &str| self.number(&format!("effect {name}"));
        let flow = |part, effect| Kind::Flow { part, effect };
        let size = |part| Kind::Size { part, nearest: 4 };
        let way: fn(f64) -> Effect = match self.0["way"].as_str() {
            "more" => Effect::More,
            "either" => Effect::Either,
            other => panic!("no way is called {other}"),
        };
        let imperial = IMPERIAL_FLUID_OUNCE / FLUID_OUNCE;
        CauseSet::of(vec![
            cause("healthy", 0.60, Kind::Nothing),
            cause(
                "tip",
                0.12,
                flow(Part::Nozzle, Effect::Either(effect("tip"))),
            ),
            cause(
                "section",
                0.05,
                flow(Part::Section, Effect::Either(effect("section"))),
            ),
            cause(
                "tilt",
                0.03,
                Kind::Tilt {
                    effect: way(effect("tilt")),
                },
            ),
            cause("tip-of-size", 0.05, size(Part::Nozzle)),
            cause("section-of-size", 0.02, size(Part::Section)),
            cause("worn", 0.06, flow(Part::Set, Effect::More(effect("worn")))),
            cause(
                "gauge",
                0.03,
                Kind::Instrument {
                    of: Of::Gauge,
                    effect: Effect::Either(effect("gauge")),
                },
            ),
            cause(
                "unit",
                0.02,
                Kind::Scale {
                    of: vec![Of::Caught],
                    reach: Reach::All,
                    by: By::Ratios(vec![imperial, 1.0 / imperial, 2.0, 0.5]),
                },
            ),
            cause("set-of-size", 0.02, size(Part::Set)),
        ])
    }

    fn readings(&self) -> Readings {
        let sections: Vec<u16> = self.0["sections"]
            .split(' ')
            .map(|many| many.parse().unwrap())
            .collect();
        let mut readings = Readings::of_boom(&sections, self.number("tau"));
        let pressure = self.number("pressure");
        readings.put(Value::Pressure, pressure * PSI);
        readings.put(Value::RatedFlow, self.number("size") * GPM);
        readings.put(Value::RatedPressure, 40.0 * PSI);
        let (root_3, root_12) = (3_f64.sqrt(), 12_f64.sqrt());
        let mut shared = Vec::new();
        for (nozzle, caught) in (0..).zip(self.numbers("caught")) {
            let seconds = self.number("seconds");
            readings.catch(nozzle, caught * FLUID_OUNCE, Some(seconds));
            let of = Value::Caught(nozzle);
            readings.error(&[(of, 1.0)], self.number("graduation") / root_12 / caught);
            readings.error(&[(of, 1.0)], self.number("timing") / seconds);
            shared.push((of, 1.0));
        }
        readings.error(&shared, self.number("jug") / root_3);
        readings.error(
            &[(Value::Pressure, 1.0)],
            self.number("gauge") / pressure / root_3,
        );
        if !self.0["boom end"].is_empty() {
            let end = self.number("boom end");
            readings.put(Value::BoomEndPressure, end * PSI);
            let of = [(Value::BoomEndPressure, 1.0)];
            readings.error(&of, self.number("gauge") / end / root_3);
        }
        readings
    }

    fn rows(&self) -> BTreeMap<String, Row> {
        let causes = self.causes();
        let rows = explain(&self.readings(), &causes).unwrap().first.rows;
        rows.into_iter()
            .map(|row| (causes.causes()[row.cause].id.clone(), row))
            .collect()
    }
}

/// From the specification, computed outside the project: what is likeliest of five worked catches.
#[test]
fn worked_examples() {
    let cases = Case::all();
    for (number, cause, share, ln_evidence) in [
        (0, "healthy", 0.938_957, Some(44.946_076)),
        (1, "tip", 1.0, Some(40.296_964)),
        (1, "section", 0.0, Some(21.527_677)),
        (1, "healthy", 0.0, Some(17.892_313)),
        (2, "tip-of-size", 0.633_527, None),
        (2, "tip", 0.366_473, None),
        (3, "section", 0.999_993, None),
        (4, "worn", 0.856_868, None),
        (4, "gauge", 0.143_132, None),
    ] {
        let row = &cases[number].rows()[cause];
        assert!(
            (row.share - share).abs() <= 5.1e-7,
            "{number} {cause}: {}",
            row.share
        );
        if let Some(ln) = ln_evidence {
            assert!(
                (row.ln_evidence - ln).abs() <= 1e-6,
                "{number} {cause}: {}",
                row.ln_evidence
            );
        }
    }
}

/// Beside the likeliest and its rival every other cause with a share of 0.1 or more is named.
#[test]
fn every_cause_that_is_not_unlikely_is_named() {
    let tip = |id, prior| {
        let part = Part::Nozzle;
        let effect = Effect::Either(0.15);
        cause(id, prior, Kind::Flow { part, effect })
    };
    let causes = CauseSet::of(vec![
        cause("healthy", 0.60, Kind::Nothing),
        tip("a-fifth", 0.08),
        tip("a-sixth", 0.06),
        tip("likeliest", 0.20),
        tip("next-to-none", 0.01),
    ]);
    let readings = Case::all()[1].readings();
    let explanation = explain(&readings, &causes).unwrap();
    let [told] = explanation.causes.as_slice() else {
        panic!("{} are told", explanation.causes.len());
    };
    let name = |row: &Row| causes.causes()[row.cause].id.clone();
    assert_eq!(name(&told.row), "likeliest");
    assert_eq!(told.rival.as_ref().map(name).unwrap(), "a-fifth");
    let others: Vec<String> = told.others.iter().map(name).collect();
    assert_eq!(others, ["a-sixth"]);
}

#[test]
fn a_second_implementation_comes_to_the_same() {
    let cases = Case::all();
    assert!(cases.len() >= 80);
    for case in &cases {
        let rows = case.rows();
        assert_eq!(rows.len(), 10);
        for (cause, row) in rows {
            let (name, ln) = (&case.0["case"], case.number(&format!("ln {cause}")));
            // Nine places are printed; where a density is next to nothing its logarithm is large.
            let within = 1e-6 * (1.0 + ln.abs() / 100.0);
            assert!(
                (row.ln_evidence - ln).abs() <= within,
                "{name} {cause}: {} for {ln}",
                row.ln_evidence
            );
            let share = case.number(&format!("share {cause}"));
            assert!(
                (row.share - share).abs() <= 1e-6,
                "{name} {cause}: {} for {share}",
                row.share
            );
        }
    }
}

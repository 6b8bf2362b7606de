//! A visit as numbers: what a record of a sprayer of nine nozzles would give, for causes to explain.

pub(crate) mod drawn;

use swathlint::cause::{Again, Readings, Value};
use swathlint::quantity::Quantity;

/// A visit of the machine of the bench cases, as written.
#[derive(Clone, Debug)]
pub(crate) struct Visit {
    pub(crate) pressure: String,
    pub(crate) duration: String,
    pub(crate) caught: Vec<String>,
    pub(crate) before: Vec<f64>,
    pub(crate) known: String,
    pub(crate) shown: String,
    pub(crate) run: String,
    pub(crate) factor: (f64, f64),
    pub(crate) factor_left_last: f64,
    pub(crate) course: String,
    pub(crate) elapsed: Vec<String>,
    pub(crate) shown_distance: String,
    pub(crate) gpm: f64,
    pub(crate) setup_pressure: String,
    pub(crate) speed: String,
    pub(crate) rate: String,
    pub(crate) spacing: String,
    pub(crate) widths: String,
    pub(crate) boom_end: String,
    pub(crate) all_on: f64,
    pub(crate) found: Vec<f64>,
    pub(crate) left: Vec<f64>,
    pub(crate) retest: Option<(u16, String, String)>,
    pub(crate) is_weighed: bool,
    pub(crate) chance_of_copy: Option<f64>,
}

const PSI: f64 = 8_896_443_230_521.0 / 1_290_320_000.0;
const GPM: f64 = 0.003_785_411_784 / 60.0;
const FLUID_OUNCE: f64 = 29.573_529_562_5e-6;

pub(crate) fn quantity(text: &str) -> Quantity {
    Quantity::parse(text, &[]).unwrap()
}

/// What was caught of nine nozzles, in one unit.
pub(crate) fn list(numbers: &str, unit: &str) -> Vec<String> {
    numbers
        .split(' ')
        .map(|number| format!("{number} {unit}"))
        .collect()
}

impl Visit {
    /// A visit with nothing wrong.
    pub(crate) fn good() -> Self {
        let text = str::to_owned;
        Self {
            pressure: text("40 psi"),
            duration: text("30 s"),
            caught: list("51.5 51.5 52.0 51.0 51.5 51.5 52.0 51.5 51.0", "fl oz"),
            before: vec![51.5, 51.0, 51.0, 51.0, 50.5, 51.0, 51.0, 51.5, 51.0],
            known: text("50.1 gal"),
            shown: text("50.3 gal"),
            run: text("7.0 min"),
            factor: (620.0, 620.0),
            factor_left_last: 620.0,
            course: text("200 ft"),
            elapsed: list("45.4 45.7 45.5", "s"),
            shown_distance: text("200 ft"),
            gpm: 0.8,
            setup_pressure: text("40 psi"),
            speed: text("3 mph"),
            rate: text("79 gal/acre"),
            spacing: text("20 in"),
            widths: text("60 in"),
            boom_end: text("39 psi"),
            all_on: 79.2,
            found: vec![79.4, 79.0, 79.3],
            left: Vec::new(),
            retest: None,
            is_weighed: false,
            chance_of_copy: None,
        }
    }

    /// Its readings with the errors of its instruments: a jug of 0.5% marked every half ounce, a stopwatch, a gauge of class 1.6 on
    /// 60 psi, a fill meter of 0.5%, a measuring wheel of 0.2%.
    pub(crate) fn readings(&self) -> Readings {
        let (root_3, root_12) = (3_f64.sqrt(), 12_f64.sqrt());
        let mut readings = Readings::of_boom(&[3, 3, 3], 0.015);
        let mut put = |of, text: &str| {
            let quantity = quantity(text);
            readings.put_written(of, quantity);
            quantity.si()
        };
        let pressure = put(Value::Pressure, &self.pressure);
        put(Value::SetupPressure, &self.setup_pressure);
        put(Value::SetupSpeed, &self.speed);
        put(Value::SetupRate, &self.rate);
        put(Value::Spacing, &self.spacing);
        for section in 0..3 {
            put(Value::EnteredWidth(section), &self.widths);
        }
        put(Value::KnownVolume, &self.known);
        let shown = put(Value::ShownVolume, &self.shown);
        put(Value::RunTime, &self.run);
        put(Value::Course, &self.course);
        let boom_end = put(Value::BoomEndPressure, &self.boom_end);
        for (run, elapsed) in (0..).zip(&self.elapsed) {
            put(Value::Elapsed(run), elapsed);
            put(Value::ShownDistance(run), &self.shown_distance);
        }
        let duration = quantity(&self.duration).si();
        readings.put(Value::RatedFlow, self.gpm * GPM);
        readings.put(Value::RatedPressure, 40.0 * PSI);
        let factor = |number: f64| quantity(&format!("{number} pulses/gal"));
        readings.put_written(Value::FactorBefore, factor(self.factor.0));
        readings.put_written(Value::FactorAfter, factor(self.factor.1));
        readings.put_written(Value::FactorLeftLast, factor(self.factor_left_last));
        readings.put_written(Value::SpeedFactorBefore, factor(1180.0));
        readings.put_written(Value::SpeedFactorAfter, factor(1180.0));
        readings.put(Value::AllOn, self.all_on);
        for (section, (found, left)) in (0..).zip(
            self.found
                .iter()
                .zip(self.left.iter().map(Some).chain([None; 3])),
        ) {
            readings.put(Value::BypassFound(section), *found);
            if let Some(left) = left {
                readings.put(Value::BypassLeft(section), *left);
            }
        }
        let mut of_jug = Vec::new();
        for (nozzle, caught) in (0..).zip(&self.caught) {
            let quantity = quantity(caught);
            // Water weighs 1 g/mL.
            let amount = if self.is_weighed {
                quantity.si() / 1000.0
            } else {
                quantity.si()
            };
            let value = Value::Caught(nozzle);
            if quantity.decimal.is_zero() {
                readings.catch_nothing(nozzle, 0.25 * FLUID_OUNCE / duration);
            } else {
                readings.catch(nozzle, amount, Some(duration));
            }
            readings.written_as(value, quantity);
            let number = quantity.si() / quantity.unit.factor();
            readings.error(&[(value, 1.0)], 0.5 / root_12 / number);
            readings.error(&[(value, 1.0)], 0.1 / duration);
            of_jug.push((value, 1.0));
        }
        readings.written_as(Value::Collected(0), quantity(&self.duration));
        let mut of_gauge = vec![(Value::Pressure, 1.0), (Value::BoomEndPressure, 1.0)];
        for (nozzle, before) in (0..).zip(&self.before) {
            let value = Value::Before(nozzle);
            readings.put(value, before * FLUID_OUNCE / 30.0);
            readings.error(&[(value, 1.0)], 0.5 / root_12 / before);
            readings.error(&[(value, 1.0)], 0.1 / 30.0);
            of_jug.push((value, 1.0));
            of_gauge.push((value, -0.5));
        }
        if let Some((nozzle, amount, collected)) = &self.retest {
            let number = readings.caught_again(Again {
                nozzle: *nozzle,
                amount: quantity(amount).si(),
                collected: Some(quantity(collected).si()),
                pressure: None,
                relative: 0.005,
            });
            of_jug.push((Value::CaughtAgain(number), 1.0));
        }
        readings.error(&of_jug, 0.005 / root_3);
        readings.error(&of_gauge, 0.016 * 60.0 * PSI / pressure / root_3);
        readings.error(
            &[(Value::BoomEndPressure, 1.0)],
            0.5 * PSI / boom_end / root_3,
        );
        readings.error(&[(Value::KnownVolume, 1.0)], 0.005 / root_3);
        readings.error(
            &[(Value::ShownVolume, 1.0)],
            0.1 * 0.003_785 / shown / root_12,
        );
        readings.error(&[(Value::Course, 1.0)], 0.002 / root_3);
        for (run, elapsed) in (0..).zip(&self.elapsed) {
            readings.error(&[(Value::Elapsed(run), 1.0)], 0.1 / quantity(elapsed).si());
        }
        readings.known.one_gauge = true;
        readings.known.weighed = self.is_weighed;
        readings.known.size = Some("08".to_owned());
        readings.known.chance_of_copy = self.chance_of_copy;
        readings
    }
}

//! What a product was applied at, worked out again from the words of `docs/work-and-due.md` in gallons, acres and minutes.

use crate::repository::Repository;
use jiff::civil::{Date, date};

const TODAY: Date = date(2026, 6, 1);
/// Gallons on an acre, as the setup has it.
const RATE: f64 = 40.0;
/// Miles an hour, as the setup has it.
const SPEED: f64 = 4.2;
/// From nozzle to nozzle, in inches.
const SPACING: f64 = 20.0;
/// The most on an acre by the label, in fluid ounces.
const LABEL: f64 = 32.0;

/// One application, with what was tested before it.
#[derive(Clone, Copy, Debug)]
struct Sprayed {
    is_rate_held: bool,
    /// Gallons known and shown, each in a visit of its own.
    meter: Option<(f64, f64)>,
    /// Fluid ounces of each nozzle in 30 s.
    caught: Option<f64>,
    /// Seconds over 200 ft, and the feet shown.
    course: Option<(f64, f64)>,
    /// Acres and gallons of the application.
    record: Option<(f64, f64)>,
    /// Gallons of water, and whether the product comes on top.
    water: (f64, bool),
    /// Fluid ounces.
    amount: f64,
}

impl Sprayed {
    fn repository(self) -> Repository {
        let control = if self.is_rate_held { "flow" } else { "manual" };
        let machine = format!(
            "record: machine\nid: heron\ncontrol: {control}\nspeed-source: wheel\nboom: {{spacing: {SPACING} in, nozzles: 3}}\n\
             setups: {{fairways: {{nozzle: {{size: \"06\"}}, pressure: 36 psi, speed: {SPEED} mph, rate: {RATE} gal/acre}}}}\n"
        );
        let mut files = vec![("machines/heron.yaml", machine)];
        let mut visit = |path, day: &str, tests: Option<String>| {
            let heading = format!("record: calibration\nmachine: heron\ndate: {day}\nby: rm\n");
            files.extend(tests.map(|tests| (path, heading + &tests)));
        };
        let caught = self.caught.map(|oz| {
            format!("catch-tests:\n  - {{pressure: 36 psi, duration: 30 s, unit: fl oz, caught: [{oz}, {oz}, {oz}]}}\n")
        });
        visit("calibrations/heron/2026-03-01.yaml", "2026-03-01", caught);
        let meter = self.meter.map(|(known, shown)| {
            format!("meter-tests:\n  - {{known-volume: {known} gal, known-by: weighed, duration: 9 min, shown: {shown} gal}}\n")
        });
        visit("calibrations/heron/2026-03-02.yaml", "2026-03-02", meter);
        let course = self.course.map(|(seconds, shown)| {
            format!("speed-tests:\n  - {{distance: 200 ft, runs: [{{elapsed: {seconds} s, shown: {shown} ft}}]}}\n")
        });
        visit("calibrations/heron/2026-03-03.yaml", "2026-03-03", course);
        let record = self.record.map_or(String::new(), |(acres, gallons)| {
            format!("area: {acres} acre\nvolume: {gallons} gal\n")
        });
        let key = if self.water.1 { "water-added" } else { "water" };
        let application = format!(
            "record: application\nmachine: heron\ndate: 2026-04-01\nby: rm\n{record}tanks:\n  - {key}: {} gal\n    \
             products: [{{name: iron, label: {{max: {LABEL} fl oz/acre}}, amount: {} fl oz}}]\n",
            self.water.0, self.amount,
        );
        files.push(("applications/heron/2026-04-01.yaml", application));
        Repository::of(files)
    }

    /// Gallons on an acre by what was tested.
    fn tested(self) -> f64 {
        if self.is_rate_held {
            let meter = self.meter.map_or(1.0, |(known, shown)| known / shown);
            let speed = self.course.map_or(1.0, |(_, shown)| shown / 200.0);
            return RATE * meter * speed;
        }
        let Some(caught) = self.caught else {
            return RATE;
        };
        let gallons_a_minute = caught / 128.0 * 2.0;
        let speed = self
            .course
            .map_or(SPEED, |(seconds, _)| 200.0 * 60.0 / (seconds * 88.0));
        5940.0 * gallons_a_minute / (speed * SPACING)
    }

    /// Of the label, by each rate that is told.
    fn shares(self) -> Vec<f64> {
        let (water, is_added) = self.water;
        let on_top = if is_added { self.amount / 128.0 } else { 0.0 };
        let by = |rate: f64| self.amount * rate / (water + on_top) / LABEL;
        let by_record = self.record.map(|(acres, gallons)| by(gallons / acres));
        [Some(by(self.tested())), by_record]
            .into_iter()
            .flatten()
            .collect()
    }
}

fn every_case() -> Vec<Sprayed> {
    let mut cases = Vec::new();
    for n in 0..96_u32 {
        let bit = |at: u32| n >> at & 1 == 1;
        let records = [None, Some((1.25, 50.0)), Some((0.5, 50.0))];
        cases.push(Sprayed {
            is_rate_held: bit(0),
            meter: bit(1).then_some((34.2, 36.0)),
            caught: bit(1).then_some(36.5),
            course: bit(2).then_some((40.6, 190.0)),
            water: (50.0, bit(3)),
            amount: if bit(4) { 300.0 } else { 30.0 },
            record: records[n as usize / 32],
        });
    }
    cases
}

#[test]
fn a_product_is_applied_at_what_the_words_make_of_it() {
    for case in every_case() {
        let computed = case.repository().computed(TODAY);
        let of_label = computed
            .iter()
            .find(|member| member.entry.id == "product-of-maximum");
        let found = of_label.unwrap().value();
        let shares = case.shares();
        let agrees = |share: &f64| (found / share - 1.0).abs() < 1e-3;
        let most = shares.iter().copied().fold(0.0, f64::max);
        let least = shares.iter().copied().fold(f64::INFINITY, f64::min);
        // Where one is over and the other is not, or where none is, the higher counts; of two over, the surer.
        let wanted: Vec<f64> = if least < 1.0 { vec![most] } else { shares };
        assert!(
            wanted.iter().any(agrees),
            "{case:?}: {found}, not {wanted:?}"
        );
    }
}

/// 190 fl oz in 100 gal on an acre are 4.36 fl oz on 1000 ft2, whatever the setup's rate says.
#[test]
fn what_went_on_counts_and_not_what_was_meant() {
    let sprayed = Sprayed {
        is_rate_held: true,
        meter: Some((34.2, 34.2)),
        caught: None,
        course: Some((32.5, 200.0)),
        record: Some((1.0, 100.0)),
        water: (100.0, false),
        amount: 190.0,
    };
    let mut repository = sprayed.repository();
    let application = repository
        .files
        .get_mut("applications/heron/2026-04-01.yaml")
        .unwrap();
    *application = application.replace("32 fl oz/acre", "4 fl oz/1000 ft2");
    let computed = repository.computed(TODAY);
    let of_label = computed
        .iter()
        .find(|member| member.entry.id == "product-of-maximum");
    let found = of_label.unwrap().value();
    assert!((found - 190.0 / 43.56 / 4.0).abs() < 1e-4, "{found}");
}

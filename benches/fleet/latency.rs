//! How long it takes from a changed record to what is true of its machine, in a fleet that is held in memory.

use crate::generator::{Generated, Size, TODAY, generate};
use std::collections::BTreeMap;
use std::hint::black_box;
use std::time::{Duration, Instant};
use swathlint::Workspace;

/// The budget of one change, in milliseconds.
const MOST: f64 = 5.0;

/// Changes the first, the middle and the last calibration of a machine in turn, so many times each, and tells how long the
/// assessment took.
pub(crate) fn measure(size: &Size, rounds: u32) {
    let mut texts: BTreeMap<String, String> = BTreeMap::new();
    let Generated { records, .. } = generate(size, |path, text| {
        texts.insert(path.to_owned(), text.to_owned());
    });
    let mut fleet = Workspace::new(TODAY);
    for (path, text) in &texts {
        fleet.set(path, text.as_str());
    }
    let began = Instant::now();
    let found = fleet.check().findings.len();
    println!(
        "{records} records of {} machines held, {found} findings, first check {:.0} ms",
        size.machines,
        milliseconds(began.elapsed()),
    );
    let machine = fleet.machines().swap_remove(size.machines / 2);
    let own = |folder: &str| {
        let folder = format!("{folder}/{machine}/");
        texts
            .keys()
            .filter(move |path| path.starts_with(&folder))
            .cloned()
    };
    let of_machine = ["calibrations", "service", "applications"];
    let count: usize = of_machine.iter().map(|folder| own(folder).count()).sum();
    let calibrations: Vec<String> = own("calibrations").collect();
    println!("one of the {count} records of {machine} changed        best   median    worst");
    for (which, at) in [
        ("first", 0),
        ("middle", calibrations.len() / 2),
        ("last", calibrations.len() - 1),
    ] {
        let path = &calibrations[at];
        let mut times: Vec<Duration> = (0..rounds.max(2))
            .map(|round| {
                // A comment more, so that it is another text each time, with the same readings.
                let text = format!("{}# changed {round} times\n", texts[path]);
                let made = fleet.assessments_made();
                let began = Instant::now();
                fleet.set(path, text);
                black_box(fleet.assess(&machine));
                let taken = began.elapsed();
                assert_eq!(fleet.assessments_made(), made + 1);
                taken
            })
            .collect();
        times.sort();
        println!(
            "  the {which:6} calibration                        {:8.2} {:8.2} {:8.2} ms  of at most {MOST}",
            milliseconds(times[0]),
            milliseconds(times[times.len() / 2]),
            milliseconds(times[times.len() - 1]),
        );
    }
}

fn milliseconds(time: Duration) -> f64 {
    1e3 * time.as_secs_f64()
}

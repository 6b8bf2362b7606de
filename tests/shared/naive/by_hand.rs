//! A machine whose steps were all done in March, and one more record or two: for tables with expected
//! answers.

use std::collections::BTreeMap;

/// The group, a machine of two setups, and its visits of 2026-03-09 and 2026-03-10.
pub(crate) fn done_in_march() -> BTreeMap<String, String> {
    let catch = "catch-tests:\n  - {pressure: 36 psi, duration: 30 s, unit: fl oz, caught: [36.5, 36.5, 36.5, 36.5, 36.5]}\n";
    let balance = "section-balance:
  entered-speed: 4.2 mph
  rate-control: manual
  all-on: 40.3 gal/acre
  sections-off:
    - {sections: [left], as-found: 40.2 gal/acre}
    - {sections: [right], as-found: 40.2 gal/acre}
";
    let run = "{elapsed: 32.5 s, shown: 200 ft}";
    [
        (
            "fleet.yaml",
            "record: fleet\ncourses: {saltmere: Saltmere Links, copperbeck: Copperbeck}\npeople: {rm: {may-sign: true}}\n".to_owned(),
        ),
        (
            "machines/heron.yaml",
            "record: machine
id: heron
course: saltmere
control: flow
speed-source: wheel
section-valves: bypass
boom:
  spacing: 20 in
  sections:
    - {name: left, nozzles: 3, entered-width: 60 in}
    - {name: right, nozzles: 2, entered-width: 40 in}
setups:
  fairways: {nozzle: {size: \"06\"}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre}
  greens: {nozzle: {size: \"06\"}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre}
"
            .to_owned(),
        ),
        (
            "calibrations/heron/2026-03-09.yaml",
            format!(
                "record: calibration\nmachine: heron\ndate: 2026-03-09\nby: rm\nsetup: fairways\n{catch}\
                 meter-tests:\n  - {{known-volume: 34.2 gal, known-by: fill meter, duration: 12 min, shown: 34.2 gal}}\n\
                 speed-tests:\n  - {{distance: 200 ft, surface: turf, tank: half, runs: [{run}, {run}, {run}]}}\n{balance}"
            ),
        ),
        (
            "calibrations/heron/2026-03-10.yaml",
            format!(
                "record: calibration\nmachine: heron\ndate: 2026-03-10\nby: rm\nsetup: greens\n{catch}{balance}"
            ),
        ),
    ]
    .into_iter()
    .map(|(path, text)| (path.to_owned(), text))
    .collect()
}

/// Adds a service record of 2026-05-02.
pub(crate) fn service(files: &mut BTreeMap<String, String>, hours: Option<&str>, work: &str) {
    let text = format!(
        "record: service\nmachine: heron\ndate: 2026-05-02\nby: rm\n{}work:\n  - {work}\n",
        hours_line(hours)
    );
    files.insert("service/heron/2026-05-02.yaml".to_owned(), text);
}

/// Adds a visit of 2026-05-02 to the fairways setup.
pub(crate) fn visit(files: &mut BTreeMap<String, String>, hours: Option<&str>, tests: &str) {
    let text = format!(
        "record: calibration\nmachine: heron\ndate: 2026-05-02\nby: rm\nsetup: fairways\n{}{tests}\n",
        hours_line(hours)
    );
    files.insert("calibrations/heron/2026-05-02.yaml".to_owned(), text);
}

/// Adds an application of 2026-05-02 with the fairways setup.
pub(crate) fn application(files: &mut BTreeMap<String, String>, from: Option<&str>) {
    let hours = from.map_or_else(String::new, |from| format!("hours: {{from: {from}}}\n"));
    let text = format!(
        "record: application\nmachine: heron\ndate: 2026-05-02\nby: rm\nsetup: fairways\n{hours}\
         area: 10 acre\narea-by: map\nvolume: 400 gal\nvolume-by: fill meter\n"
    );
    files.insert("applications/heron/2026-05-02.yaml".to_owned(), text);
}

fn hours_line(hours: Option<&str>) -> String {
    hours.map_or_else(String::new, |hours| format!("hours: {hours}\n"))
}

/// What a kind of work does to steps done before it.
#[derive(Debug)]
pub(crate) struct Row {
    pub(crate) work: &'static str,
    /// What the machine file says otherwise than above.
    pub(crate) machine_file: Option<(&'static str, &'static str)>,
    pub(crate) void: &'static [&'static str],
    pub(crate) recheck: &'static [&'static str],
}

const fn row(
    work: &'static str,
    machine_file: Option<(&'static str, &'static str)>,
    void: &'static [&'static str],
    recheck: &'static [&'static str],
) -> Row {
    Row {
        work,
        machine_file,
        void,
        recheck,
    }
}

/// Every kind of work but the last.
pub(crate) const WORK: &[Row] = &[
    // New nozzles: their setup's catch, and its balance where a whole section or more was fitted.
    row(
        "nozzles-fitted: {setup: fairways, nozzle: {size: \"06\"}}",
        None,
        &["fairways catch test", "fairways section balance"],
        &[],
    ),
    row(
        "nozzles-fitted: {setup: fairways, at: {right: [2]}, nozzle: {size: \"06\"}}",
        None,
        &["fairways catch test"],
        &[],
    ),
    row(
        "nozzles-fitted: {setup: greens, at: {left: [1, 2]}, nozzle: {size: \"06\"}}",
        None,
        &["greens catch test"],
        &[],
    ),
    row(
        "nozzles-fitted: {setup: greens, at: {right: [1, 2]}, nozzle: {size: \"06\"}}",
        None,
        &["greens catch test", "greens section balance"],
        &[],
    ),
    row(
        "nozzles-fitted: {setup: greens, at: {left: [3], right: [2, 1]}, nozzle: {size: \"06\"}}",
        None,
        &["greens catch test", "greens section balance"],
        &[],
    ),
    // Tires: speed, where a wheel measures it or nobody says what does.
    row("tires: {what: replaced}", None, &["speed test"], &[]),
    row(
        "tires: {wheels: drive, what: repaired}",
        None,
        &["speed test"],
        &[],
    ),
    row(
        "tires: {wheels: drive, what: pressure changed}",
        None,
        &["speed test"],
        &[],
    ),
    row("tires: {wheels: other, what: replaced}", None, &[], &[]),
    row(
        "tires: {what: replaced}",
        Some(("speed-source: wheel\n", "")),
        &["speed test"],
        &[],
    ),
    row(
        "tires: {what: replaced}",
        Some(("speed-source: wheel", "speed-source: radar")),
        &[],
        &[],
    ),
    // A section valve: balance of every setup.
    row(
        "section-valve: {section: left, what: replaced}",
        None,
        &["fairways section balance", "greens section balance"],
        &[],
    ),
    row("flow-meter: {what: cleaned}", None, &["meter test"], &[]),
    row(
        "console: {what: replaced}",
        None,
        &["meter test", "speed test"],
        &[],
    ),
    row("speed-source: {to: radar}", None, &["speed test"], &[]),
    row("speed-source: {to: wheel}", None, &["speed test"], &[]),
    // Pump, regulator, hose: another look at catch and balance of every setup.
    row(
        "pump: {what: repaired}",
        None,
        &[],
        &[
            "fairways catch test",
            "fairways section balance",
            "greens catch test",
            "greens section balance",
        ],
    ),
    row(
        "regulator: {what: replaced}",
        None,
        &[],
        &[
            "fairways catch test",
            "fairways section balance",
            "greens catch test",
            "greens section balance",
        ],
    ),
    row(
        "hose: {what: replaced}",
        None,
        &[],
        &[
            "fairways catch test",
            "fairways section balance",
            "greens catch test",
            "greens section balance",
        ],
    ),
    row(
        "spacing: {to: 20 in}",
        None,
        &[],
        &["fairways catch test", "greens catch test"],
    ),
    row("entered-widths: {left: 61 in}", None, &[], &[]),
    // A setup: only where its pressure is changed.
    row(
        "setup: {setup: greens, pressure: 37 psi}",
        None,
        &[],
        &["greens catch test", "greens section balance"],
    ),
    row(
        "setup: {setup: greens, speed: 4.3 mph, rate: 39 gal/acre}",
        None,
        &[],
        &[],
    ),
    row("moved: {course: copperbeck}", None, &[], &[]),
];

const AN_HOUR_LATER: Option<&str> = Some("413 h");
const THEN: Option<&str> = Some("412 h");
const AN_HOUR_EARLIER: Option<&str> = Some("411 h");

/// Hours of one record and of another of the same day, and whether the second counts as later, where the
/// first kind comes before the second unless both records say otherwise.
pub(crate) const ONE_DAY: &[(Option<&str>, Option<&str>, bool)] = &[
    (None, None, true),
    (THEN, None, true),
    (None, THEN, true),
    (THEN, AN_HOUR_LATER, true),
    (THEN, THEN, true),
    (THEN, AN_HOUR_EARLIER, false),
];

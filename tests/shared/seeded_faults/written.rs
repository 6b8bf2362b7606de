//! The texts of a drawn fleet.

use super::VISIT;
use super::machine::{EndGauge, Machine, Reading, SIZES};
use super::visit::{Balance, Visit};
use crate::fixture::Files;
use std::fmt::Write;

/// The fleet file, the machine file and one file a visit.
pub(super) fn files(machine: &Machine, visit: &Visit, last: Option<&Visit>) -> Files {
    let mut files = Files::from([
        ("fleet.yaml".to_owned(), fleet(machine)),
        ("machines/knot.yaml".to_owned(), machine_file(machine)),
        (
            VISIT.to_owned(),
            visit_file(machine, visit, "2026-05-12", "640 h"),
        ),
    ]);
    if let Some(last) = last {
        let text = visit_file(machine, last, "2025-05-13", "560 h");
        files.insert("calibrations/knot/2025-05-13.yaml".to_owned(), text);
    }
    files
}

fn fleet(machine: &Machine) -> String {
    let (jug, span) = if machine.is_si {
        ("capacity: 5 L, graduation: 5 mL", "6 bar")
    } else {
        ("capacity: 160 fl oz, graduation: 0.5 fl oz", "60 psi")
    };
    format!(
        "record: fleet
name: Ferncombe Links
people: {{jt: {{may-sign: true}}, am: {{may-sign: true}}}}
instruments:
  jug-1: {{type: jug, {jug}, tolerance: 0.5%, checked: 2026-02-01}}
  scale-1: {{type: scale, tolerance: 0.1%, checked: 2026-02-01}}
  watch-1: {{type: stopwatch}}
  gauge-1: {{type: gauge, span: {span}, class: \"1.6\", checked: 2026-02-01}}
  gauge-2: {{type: gauge, span: {span}, class: \"1.6\", checked: 2026-02-01}}
  wheel-1: {{type: measuring wheel, tolerance: 0.2%}}
  fill-1: {{type: fill meter, tolerance: 0.5%, checked: 2026-02-01}}
usual: {{stopwatch: watch-1, gauge: gauge-1, distance: wheel-1, fill-meter: fill-1}}
"
    )
}

fn machine_file(machine: &Machine) -> String {
    let mut sections = String::new();
    for (section, n) in machine.sections.iter().enumerate() {
        let name = Machine::section_name(section);
        let width = machine.widths.get(section);
        let width = width.map_or_else(String::new, |width| format!(", entered-width: {width}"));
        writeln!(sections, "    - {{name: {name}, nozzles: {n}{width}}}").unwrap();
    }
    let console = match (machine.has_console, machine.is_si) {
        (false, _) => "",
        (true, true) => "console: {flow-factor: pulses/L, speed-factor: pulses/m}\n",
        (true, false) => "console: {flow-factor: pulses/gal, speed-factor: pulses/100 ft}\n",
    };
    format!(
        "record: machine
id: knot
in-service: 2022-04-04
control: {}
speed-source: {}
section-valves: {}
balance-by: pressure
tank: {}
boom:
  spacing: {}
  sections:
{sections}{console}setups:
  fairways:
    nozzle: {{size: \"{}\", material: polymer}}
    pressure: {}
    speed: {}
    rate: {}
",
        machine.control,
        if machine.has_console { "radar" } else { "none" },
        if machine.has_bypass {
            "bypass"
        } else {
            "shut-off"
        },
        if machine.is_si { "1200 L" } else { "300 gal" },
        machine.spacing,
        SIZES[machine.size].0,
        machine.pressure,
        machine.speed,
        machine.rate,
    )
}

fn visit_file(machine: &Machine, visit: &Visit, date: &str, hours: &str) -> String {
    let jug = if machine.is_weighed {
        "scale: scale-1"
    } else {
        "jug: jug-1"
    };
    let (pressure, duration, unit) = (&visit.pressure, &visit.duration, visit.unit);
    let mut text = format!(
        "record: calibration
machine: knot
date: {date}
by: jt
checked-by: am
setup: fairways
hours: {hours}
preparation: {{rinsed: true, liquid: clean water, protective-gear: [gloves, eye protection]}}
catch-tests:
  - pressure: {pressure}
    duration: {duration}
    {jug}
    unit: {unit}
    caught:
"
    );
    for section in 0..machine.sections.len() {
        let readings = &visit.caught[machine.of_section(section)];
        let readings: Vec<String> = readings.iter().map(bare).collect();
        let name = Machine::section_name(section);
        writeln!(text, "      {name}: [{}]", readings.join(", ")).unwrap();
    }
    if let Some(retest) = &visit.retest {
        let sections = 0..machine.sections.len();
        let mut holding =
            sections.filter(|section| machine.of_section(*section).contains(&retest.nozzle));
        let section = holding.next().expect("a nozzle of the boom");
        let place = retest.nozzle - machine.of_section(section).start + 1;
        let name = Machine::section_name(section);
        writeln!(
            text,
            "  - {{pressure: {pressure}, duration: {duration}, {jug}, unit: {unit}, caught: {{{name}: {{{place}: {}}}}}}}",
            bare(&retest.caught)
        )
        .unwrap();
    }
    tests(&mut text, visit, machine.end_gauge == EndGauge::Other);
    text
}

/// The tests besides the catch.
fn tests(text: &mut String, visit: &Visit, is_other_gauge: bool) {
    let factor = |factor: Option<&(Reading, Reading)>| {
        factor.map_or_else(String::new, |(before, after)| {
            format!(
                ", factor: {{before: {}, after: {}}}",
                bare(before),
                bare(after)
            )
        })
    };
    let shown = |shown: Option<&Reading>| {
        shown.map_or_else(String::new, |shown| format!(", shown: {shown}"))
    };
    if let Some(test) = &visit.volume {
        let (shown, factor) = (shown(test.shown.as_ref()), factor(test.factor.as_ref()));
        writeln!(
            text,
            "meter-tests:\n  - {{known-volume: {}, known-by: fill meter, duration: {}{shown}{factor}}}",
            test.known, test.duration
        )
        .unwrap();
    }
    if let Some(test) = &visit.speed {
        let runs = test.runs.iter();
        let runs = runs.map(|(elapsed, shown_by)| {
            format!("{{elapsed: {elapsed}{}}}", shown(shown_by.as_ref()))
        });
        let runs: Vec<String> = runs.collect();
        writeln!(
            text,
            "speed-tests:\n  - {{distance: {}, surface: turf, tank: half, runs: [{}]{}}}",
            test.distance,
            runs.join(", "),
            factor(test.factor.as_ref())
        )
        .unwrap();
    }
    if let Some(Balance { all_on, off }) = &visit.balance {
        writeln!(
            text,
            "section-balance:\n  rate-control: manual\n  all-on: {all_on}\n  sections-off:"
        )
        .unwrap();
        for (section, (found, left)) in off.iter().enumerate() {
            let name = Machine::section_name(section);
            let left = left
                .as_ref()
                .map_or_else(String::new, |left| format!(", as-left: {left}"));
            writeln!(
                text,
                "    - {{sections: [{name}], as-found: {found}{left}}}"
            )
            .unwrap();
        }
    }
    if let Some(end) = &visit.end {
        let gauge = if is_other_gauge { "gauge-2" } else { "gauge-1" };
        writeln!(text, "boom-end-pressure: {end}\nboom-end-gauge: {gauge}").unwrap();
    }
}

/// A number without its unit.
fn bare(reading: &Reading) -> String {
    format!("{:.*}", reading.decimals, reading.number)
}

//! The fleet as the texts of its records.

use super::{
    COURSES, Cell, Event, Fleet, Interval, MACHINES, Machine, SECTIONS, SETUPS, Scope, Setting,
    Visit, What, Work, steps, word,
};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::fmt::Write;

/// Every file, by path.
pub(crate) fn files(fleet: &Fleet) -> BTreeMap<String, String> {
    let mut files = BTreeMap::new();
    files.insert("fleet.yaml".to_owned(), fleet_file(fleet));
    for (number, machine) in fleet.machines.iter().enumerate() {
        let name = MACHINES[number];
        files.insert(
            format!("machines/{name}.yaml"),
            machine_file(number, machine),
        );
        for event in &machine.events {
            files.insert(path(name, event), record(name, machine, event));
        }
    }
    if !fleet.waivers.is_empty() {
        files.insert("waivers.yaml".to_owned(), waivers(fleet));
    }
    files
}

/// Tenths of an hour as people write them.
pub(crate) fn hours(tenths: i64) -> String {
    format!("{}.{} h", tenths / 10, tenths % 10)
}

fn fleet_file(fleet: &Fleet) -> String {
    let mut text = "record: fleet
name: Saltmere Links Group
courses: {saltmere: Saltmere Links, copperbeck: Copperbeck}
people: {rm: {may-sign: true}}
instruments:
  jug-2: {type: jug, capacity: 64 fl oz, graduation: 0.5 fl oz, tolerance: 0.5%}
  watch-1: {type: stopwatch}
  gauge-3: {type: gauge, span: 60 psi, class: \"1.6\"}
  wheel-1: {type: measuring wheel, tolerance: 0.2%}
  refill-1: {type: fill meter, tolerance: 0.5%}
usual: {stopwatch: watch-1, gauge: gauge-3, distance: wheel-1, fill-meter: refill-1, jug: jug-2}
"
    .to_owned();
    if let Some(from) = fleet.enforce_from {
        writeln!(text, "enforce-from: {from}").unwrap();
    }
    if fleet.intervals.is_empty() {
        return text;
    }
    text.push_str("intervals:\n  because: as the group decided\n");
    steps(&mut text, fleet, 2, Scope::Fleet);
    for (key, scopes) in [
        ("at-course", [0, 1].map(Scope::Course).to_vec()),
        ("at-setup", [0, 1, 2].map(Scope::Setup).to_vec()),
        ("at-machine", [0, 1, 2].map(Scope::Machine).to_vec()),
    ] {
        let mut inner = String::new();
        for scope in scopes {
            let mut own = String::new();
            steps(&mut own, fleet, 6, scope);
            if let Scope::Machine(machine) = scope {
                let mut setups = String::new();
                for (setup, name) in SETUPS.iter().enumerate() {
                    let mut of_setup = String::new();
                    steps(
                        &mut of_setup,
                        fleet,
                        10,
                        Scope::SetupOfMachine(machine, setup),
                    );
                    if !of_setup.is_empty() {
                        write!(setups, "        {name}:\n{of_setup}").unwrap();
                    }
                }
                if !setups.is_empty() {
                    write!(own, "      at-setup:\n{setups}").unwrap();
                }
            }
            if !own.is_empty() {
                let name = match scope {
                    Scope::Course(course) => COURSES[course],
                    Scope::Setup(setup) => SETUPS[setup],
                    Scope::Machine(machine) | Scope::SetupOfMachine(machine, _) => {
                        MACHINES[machine]
                    }
                    Scope::Fleet => unreachable!("the fleet has no name"),
                };
                write!(inner, "    {name}:\n{own}").unwrap();
            }
        }
        if !inner.is_empty() {
            write!(text, "  {key}:\n{inner}").unwrap();
        }
    }
    text
}

fn steps(text: &mut String, fleet: &Fleet, indent: usize, scope: Scope) {
    for setting in &fleet.intervals {
        if setting.scope == scope {
            let Setting {
                step, intervals, ..
            } = setting;
            let written: Vec<String> = intervals.iter().map(interval).collect();
            let key = word(*step);
            match written.as_slice() {
                [one] => writeln!(text, "{:indent$}{key}: {one}", ""),
                several => writeln!(text, "{:indent$}{key}: [{}]", "", several.join(", ")),
            }
            .unwrap();
        }
    }
}

fn interval(interval: &Interval) -> String {
    match interval {
        Interval::Months(months) if months % 12 == 0 => format!("{} years", months / 12),
        Interval::Months(months) => format!("{months} months"),
        Interval::Days(days) if days % 7 == 0 => format!("{} weeks", days / 7),
        Interval::Days(days) => format!("{days} days"),
        Interval::Hours(tenths) => hours(*tenths),
        Interval::Applications(1) => "1 application".to_owned(),
        Interval::Applications(count) => format!("{count} applications"),
    }
}

fn waivers(fleet: &Fleet) -> String {
    let mut text = "record: waivers\nwaivers:\n".to_owned();
    for waiver in &fleet.waivers {
        let name = MACHINES[waiver.machine];
        let events = &fleet.machines[waiver.machine].events;
        let what = match waiver.event {
            Some(event) => format!("record: {}", path(name, &events[event])),
            None => format!("machine: {name}"),
        };
        let (rule, from, until) = (steps::rule(waiver.step), waiver.from, waiver.until);
        writeln!(
            text,
            "  - {{rule: {rule}, {what}, reason: parts on order, by: rm, from: {from}, until: {until}}}",
        )
        .unwrap();
    }
    text
}

fn machine_file(number: usize, machine: &Machine) -> String {
    let mut text = format!(
        "record: machine\nid: {}\nkind: boom-sprayer\n",
        MACHINES[number]
    );
    for (key, value) in [
        (
            "course",
            machine.course.map(|course| COURSES[course].to_owned()),
        ),
        ("in-service", machine.in_service.map(|day| day.to_string())),
    ] {
        if let Some(value) = value {
            writeln!(text, "{key}: {value}").unwrap();
        }
    }
    for (key, word) in &machine.says {
        writeln!(text, "{key}: {word}").unwrap();
    }
    let laid_up: Vec<String> = machine
        .laid_up
        .iter()
        .map(|(from, to)| format!("{{from: {from}, to: {to}}}"))
        .collect();
    match laid_up.as_slice() {
        [] => {}
        [one] => writeln!(text, "laid-up: {one}").unwrap(),
        several => writeln!(text, "laid-up: [{}]", several.join(", ")).unwrap(),
    }
    text.push_str("boom:\n  spacing: 20 in\n");
    if machine.is_plain {
        writeln!(text, "  nozzles: {}", machine.nozzles()).unwrap();
    } else {
        text.push_str("  sections:\n");
        for (section, nozzles) in machine.sections.iter().enumerate() {
            writeln!(
                text,
                "    - {{name: {}, nozzles: {nozzles}, entered-width: {} in}}",
                SECTIONS[section],
                nozzles * 20,
            )
            .unwrap();
        }
    }
    text.push_str("console: {flow-factor: pulses/gal, speed-factor: pulses/100 ft}\nsetups:\n");
    for setup in &SETUPS[..machine.setups] {
        writeln!(
            text,
            "  {setup}: {{nozzle: {{size: \"06\"}}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre}}"
        )
        .unwrap();
    }
    text
}

/// Where the file of an event lies.
pub(crate) fn path(machine: &str, event: &Event) -> String {
    let folder = match &event.what {
        What::Visit(_) => "calibrations",
        What::Service(_) => "service",
        What::Application(..) => "applications",
        What::Broken(folder, _) => folder,
    };
    let name = match (&event.what, event.nth) {
        (What::Broken(_, false), nth) => format!("undated-{nth}"),
        (What::Broken(_, true), nth) => format!("{}-{}", event.day, nth + 7),
        (_, 0) => event.day.to_string(),
        (_, nth) => format!("{}-{}", event.day, nth + 1),
    };
    format!("{folder}/{machine}/{name}.yaml")
}

fn record(name: &str, machine: &Machine, event: &Event) -> String {
    let kind = match &event.what {
        What::Visit(_) => "calibration",
        What::Service(_) => "service",
        What::Application(..) => "application",
        What::Broken(..) => return "record: calibration\nby: \"rm\n".to_owned(),
    };
    let mut text = format!(
        "record: {kind}\nmachine: {name}\ndate: {}\nby: rm\n",
        written_day(event)
    );
    let read = |all: i64| hours(all - event.counted_on);
    match &event.what {
        What::Visit(visit) => {
            if let Some(tenths) = event.hours {
                writeln!(text, "hours: {}", read(tenths)).unwrap();
            }
            if machine.setups > 1 {
                writeln!(text, "setup: {}", SETUPS[visit.setup]).unwrap();
            }
            tests(&mut text, machine, visit);
        }
        What::Service(works) => {
            if let Some(tenths) = event.hours {
                writeln!(text, "hours: {}", read(tenths)).unwrap();
            }
            text.push_str("work:\n");
            for work in works {
                writeln!(text, "  - {}", done(machine, work)).unwrap();
            }
        }
        What::Application(setup, after) => {
            if machine.setups > 1 {
                writeln!(text, "setup: {}", SETUPS[*setup]).unwrap();
            }
            let ends = [("from", &event.hours), ("to", after)];
            let written: Vec<String> = ends
                .iter()
                .filter_map(|(key, end)| end.map(|end| format!("{key}: {}", read(end))))
                .collect();
            if !written.is_empty() {
                writeln!(text, "hours: {{{}}}", written.join(", ")).unwrap();
            }
            text.push_str("area: 10 acre\narea-by: map\nvolume: 400 gal\nvolume-by: fill meter\n");
        }
        What::Broken(..) => {}
    }
    text
}

/// The day of an event; of a slip the year is one that has not come.
fn written_day(event: &Event) -> Date {
    if event.is_misdated {
        event.day.checked_add(40.years()).unwrap()
    } else {
        event.day
    }
}

fn tests(text: &mut String, machine: &Machine, visit: &Visit) {
    if !visit.catches.is_empty() {
        text.push_str("catch-tests:\n");
    }
    for catch in &visit.catches {
        writeln!(
            text,
            "  - {{pressure: 36 psi, duration: 30 s, unit: fl oz, caught: {}}}",
            caught(machine, catch)
        )
        .unwrap();
    }
    for (step, tested) in &visit.tested {
        text.push_str(&steps::test(machine, *step, *tested));
    }
}

fn caught(machine: &Machine, catch: &[Option<Cell>]) -> String {
    let written = |cell| match cell {
        Cell::Good => "36.5",
        Cell::Bad => "43.8",
        Cell::Missed => "missed",
    };
    if let Some(all) = catch.iter().copied().collect::<Option<Vec<Cell>>>() {
        let all: Vec<&str> = all.into_iter().map(written).collect();
        return format!("[{}]", all.join(", "));
    }
    let mut sections = Vec::new();
    for (section, nozzles) in machine.sections.iter().enumerate() {
        let some: Vec<String> = (1..=*nozzles)
            .filter_map(|position| {
                let cell = catch[machine.place(section, position)]?;
                Some(format!("{position}: {}", written(cell)))
            })
            .collect();
        if !some.is_empty() {
            sections.push(format!("{}: {{{}}}", SECTIONS[section], some.join(", ")));
        }
    }
    format!("{{{}}}", sections.join(", "))
}

fn done(machine: &Machine, work: &Work) -> String {
    let of = |setup: usize| {
        if machine.setups > 1 {
            format!("setup: {}", SETUPS[setup])
        } else {
            String::new()
        }
    };
    let joined = |parts: &[String]| {
        let parts: Vec<&str> = parts
            .iter()
            .map(String::as_str)
            .filter(|part| !part.is_empty())
            .collect();
        parts.join(", ")
    };
    match work {
        Work::NozzlesFitted(setup, at) => {
            let at = at.as_ref().map_or_else(String::new, |at| {
                let sections: Vec<String> = at
                    .iter()
                    .map(|(section, positions)| format!("{}: {positions:?}", SECTIONS[*section]))
                    .collect();
                format!("at: {{{}}}", sections.join(", "))
            });
            let nozzle = "nozzle: {size: \"06\"}".to_owned();
            format!("nozzles-fitted: {{{}}}", joined(&[of(*setup), at, nozzle]))
        }
        Work::Tires(wheels) => {
            let wheels = wheels.map_or_else(String::new, |wheels| format!("wheels: {wheels}"));
            format!(
                "tires: {{{}}}",
                joined(&[wheels, "what: replaced".to_owned()])
            )
        }
        Work::SectionValve(_) if machine.is_plain => "section-valve: {what: replaced}".to_owned(),
        Work::SectionValve(section) => {
            format!(
                "section-valve: {{section: {}, what: replaced}}",
                SECTIONS[*section]
            )
        }
        Work::FlowMeter => "flow-meter: {what: replaced}".to_owned(),
        Work::Console => {
            "console: {what: replaced, flow-factor: pulses/gal, speed-factor: pulses/100 ft}"
                .to_owned()
        }
        Work::SpeedSource(to) => format!("speed-source: {{to: {to}}}"),
        Work::Pump => "pump: {what: repaired}".to_owned(),
        Work::Regulator => "regulator: {what: replaced}".to_owned(),
        Work::Hose => "hose: {what: replaced}".to_owned(),
        Work::Spacing => "spacing: {to: 20 in}".to_owned(),
        Work::EnteredWidths => format!("entered-widths: {{left: {} in}}", machine.sections[0] * 20),
        Work::Setup(setup, Some(psi)) => {
            format!(
                "setup: {{{}}}",
                joined(&[of(*setup), format!("pressure: {psi} psi")])
            )
        }
        Work::Setup(setup, None) => {
            format!(
                "setup: {{{}}}",
                joined(&[of(*setup), "speed: 4.2 mph".to_owned()])
            )
        }
        Work::Moved(course) => format!("moved: {{course: {}}}", COURSES[*course]),
        Work::HourMeter(before, after) => format!(
            "hour-meter: {{before: {}, after: {}}}",
            hours(*before),
            hours(*after)
        ),
        Work::OutOfService => "out-of-service: {because: worn out}".to_owned(),
    }
}

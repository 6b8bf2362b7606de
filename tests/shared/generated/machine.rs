//! One machine: its machine file, and its visits, works and applications in the order of their days.

use super::{COURSES, Chance, FIRST, LASTS, SETUPS};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::fmt::Write;

/// How a machine is built, and what it has come to.
struct Machine<'m> {
    id: &'m str,
    units: &'static Units,
    /// Name and nozzles of each section; one without a name is a boom without sections.
    sections: Vec<(&'static str, usize)>,
    setups: &'static [&'static str],
    balance_by: Option<&'static str>,
    hours: f64,
}

/// The units of a machine, and the usual values of its readings in them.
struct Units {
    spacing: &'static str,
    width: (f64, &'static str),
    nozzle: &'static str,
    other_nozzle: &'static str,
    pressure: (f64, &'static str),
    speed: (f64, &'static str),
    rate: (f64, &'static str),
    /// What a nozzle gives in half a minute.
    caught: (f64, &'static str),
    /// What a nozzle gives in four minutes.
    known: (f64, &'static str),
    jug: &'static str,
    course: (f64, &'static str),
    elapsed: f64,
    flow_factor: (f64, &'static str),
    speed_factor: (f64, &'static str),
    area: (f64, &'static str),
    label: &'static str,
    amount: (f64, &'static str),
}

static US: Units = Units {
    spacing: "20 in",
    width: (20.0, "in"),
    nozzle: "{size: \"06\", material: ceramic}",
    other_nozzle: "{size: \"08\", material: polymer}",
    pressure: (36.0, "psi"),
    speed: (4.2, "mph"),
    rate: (40.0, "gal/acre"),
    caught: (36.4, "fl oz"),
    known: (2.277, "gal"),
    jug: "jug-2",
    course: (200.0, "ft"),
    elapsed: 32.5,
    flow_factor: (620.0, "pulses/gal"),
    speed_factor: (1180.0, "pulses/100 ft"),
    area: (4.0, "acre"),
    label: "{min: 8 fl oz/acre, max: 16 fl oz/acre}",
    amount: (0.3, "fl oz"),
};

static METRIC: Units = Units {
    spacing: "50 cm",
    width: (0.5, "m"),
    nozzle: "{rated: {flow: 1.6 L/min, pressure: 3 bar}, material: brass}",
    other_nozzle: "{rated: {flow: 2.0 L/min, pressure: 3 bar}, material: polymer}",
    pressure: (2.8, "bar"),
    speed: (6.2, "km/h"),
    rate: (299.0, "L/ha"),
    caught: (773.0, "mL"),
    known: (6.184, "L"),
    jug: "jug-4",
    course: (100.0, "m"),
    elapsed: 58.1,
    flow_factor: (6.12, "mL/pulse"),
    speed_factor: (3870.0, "pulses/100 m"),
    area: (1.6, "ha"),
    label: "{max: 1 L/ha}",
    amount: (2.5, "mL"),
};

/// What stands for something that a machine file says, or leaves out where nothing stands for it.
fn said(key: &str, value: Option<&str>) -> String {
    value.map_or_else(String::new, |value| format!("{key}: {value}\n"))
}

/// Writes a machine and all its records.
pub(super) fn write(chance: &mut Chance, id: &str, files: &mut BTreeMap<String, String>) {
    let (mut machine, machine_file) = drawn(chance, id);
    let machine_file = with_slip(chance, machine_file, 2);
    files.insert(format!("machines/{id}.yaml"), machine_file);
    let mut day = FIRST;
    let last = FIRST + i64::try_from(LASTS).unwrap().days();
    while day < last {
        machine.hours = chance.near(machine.hours + 6.0, 0.02);
        let (folder, text) = match chance.below(10) {
            0..5 => ("calibrations", machine.visit(chance, day)),
            5..7 => ("service", machine.service(chance, day)),
            _ => ("applications", machine.application(chance, day)),
        };
        let mut path = format!("{folder}/{id}/{day}.yaml");
        for again in 2.. {
            if !files.contains_key(&path) {
                break;
            }
            path = format!("{folder}/{id}/{day}-{again}.yaml");
        }
        let text = with_slip(chance, text, 8);
        files.insert(path, text);
        // Now and then two on one day, and a winter between.
        let pause = match chance.below(8) {
            0 => 0,
            1 => 90 + chance.below(150),
            _ => 1 + chance.below(40),
        };
        day += i64::try_from(pause).unwrap().days();
    }
}

fn drawn<'m>(chance: &mut Chance, id: &'m str) -> (Machine<'m>, String) {
    let units = if chance.of_hundred(50) { &US } else { &METRIC };
    let names = ["left", "middle", "right"];
    let sections: Vec<(&str, usize)> = match chance.below(4) {
        0 => vec![("", 5)],
        n => names[..usize::try_from(n).unwrap()]
            .iter()
            .map(|name| (*name, 2 + chance.index(3)))
            .collect(),
    };
    let setups = &SETUPS[..=chance.index(SETUPS.len())];
    let balance_by = chance.one_of(&[None, Some("rate"), Some("pressure")]);
    let control = chance.one_of(&[
        Some("flow"),
        Some("flow"),
        Some("pressure"),
        Some("manual"),
        None,
    ]);
    let source = chance.one_of(&[
        Some("wheel"),
        Some("radar"),
        Some("gps"),
        Some("none"),
        None,
    ]);
    let valves = chance.one_of(&[Some("bypass"), Some("bypass"), Some("shut-off"), None]);
    let mut machine_file = format!("record: machine\nid: {id}\nkind: boom-sprayer\n");
    if chance.of_hundred(80) {
        machine_file += &said("course", Some(chance.one_of(&COURSES)));
    }
    if chance.of_hundred(70) {
        let after = i64::try_from(chance.below(60)).unwrap();
        writeln!(machine_file, "in-service: {}", FIRST + after.days()).unwrap();
    }
    machine_file += &said("control", control);
    machine_file += &said("speed-source", source);
    machine_file += &said("section-valves", valves);
    machine_file += &said("balance-by", balance_by);
    write!(machine_file, "boom:\n  spacing: {}\n", units.spacing).unwrap();
    if let [("", nozzles)] = sections[..] {
        writeln!(machine_file, "  nozzles: {nozzles}").unwrap();
    } else {
        machine_file += "  sections:\n";
        for (name, nozzles) in &sections {
            let (width, unit) = units.width;
            let width = width * f64::from(u32::try_from(*nozzles).unwrap());
            let width = if chance.of_hundred(10) {
                width * 1.1
            } else {
                width
            };
            writeln!(
                machine_file,
                "    - {{name: {name}, nozzles: {nozzles}, entered-width: {width:.2} {unit}}}"
            )
            .unwrap();
        }
    }
    if chance.of_hundred(85) {
        writeln!(
            machine_file,
            "console: {{flow-factor: {}, speed-factor: {}}}",
            units.flow_factor.1, units.speed_factor.1
        )
        .unwrap();
    }
    machine_file += "setups:\n";
    for setup in setups {
        let [pressure, speed, rate] = [units.pressure, units.speed, units.rate];
        let dense = if chance.of_hundred(10) {
            ", density: 1.1 kg/L, density-factor: 1.05"
        } else {
            ""
        };
        writeln!(
            machine_file,
            "  {setup}: {{nozzle: {}, pressure: {} {}, speed: {} {}, rate: {} {}{dense}}}",
            units.nozzle, pressure.0, pressure.1, speed.0, speed.1, rate.0, rate.1
        )
        .unwrap();
    }
    let hours = chance.near(300.0, 0.8);
    let machine = Machine {
        id,
        units,
        sections,
        setups,
        balance_by,
        hours,
    };
    (machine, machine_file)
}

impl Machine<'_> {
    fn heading(&self, chance: &mut Chance, kind: &str, day: Date) -> String {
        let by = chance.one_of(&["rm", "ko", "tg", "rm", "ko", "nobody"]);
        format!(
            "record: {kind}\nmachine: {}\ndate: {day}\nby: {by}\n",
            self.id
        )
    }

    /// The setup a record is of; now and then none is named, or one there is not.
    fn setup(&self, chance: &mut Chance) -> String {
        match chance.below(30) {
            0 => "setup: roughs\n".to_owned(),
            1 => String::new(),
            _ => format!("setup: {}\n", chance.one_of(self.setups)),
        }
    }

    /// What the hour meter read; now and then nobody looked, or it was read wrongly.
    fn hours(&self, chance: &mut Chance) -> Option<f64> {
        match chance.below(10) {
            0..3 => None,
            3 if chance.of_hundred(20) => Some(self.hours - 40.0),
            _ => Some(self.hours),
        }
    }

    fn visit(&mut self, chance: &mut Chance, day: Date) -> String {
        let mut text = self.heading(chance, "calibration", day);
        text += &self.setup(chance);
        if let Some(hours) = self.hours(chance) {
            writeln!(text, "hours: {hours:.0} h").unwrap();
        }
        if chance.of_hundred(50) {
            text += "checked-by: ko\n";
        }
        if chance.of_hundred(60) {
            text += "preparation: {rinsed: true, neutralized: true, liquid: clean water, \
                     protective-gear: [gloves, eye protection]}\n";
        }
        let is_full = chance.of_hundred(50);
        if is_full || chance.of_hundred(60) {
            text += "catch-tests:\n";
            for _ in 0..=chance.below(2) {
                text += &self.catch(chance);
            }
        }
        if is_full || chance.of_hundred(20) {
            text += &self.meter_tests(chance);
        }
        if is_full || chance.of_hundred(20) {
            text += &self.speed_tests(chance);
        }
        if is_full || chance.of_hundred(20) {
            text += &self.balance(chance);
        }
        if chance.of_hundred(20) {
            let (pressure, unit) = self.units.pressure;
            let pressure = chance.near(pressure, 0.15);
            writeln!(text, "boom-end-pressure: {pressure:.1} {unit}").unwrap();
        }
        text
    }

    fn catch(&self, chance: &mut Chance) -> String {
        let (pressure, unit) = self.units.pressure;
        let pressure = if chance.of_hundred(10) {
            chance.near(pressure, 0.2)
        } else {
            pressure
        };
        let mut text = format!("  - pressure: {pressure:.1} {unit}\n");
        let duration = chance.one_of(&["30 s", "30 s", "30 s", "0.5 min", "15 s"]);
        writeln!(text, "    duration: {duration}").unwrap();
        let jug = chance.one_of(&[self.units.jug, self.units.jug, "jug-9"]);
        writeln!(text, "    jug: {jug}").unwrap();
        writeln!(text, "    unit: {}", self.units.caught.1).unwrap();
        // The whole boom out, or one nozzle.
        let all = chance.one_of(&[1.0, 1.0, 1.0, 1.0, 1.02, 1.13]);
        if let [("", nozzles)] = self.sections[..] {
            let cells = self.cells(chance, nozzles, all);
            writeln!(text, "    caught: [{cells}]").unwrap();
            return text;
        }
        text += "    caught:\n";
        let is_partial = chance.of_hundred(25);
        let first = if is_partial {
            chance.index(self.sections.len())
        } else {
            0
        };
        for (name, nozzles) in &self.sections[first..] {
            if is_partial && chance.of_hundred(50) {
                let nozzle = 1 + chance.index(*nozzles);
                let cell = self.cells(chance, 1, all);
                writeln!(text, "      {name}: {{{nozzle}: {cell}}}").unwrap();
            } else {
                let cells = self.cells(chance, *nozzles, all);
                writeln!(text, "      {name}: [{cells}]").unwrap();
            }
        }
        text
    }

    fn cells(&self, chance: &mut Chance, nozzles: usize, all: f64) -> String {
        let caught = self.units.caught.0 * all;
        let cell = |chance: &mut Chance| match chance.below(150) {
            0 => "missed".to_owned(),
            1 => "0".to_owned(),
            2 => format!("{:.1}", caught * 1.15),
            3 => format!("{:.1}", caught * 0.8),
            4..20 => {
                let (one, other) = (chance.near(caught, 0.02), chance.near(caught, 0.02));
                format!("[{one:.1}, {other:.1}]")
            }
            _ => format!("{:.1}", chance.near(caught, 0.02)),
        };
        let cells: Vec<String> = (0..nozzles).map(|_| cell(chance)).collect();
        cells.join(", ")
    }

    fn nozzles(&self) -> f64 {
        let nozzles: usize = self.sections.iter().map(|(_, nozzles)| nozzles).sum();
        f64::from(u32::try_from(nozzles).unwrap())
    }

    fn meter_tests(&self, chance: &mut Chance) -> String {
        let (known, unit) = self.units.known;
        let known = known * self.nozzles();
        let (factor, _) = self.units.flow_factor;
        let mut text = "meter-tests:\n".to_owned();
        let off = chance.one_of(&[1.0, 1.0, 1.003, 1.003, 1.03, 1.12]);
        for nth in 0..=chance.below(2) {
            let known = chance.near(known, 0.003);
            let shown = if nth == 0 { known * off } else { known };
            write!(
                text,
                "  - {{known-volume: {known:.2} {unit}, known-by: fill meter, duration: 4 min, shown: {shown:.2} {unit}"
            )
            .unwrap();
            if chance.of_hundred(40) {
                let after = factor * chance.one_of(&[1.0, off, 1.0 / off]);
                write!(text, ", factor: {{before: {factor:.2}, after: {after:.2}}}").unwrap();
            }
            text += "}\n";
        }
        text
    }

    fn speed_tests(&self, chance: &mut Chance) -> String {
        let (course, unit) = self.units.course;
        let (factor, _) = self.units.speed_factor;
        let mut text = "speed-tests:\n".to_owned();
        let off = chance.one_of(&[1.0, 1.0, 1.005, 1.005, 0.93]);
        for nth in 0..=chance.below(2) {
            let shown = if nth == 0 { course * off } else { course };
            let surface = chance.one_of(&["turf", "turf", "cart path"]);
            let tank = chance.one_of(&["half", "half", "full"]);
            write!(
                text,
                "  - {{distance: {course} {unit}, surface: {surface}, tank: {tank}, runs: ["
            )
            .unwrap();
            let runs: Vec<String> = (0..=chance.below(3))
                .map(|_| {
                    let elapsed = chance.near(self.units.elapsed, 0.01);
                    let shown = chance.near(shown, 0.004);
                    format!("{{elapsed: {elapsed:.1} s, shown: {shown:.1} {unit}}}")
                })
                .collect();
            text += &runs.join(", ");
            text += "]";
            if chance.of_hundred(40) {
                let after = factor * chance.one_of(&[1.0, off, 1.0 / off]);
                write!(text, ", factor: {{before: {factor:.0}, after: {after:.0}}}").unwrap();
            }
            text += "}\n";
        }
        text
    }

    fn balance(&self, chance: &mut Chance) -> String {
        let (all_on, unit) = match self.balance_by {
            Some("pressure") => self.units.pressure,
            _ => self.units.rate,
        };
        let mut text = "section-balance:\n".to_owned();
        let control = chance.one_of(&["manual", "manual", "automatic"]);
        writeln!(text, "  rate-control: {control}").unwrap();
        if self.balance_by != Some("pressure") {
            let (speed, unit) = self.units.speed;
            writeln!(text, "  entered-speed: {speed} {unit}").unwrap();
        }
        let all_on = chance.near(all_on, 0.005);
        write!(text, "  all-on: {all_on:.1} {unit}\n  sections-off:\n").unwrap();
        for (name, _) in &self.sections {
            let name = if name.is_empty() { "left" } else { name };
            let found = all_on * chance.one_of(&[1.0, 1.0, 1.0, 1.002, 1.002, 1.002, 1.03, 0.9]);
            write!(
                text,
                "    - {{sections: [{name}], as-found: {found:.1} {unit}"
            )
            .unwrap();
            if chance.of_hundred(40) {
                let left = chance.near(all_on, 0.01);
                write!(text, ", as-left: {left:.1} {unit}").unwrap();
            }
            text += "}\n";
        }
        text
    }

    fn service(&mut self, chance: &mut Chance, day: Date) -> String {
        let mut text = self.heading(chance, "service", day);
        if let Some(hours) = self.hours(chance) {
            writeln!(text, "hours: {hours:.1} h").unwrap();
        }
        text += "work:\n";
        for _ in 0..=chance.below(2) {
            writeln!(text, "  - {}", self.work(chance)).unwrap();
        }
        text
    }

    /// One piece of work, of every kind there is.
    fn work(&self, chance: &mut Chance) -> String {
        let setup = chance.one_of(self.setups);
        let (section, nozzles) = chance.one_of(&self.sections);
        let what = |what: &str, done: &str| format!("{what}: {{what: {done}}}");
        let done = chance.one_of(&["replaced", "repaired"]);
        match chance.below(24) {
            0..4 if !section.is_empty() => {
                let at = 1 + chance.index(nozzles);
                let nozzle = self.units.nozzle;
                format!(
                    "nozzles-fitted: {{setup: {setup}, at: {{{section}: [{at}]}}, nozzle: {nozzle}}}"
                )
            }
            0..6 => {
                let nozzle = chance.one_of(&[self.units.nozzle, self.units.other_nozzle]);
                format!("nozzles-fitted: {{setup: {setup}, nozzle: {nozzle}}}")
            }
            6 | 7 => {
                let wheels = chance.one_of(&["drive", "other"]);
                let done = chance.one_of(&["replaced", "pressure changed"]);
                format!("tires: {{wheels: {wheels}, what: {done}}}")
            }
            8 | 9 if !section.is_empty() => {
                let done = chance.one_of(&["replaced", "adjusted", "cleaned"]);
                format!("section-valve: {{section: {section}, what: {done}}}")
            }
            8..11 => what("flow-meter", chance.one_of(&["replaced", "cleaned"])),
            11 => what("console", chance.one_of(&["replaced", "settings changed"])),
            12 => {
                let source = chance.one_of(&["wheel", "radar", "gps", "none"]);
                format!("speed-source: {{to: {source}}}")
            }
            15 | 16 => what("regulator", chance.one_of(&["replaced", "adjusted"])),
            17 | 18 => what("hose", done),
            19 => format!("spacing: {{to: {}}}", self.units.spacing),
            20 if !section.is_empty() => {
                let (width, unit) = self.units.width;
                let width = width * f64::from(u32::try_from(nozzles).unwrap());
                format!("entered-widths: {{{section}: {width:.2} {unit}}}")
            }
            21 => {
                let (rate, unit) = self.units.rate;
                let rate = chance.near(rate, 0.2);
                format!("setup: {{setup: {setup}, rate: {rate:.0} {unit}}}")
            }
            22 => format!("moved: {{course: {}}}", chance.one_of(&COURSES)),
            23 if chance.of_hundred(25) => "out-of-service: {because: sold}".to_owned(),
            _ => what("pump", done),
        }
    }

    fn application(&mut self, chance: &mut Chance, day: Date) -> String {
        let mut text = self.heading(chance, "application", day);
        text += &self.setup(chance);
        if let Some(from) = self.hours(chance) {
            self.hours += 2.5;
            writeln!(
                text,
                "hours: {{from: {from:.1} h, to: {:.1} h}}",
                from + 2.5
            )
            .unwrap();
        }
        let (area, area_unit) = self.units.area;
        let (rate, rate_unit) = self.units.rate;
        let volume_unit = rate_unit.split('/').next().unwrap();
        let volume = area * rate * chance.one_of(&[1.0, 1.0, 1.01, 1.08, 0.8]);
        if chance.of_hundred(70) {
            write!(
                text,
                "area: {area} {area_unit}\narea-by: map\nvolume: {volume:.0} {volume_unit}\nvolume-by: fill meter\n"
            )
            .unwrap();
        }
        if chance.of_hundred(50) {
            let (dose, unit) = self.units.amount;
            let amount = dose * volume * chance.one_of(&[1.0, 1.0, 1.8, 0.4]);
            let label = self.units.label;
            write!(
                text,
                "tanks:\n  - {{water: {volume:.0} {volume_unit}, products: [{{name: wetting agent, label: {label}, amount: {amount:.1} {unit}}}]}}\n"
            )
            .unwrap();
        }
        text
    }
}

/// The text as it was meant, or with a slip in so many of a hundred.
pub(super) fn with_slip(chance: &mut Chance, text: String, cases: u64) -> String {
    if !chance.of_hundred(cases) {
        return text;
    }
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let at = chance.index(lines.len());
    match chance.below(8) {
        0 => return String::new(),
        1 => return text[..text.len() / 2].to_owned(),
        2 => {
            lines.remove(at);
        }
        3 => {
            let again = lines[at].clone();
            lines.insert(at, again);
        }
        4 => lines[at] = lines[at].replacen(": ", ":: ", 1),
        5 => lines[at] = lines[at].replacen(' ', " un", 1),
        6 => lines[at].push_str(" h"),
        _ => lines.push("weather: {wind: calm".to_owned()),
    }
    lines.join("\n") + "\n"
}

//! A generated fleet of any size: machine files, full visits as people write them, work and applications between them.
//!
//! The same size and seed give the same bytes on every machine. A clean visit is one that no rule objects to; a faulty
//! one has exactly one fault of those people make, and nobody sprays before the next. Writes no file: every text is handed
//! to the caller.

#![expect(
    clippy::format_push_string,
    reason = "a record reads best as text added to text"
)]

use jiff::civil::Date;
use std::collections::BTreeSet;

/// The day a generated fleet is to be checked for.
pub(crate) const TODAY: Date = Date::constant(2026, 6, 1);

/// Which fleet to generate.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Size {
    /// How many calibrations, spread evenly over the machines.
    pub(crate) calibrations: usize,
    /// How many applications follow a calibration.
    pub(crate) applications: usize,
    /// After how many calibrations a machine is worked on; 0 for never.
    pub(crate) service_after: usize,
    /// How many machines.
    pub(crate) machines: usize,
    /// How many of a hundred calibrations are faulty, on average.
    pub(crate) faulty: u64,
    /// What makes this fleet another one than that of another seed.
    pub(crate) seed: u64,
}

/// What was generated.
#[derive(Debug, Default)]
pub(crate) struct Generated {
    /// The paths of the faulty calibrations.
    pub(crate) faulty: BTreeSet<String>,
    /// How many calibrations, service records and applications there are.
    pub(crate) records: usize,
    /// The length of all texts, in bytes.
    pub(crate) bytes: usize,
    /// The length of the longest history of one machine, its machine file included.
    pub(crate) largest_history: usize,
}

/// Generates a fleet; every path and text goes to `write`.
pub(crate) fn generate(size: &Size, mut write: impl FnMut(&str, &str)) -> Generated {
    let mut generated = Generated {
        bytes: FLEET.len(),
        ..Generated::default()
    };
    write("fleet.yaml", FLEET);
    for index in 0..size.machines {
        let visits = size.calibrations / size.machines
            + usize::from(index < size.calibrations % size.machines);
        let mut machine = Machine::new(index, size.seed);
        let machine_file = machine.machine_file();
        write(&format!("machines/{}.yaml", machine.id), &machine_file);
        let mut history = machine_file.len();
        for visit in 0..visits {
            let (day, name) = day_and_name(visit, visits);
            let is_faulty = machine.random.below(100) < size.faulty;
            let fault = is_faulty.then(|| machine.fault());
            let text = machine.visit(day, fault);
            let path = format!("calibrations/{}/{name}.yaml", machine.id);
            let mut keep = |path: &str, text: &str| {
                write(path, text);
                history += text.len();
                generated.records += 1;
            };
            keep(&path, &text);
            if 0 < size.service_after && visit % size.service_after == size.service_after - 1 {
                let path = format!("service/{}/{name}.yaml", machine.id);
                keep(&path, &machine.service(day));
            }
            for nth in 0..if is_faulty { 0 } else { size.applications } {
                let on = day + jiff::Span::new().days(days_behind(nth, size.applications, visits));
                let name = machine.application_name(on);
                let path = format!("applications/{}/{name}.yaml", machine.id);
                keep(&path, &machine.application(on));
            }
            if is_faulty {
                generated.faulty.insert(path);
            }
        }
        generated.bytes += history;
        generated.largest_history = generated.largest_history.max(history);
    }
    generated
}

/// Visits reach so many days back at most; more of them than days share days.
const MOST_DAYS: usize = 7_300;

/// Between two visits there are so many days at most, so that no step is overdue.
const MOST_BETWEEN: usize = 45;

/// How many visits share a day, how many days have some, and how many days lie between these.
fn spread(visits: usize) -> (usize, usize, usize) {
    let in_a_day = visits.div_ceil(MOST_DAYS);
    let days = visits.div_ceil(in_a_day);
    (in_a_day, days, (MOST_DAYS / days).clamp(1, MOST_BETWEEN))
}

/// How many days after a visit, and before the next, the nth of its applications is made.
fn days_behind(nth: usize, applications: usize, visits: usize) -> i64 {
    let (_, _, between) = spread(visits);
    let days = nth * between.min(7) / applications;
    i64::try_from(days).expect("a week at most")
}

/// The day of a visit, and the file name that its day gives it.
fn day_and_name(visit: usize, visits: usize) -> (Date, String) {
    let (in_a_day, days, between) = spread(visits);
    let back = 7 + between * (days - 1 - visit / in_a_day);
    let day = TODAY - jiff::Span::new().days(i64::try_from(back).expect("twenty years of days"));
    let name = match visit % in_a_day {
        0 => day.to_string(),
        again => format!("{day}-{}", again + 1),
    };
    (day, name)
}

const FLEET: &str = r#"record: fleet
name: Generated Links Group
courses: {saltmere: Saltmere Links, harrow-fen: Harrow Fen, copperbeck: Copperbeck}
people: {rm: {may-sign: true}, ko: {may-sign: true}, tg: {}, lw: {}}
instruments:
  jug-2: {type: jug, capacity: 64 fl oz, graduation: 0.5 fl oz, tolerance: 0.5%, checked: 2026-02-01}
  jug-4: {type: jug, capacity: 2 L, graduation: 10 mL, tolerance: 0.5%, checked: 2026-02-01}
  watch-1: {type: stopwatch}
  gauge-3: {type: gauge, span: 60 psi, class: "1.6", checked: 2026-02-01}
  gauge-5: {type: gauge, span: 6 bar, class: "1.0", checked: 2026-02-02}
  wheel-1: {type: measuring wheel, tolerance: 0.2%}
  refill-1: {type: fill meter, tolerance: 0.5%, checked: 2026-02-02}
usual: {stopwatch: watch-1, gauge: gauge-3, distance: wheel-1, fill-meter: refill-1}
intervals: {full: 12 months, catch: 50 h, because: group decision of 2026-01-10}
limits:
  nozzle-off-mean: {error: 10%, warning: 5%, because: "Alberta Agdex 606-1", from: 2026-01-01}
  at-course: {copperbeck: {nozzle-off-rated: {error: 5%, because: fine turf}}}
"#;

/// The units a machine's records are written in.
#[derive(Clone, Copy, PartialEq)]
enum System {
    Us,
    Si,
}

/// What the numbers of a factor mean.
#[derive(Clone, Copy)]
enum Meaning {
    PulsesPerAmount,
    AmountPerPulse,
}

/// What a machine is built like.
struct Model {
    system: System,
    course: &'static str,
    /// The lines of its machine file on control and sections.
    built: &'static str,
    spacing: &'static str,
    /// Name, nozzles and entered width, from the left.
    sections: &'static [(&'static str, usize, &'static str)],
    console: &'static str,
    setups: &'static [Setup],
    flow_factor: Option<(Meaning, f64, usize)>,
    speed_factor: Option<(Meaning, f64, usize)>,
    balance: Balance,
}

/// What is read while a section is off.
#[derive(Clone, Copy, PartialEq)]
enum Balance {
    Rate,
    Pressure,
    None,
}

/// What a machine does with one set of nozzles, in its system's usual units.
struct Setup {
    name: &'static str,
    nozzle: &'static str,
    /// The rated flow at the setup's pressure, in gpm or L/min.
    flow: f64,
    pressure: f64,
    speed: f64,
    rate: f64,
    rate_unit: &'static str,
    rate_places: usize,
}

/// All three controls, both systems, both kinds of factor, both kinds of valves; the fleet goes through them in turn.
static MODELS: [Model; 5] = [
    Model {
        system: System::Us,
        course: "saltmere",
        built: "control: flow\nspeed-source: wheel\nsection-valves: bypass\nbalance-by: rate\ntank: 200 gal\n",
        spacing: "20 in",
        sections: &[
            ("far-left", 4, "80 in"),
            ("left", 4, "80 in"),
            ("middle", 5, "100 in"),
            ("right", 4, "80 in"),
            ("far-right", 4, "80 in"),
        ],
        console: "console: {flow-factor: pulses/gal, speed-factor: pulses/100 ft}\n",
        // 0.6 gpm and 0.8 gpm at 40 psi.
        setups: &[
            Setup {
                name: "fairways",
                nozzle: "{size: \"06\", material: ceramic}",
                flow: 0.5692,
                pressure: 36.0,
                speed: 4.2,
                rate: 40.0,
                rate_unit: "gal/acre",
                rate_places: 1,
            },
            Setup {
                name: "greens",
                nozzle: "{size: \"08\", material: ceramic}",
                flow: 0.8,
                pressure: 40.0,
                speed: 2.7,
                rate: 2.0,
                rate_unit: "gal/1000 ft2",
                rate_places: 2,
            },
        ],
        flow_factor: Some((Meaning::PulsesPerAmount, 620.0, 0)),
        speed_factor: Some((Meaning::PulsesPerAmount, 1180.0, 0)),
        balance: Balance::Rate,
    },
    Model {
        system: System::Si,
        course: "harrow-fen",
        built: "control: flow\nspeed-source: radar\nsection-valves: bypass\nbalance-by: rate\ntank: 700 L\n",
        spacing: "50 cm",
        sections: &[
            ("far-left", 4, "2.0 m"),
            ("left", 4, "2.0 m"),
            ("mid-left", 4, "2.0 m"),
            ("mid-right", 4, "2.0 m"),
            ("right", 4, "2.0 m"),
            ("far-right", 4, "2.0 m"),
        ],
        console: "console: {flow-factor: mL/pulse, speed-factor: pulses/100 m}\n",
        setups: &[Setup {
            name: "fairways",
            nozzle: "{rated: {flow: 1.6 L/min, pressure: 3 bar}, material: ceramic}",
            flow: 1.5457,
            pressure: 2.8,
            speed: 6.2,
            rate: 300.0,
            rate_unit: "L/ha",
            rate_places: 0,
        }],
        flow_factor: Some((Meaning::AmountPerPulse, 6.12, 2)),
        speed_factor: Some((Meaning::PulsesPerAmount, 3870.0, 0)),
        balance: Balance::Rate,
    },
    Model {
        system: System::Si,
        course: "harrow-fen",
        built: "control: pressure\nspeed-source: gps\nsection-valves: shut-off\ntank: 850 L\n",
        spacing: "50 cm",
        sections: &[
            ("far-left", 6, "3.0 m"),
            ("left", 6, "3.0 m"),
            ("middle", 6, "3.0 m"),
            ("right", 6, "3.0 m"),
            ("far-right", 6, "3.0 m"),
        ],
        console: "",
        setups: &[Setup {
            name: "fairways",
            nozzle: "{rated: {flow: 2.0 L/min, pressure: 3 bar}, material: polymer}",
            flow: 1.8257,
            pressure: 2.5,
            speed: 5.5,
            rate: 400.0,
            rate_unit: "L/ha",
            rate_places: 0,
        }],
        flow_factor: None,
        speed_factor: None,
        balance: Balance::None,
    },
    Model {
        system: System::Us,
        course: "saltmere",
        built: "control: manual\nspeed-source: gps\nsection-valves: bypass\nbalance-by: rate\ntank: 200 gal\n",
        spacing: "20 in",
        sections: &[
            ("far-left", 5, "100 in"),
            ("left", 5, "100 in"),
            ("middle", 5, "100 in"),
            ("right", 5, "100 in"),
            ("far-right", 5, "100 in"),
        ],
        console: "console: {flow-factor: pulses/gal}\n",
        setups: &[Setup {
            name: "fairways",
            nozzle: "{size: \"06\", material: stainless steel}",
            flow: 0.5612,
            pressure: 35.0,
            speed: 3.8,
            rate: 44.0,
            rate_unit: "gal/acre",
            rate_places: 1,
        }],
        flow_factor: Some((Meaning::PulsesPerAmount, 486.0, 0)),
        speed_factor: None,
        balance: Balance::Rate,
    },
    Model {
        system: System::Us,
        course: "copperbeck",
        built: "control: flow\nspeed-source: radar\nsection-valves: bypass\nbalance-by: pressure\ntank: 175 gal\n",
        spacing: "15 in",
        sections: &[
            ("far-left", 5, "75 in"),
            ("left", 5, "75 in"),
            ("mid-left", 4, "60 in"),
            ("mid-right", 4, "60 in"),
            ("right", 5, "75 in"),
            ("far-right", 5, "75 in"),
        ],
        console: "console: {flow-factor: pulses/gal, speed-factor: pulses/100 ft}\n",
        setups: &[Setup {
            name: "fairways",
            nozzle: "{size: \"05\", material: ceramic}",
            flow: 0.4937,
            pressure: 39.0,
            speed: 3.9,
            rate: 50.0,
            rate_unit: "gal/acre",
            rate_places: 1,
        }],
        flow_factor: Some((Meaning::PulsesPerAmount, 478.0, 0)),
        speed_factor: Some((Meaning::PulsesPerAmount, 1212.0, 0)),
        balance: Balance::Pressure,
    },
];

/// The one fault of a visit.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fault {
    WornNozzle,
    PluggedNozzle,
    NozzleNotCaught,
    WrongTip,
    WornBoom,
    MeterOff,
    FactorUpsideDown,
    NotTestedAgain,
    SectionDown,
    MisspeltKey,
    MissingUnit,
    DecimalComma,
}

impl Fault {
    const ALL: [Self; 12] = [
        Self::WornNozzle,
        Self::PluggedNozzle,
        Self::NozzleNotCaught,
        Self::WrongTip,
        Self::WornBoom,
        Self::MeterOff,
        Self::FactorUpsideDown,
        Self::NotTestedAgain,
        Self::SectionDown,
        Self::MisspeltKey,
        Self::MissingUnit,
        Self::DecimalComma,
    ];

    /// Whether a machine of this model can have it.
    fn fits(self, model: &Model) -> bool {
        match self {
            Self::FactorUpsideDown | Self::NotTestedAgain => model.flow_factor.is_some(),
            Self::SectionDown => model.balance != Balance::None,
            Self::WornNozzle
            | Self::PluggedNozzle
            | Self::NozzleNotCaught
            | Self::WrongTip
            | Self::WornBoom
            | Self::MeterOff
            | Self::MisspeltKey
            | Self::MissingUnit
            | Self::DecimalComma => true,
        }
    }

    /// By how much the nozzle it strikes passes more or less.
    fn of_one_nozzle(self) -> Option<f64> {
        match self {
            Self::WornNozzle => Some(1.13),
            Self::PluggedNozzle => Some(0.0),
            Self::WrongTip => Some(1.3),
            Self::NozzleNotCaught
            | Self::WornBoom
            | Self::MeterOff
            | Self::FactorUpsideDown
            | Self::NotTestedAgain
            | Self::SectionDown
            | Self::MisspeltKey
            | Self::MissingUnit
            | Self::DecimalComma => None,
        }
    }
}

/// A sensor that drifts, and its factor as the console has it.
#[derive(Clone, Copy)]
struct Sensor {
    meaning: Meaning,
    entered: f64,
    right: f64,
    places: usize,
}

/// A sensor drifts by so much from visit to visit at most.
const DRIFT: f64 = 0.007;

/// Nobody corrects a factor for less.
const WORTH_CORRECTING: f64 = 0.009;

/// No clean visit finds a sensor further out, so that meter and speed together stay within the limit of the rate.
const FURTHEST_OUT: f64 = 0.011;

/// How far out the meter is where its correction goes wrong.
const FAR_OUT: f64 = 0.022;

impl Sensor {
    fn new((meaning, entered, places): (Meaning, f64, usize)) -> Self {
        Self {
            meaning,
            entered,
            right: entered,
            places,
        }
    }

    /// What the console shows over what is true.
    fn error(&self) -> f64 {
        match self.meaning {
            Meaning::PulsesPerAmount => self.right / self.entered - 1.0,
            Meaning::AmountPerPulse => self.entered / self.right - 1.0,
        }
    }

    /// Sets what is true so that the console is out by `error`.
    fn put_out(&mut self, error: f64) {
        self.right = match self.meaning {
            Meaning::PulsesPerAmount => self.entered * (1.0 + error),
            Meaning::AmountPerPulse => self.entered / (1.0 + error),
        };
    }

    fn drift(&mut self, random: &mut Random) {
        let error = self.error() + random.within(DRIFT);
        self.put_out(error.clamp(-FURTHEST_OUT, FURTHEST_OUT));
    }

    /// Enters what a test asks for; gives the entry of the record.
    fn correct(&mut self, shown: f64, known: f64) -> String {
        let before = self.entered;
        let factor = match self.meaning {
            Meaning::PulsesPerAmount => before * shown / known,
            Meaning::AmountPerPulse => before * known / shown,
        };
        self.entered = rounded(factor, self.places);
        format!(
            "factor: {{before: {before:.places$}, after: {:.places$}}}",
            self.entered,
            places = self.places
        )
    }
}

fn rounded(value: f64, places: usize) -> f64 {
    format!("{value:.places$}")
        .parse()
        .expect("a number as the standard library writes it")
}

/// One machine from visit to visit.
struct Machine {
    id: String,
    model: &'static Model,
    random: Random,
    /// What each nozzle passes, as a multiple of its rated flow.
    wear: Vec<f64>,
    flow: Option<Sensor>,
    speed: Option<Sensor>,
    hours: f64,
    visits: usize,
    /// How often it was worked on.
    services: usize,
    /// The day it last sprayed, and how often it did so on that day.
    sprayed: Option<(Date, usize)>,
}

/// Shore and wading birds, after which the machines are named.
const BIRDS: [&str; 12] = [
    "avocet",
    "curlew",
    "dunlin",
    "egret",
    "godwit",
    "heron",
    "knot",
    "plover",
    "redshank",
    "dowitcher",
    "snipe",
    "whimbrel",
];

impl Machine {
    fn new(index: usize, seed: u64) -> Self {
        let number = u64::try_from(index).expect("a count of machines");
        let mut random = Random::new(seed.wrapping_mul(1_000_003).wrapping_add(number));
        let model = &MODELS[index % MODELS.len()];
        let nozzles = model.sections.iter().map(|section| section.1).sum();
        Self {
            id: format!("{}-{}", BIRDS[index % BIRDS.len()], index + 1),
            model,
            wear: (0..nozzles).map(|_| 1.0 + random.within(0.01)).collect(),
            flow: model.flow_factor.map(Sensor::new),
            speed: model.speed_factor.map(Sensor::new),
            hours: 100.0 + random.within(80.0),
            visits: 0,
            services: 0,
            sprayed: None,
            random,
        }
    }

    fn machine_file(&self) -> String {
        let Model {
            course,
            built,
            spacing,
            console,
            ..
        } = self.model;
        let mut text = format!(
            "record: machine\nid: {}\ncourse: {course}\nkind: boom-sprayer\nin-service: 2005-03-01\n{built}boom:\n  spacing: {spacing}\n  sections:\n",
            self.id
        );
        for (name, nozzles, width) in self.model.sections {
            text +=
                &format!("    - {{name: {name}, nozzles: {nozzles}, entered-width: {width}}}\n");
        }
        text += console;
        text += "setups:\n";
        for setup in self.model.setups {
            text += &format!(
                "  {}: {{nozzle: {}, pressure: {} {}, speed: {} {}, rate: {} {}}}\n",
                setup.name,
                setup.nozzle,
                setup.pressure,
                self.pressure_unit(),
                setup.speed,
                self.speed_unit(),
                setup.rate,
                setup.rate_unit,
            );
        }
        text
    }

    /// One of the faults a machine of this model can have.
    fn fault(&mut self) -> Fault {
        let fitting: Vec<Fault> = Fault::ALL
            .into_iter()
            .filter(|fault| fault.fits(self.model))
            .collect();
        fitting[self.random.index(fitting.len())]
    }

    /// The work before the visit just made, on what that visit tested.
    fn service(&mut self, day: Date) -> String {
        let setup = self.setup();
        self.services += 1;
        let work = match self.services % 3 {
            0 => "tires: {wheels: drive, what: replaced}".to_owned(),
            1 => "flow-meter: {what: cleaned}".to_owned(),
            _ => format!("nozzles-fitted: {{setup: {}}}", setup.name),
        };
        format!(
            "record: service\nmachine: {}\ndate: {day}\nby: rm\nhours: {:.0} h\nwork:\n  - {work}\n",
            self.id, self.hours
        )
    }

    /// The name of the file of an application on a day; a second one that day adds `-2`.
    fn application_name(&mut self, on: Date) -> String {
        let times = match self.sprayed {
            Some((day, times)) if day == on => times + 1,
            Some(_) | None => 1,
        };
        self.sprayed = Some((on, times));
        match times {
            1 => on.to_string(),
            times => format!("{on}-{times}"),
        }
    }

    /// An application with the setup last tested, of two tanks.
    fn application(&mut self, on: Date) -> String {
        /// Square feet to the acre, by a thousand.
        const ACRE: f64 = 43.56;
        let setup = self.setup();
        let (area_unit, volume_unit, label, dose, amount_unit) = match self.model.system {
            System::Us => (
                "acre",
                "gal",
                "{min: 8 fl oz/acre, max: 16 fl oz/acre}",
                12.0,
                "fl oz",
            ),
            System::Si => ("ha", "L", "{min: 600 mL/ha, max: 1200 mL/ha}", 900.0, "mL"),
        };
        let rate = if setup.rate_unit == "gal/1000 ft2" {
            setup.rate * ACRE
        } else {
            setup.rate
        };
        let area = rounded(3.0 + self.random.within(1.0), 1);
        let volume = rounded(area * rate * (1.0 + self.random.within(0.01)), 0);
        let from = self.hours.ceil();
        self.hours = from + 1.5;
        let mut text = format!(
            "record: application\nmachine: {}\nsetup: {}\ndate: {on}\nby: tg\nhours: {{from: {from:.1} h, to: {:.1} h}}\nplace: fairways {} to 9\narea: {area:.1} {area_unit}\narea-by: map\nvolume: {volume:.0} {volume_unit}\nvolume-by: fill meter\ntanks:\n",
            self.id,
            setup.name,
            self.hours,
            1 + self.random.below(8),
        );
        let water = rounded(volume / 2.0, 0);
        let amount = rounded(water / rate * dose, 0);
        for _ in 0..2 {
            text += &format!(
                "  - {{water: {water:.0} {volume_unit}, products: [{{name: growth regulator, label: {label}, amount: {amount:.0} {amount_unit}}}]}}\n"
            );
        }
        text
    }

    /// The setup last tested.
    fn setup(&self) -> &'static Setup {
        let setups = self.model.setups;
        &setups[self.visits.saturating_sub(1) % setups.len()]
    }

    fn visit(&mut self, day: Date, fault: Option<Fault>) -> String {
        let setup = &self.model.setups[self.visits % self.model.setups.len()];
        self.visits += 1;
        self.hours += 4.0 + self.random.within(3.0);
        let mut text = format!(
            "record: calibration\nmachine: {}\ndate: {day}\nby: rm\nchecked-by: ko\nsetup: {}\nhours: {:.0} h\noccasion: {}\n",
            self.id,
            setup.name,
            self.hours,
            self.random.one_of(&[
                "season start",
                "after service",
                "routine check",
                "after winter"
            ]),
        );
        text += "preparation: {rinsed: true, neutralized: true, liquid: clean water, protective-gear: [gloves, eye protection]}\n";
        text += &self.catch_tests(setup, fault);
        text += &self.meter_tests(setup, fault);
        text += &self.speed_tests(setup);
        text += &self.section_balance(setup, fault);
        text += &format!(
            "boom-end-pressure: {:.1} {}\n",
            setup.pressure * (0.96 + self.random.within(0.01)),
            self.pressure_unit(),
        );
        if fault == Some(Fault::MisspeltKey) {
            text = text.replacen("    duration:", "    duraton:", 1);
        } else if fault == Some(Fault::MissingUnit) {
            text = text.replacen(&format!(" {}\n", self.pressure_unit()), "\n", 1);
        } else if fault == Some(Fault::DecimalComma) {
            let point = text
                .rfind('.')
                .expect("the pressure at the boom's end has one");
            text.replace_range(point..=point, ",");
        }
        text
    }

    /// The catches: of the whole boom, once or twice, and now and then one nozzle again.
    fn catch_tests(&mut self, setup: &Setup, fault: Option<Fault>) -> String {
        let struck = self.random.index(self.wear.len());
        let mut text = "catch-tests:\n".to_owned();
        let catches: &[&str] = if self.random.below(100) < 60 {
            &["as found", "strainers cleaned"]
        } else {
            &["nothing touched"]
        };
        for comment in catches {
            text += &self.catch_of_boom(setup, fault, struck, comment);
        }
        if fault.is_none() && self.random.below(100) < 15 {
            text += &self.catch_again(setup, struck);
        }
        text
    }

    fn catch_of_boom(
        &mut self,
        setup: &Setup,
        fault: Option<Fault>,
        struck: usize,
        comment: &str,
    ) -> String {
        let (jug, unit) = self.jug_and_unit();
        let mut text = format!(
            "  - pressure: {} {}\n    duration: 30 s\n    {jug}\n    unit: {unit}\n    caught:                         # {comment}\n",
            setup.pressure,
            self.pressure_unit(),
        );
        let mut nozzles = 0..;
        for (name, count, _) in self.model.sections {
            let cells: Vec<String> = nozzles
                .by_ref()
                .take(*count)
                .map(|nozzle| {
                    if nozzle == struck {
                        self.struck(setup, nozzle, fault)
                    } else {
                        self.caught(setup, nozzle, fault)
                    }
                })
                .collect();
            text += &format!("      {name}: [{}]\n", cells.join(", "));
        }
        text
    }

    /// One nozzle caught again.
    fn catch_again(&mut self, setup: &Setup, nozzle: usize) -> String {
        let (jug, unit) = self.jug_and_unit();
        let mut position = nozzle + 1;
        let mut sections = self.model.sections.iter();
        let section = sections.find(|(_, count, _)| {
            let is_here = position <= *count;
            if !is_here {
                position -= count;
            }
            is_here
        });
        format!(
            "  - {{pressure: {} {}, duration: 30 s, {}, unit: {unit}, caught: {{{}: {{{position}: {}}}}}}}    # tip cleaned: only what was caught again\n",
            setup.pressure,
            self.pressure_unit(),
            jug.replace("\n    ", ", "),
            section.map_or("", |section| section.0),
            self.caught(setup, nozzle, None),
        )
    }

    fn jug_and_unit(&self) -> (&'static str, &'static str) {
        match self.model.system {
            System::Us => ("jug: jug-2", "fl oz"),
            System::Si => ("jug: jug-4\n    gauge: gauge-5", "mL"),
        }
    }

    /// What the nozzle passes in half a minute, to the jug's graduation.
    fn caught(&mut self, setup: &Setup, nozzle: usize, fault: Option<Fault>) -> String {
        let worn = if fault == Some(Fault::WornBoom) {
            1.13
        } else {
            1.0
        };
        let flow = setup.flow * self.wear[nozzle] * worn * (1.0 + self.random.within(0.006));
        self.in_jug(flow)
    }

    /// What stands for the one nozzle that is not like the others.
    fn struck(&mut self, setup: &Setup, nozzle: usize, fault: Option<Fault>) -> String {
        if fault == Some(Fault::NozzleNotCaught) {
            return "missed".to_owned();
        }
        if let Some(times) = fault.and_then(Fault::of_one_nozzle) {
            return self.in_jug(setup.flow * self.wear[nozzle] * times);
        }
        // Caught twice, since the first jug was splashed.
        let first = self.caught(setup, nozzle, fault);
        let second = self.caught(setup, nozzle, fault);
        format!("[{first}, {second}]")
    }

    fn in_jug(&self, flow: f64) -> String {
        match self.model.system {
            System::Us => format!("{:.1}", (flow * 64.0 * 2.0).round() / 2.0),
            System::Si => format!("{:.0}", (flow * 50.0).round() * 10.0),
        }
    }

    /// The tests of the flow meter: one, or a second one after a correction.
    fn meter_tests(&mut self, setup: &Setup, fault: Option<Fault>) -> String {
        let worn = if fault == Some(Fault::WornBoom) {
            1.13
        } else {
            1.0
        };
        let boom = setup.flow * worn * self.wear.iter().sum::<f64>();
        let known = |random: &mut Random| rounded(boom * 4.0 * (1.0 + random.within(0.003)), 1);
        let mut text = "meter-tests:\n".to_owned();
        let Some(mut sensor) = self.flow else {
            let known = known(&mut self.random);
            let off = if fault == Some(Fault::MeterOff) {
                1.09
            } else {
                1.004
            };
            return text + &self.meter_test(known, known * off, "");
        };
        sensor.drift(&mut self.random);
        if matches!(fault, Some(Fault::FactorUpsideDown | Fault::NotTestedAgain)) {
            sensor.put_out(FAR_OUT);
        }
        if fault == Some(Fault::FactorUpsideDown) {
            let known = known(&mut self.random);
            let shown = rounded(known * (1.0 + sensor.error()), 1);
            let factor = sensor.correct(known, shown);
            text += &self.meter_test(known, shown, &format!(", {factor}"));
        }
        if WORTH_CORRECTING < sensor.error().abs() {
            let known = known(&mut self.random);
            let shown = rounded(known * (1.0 + sensor.error()), 1);
            let factor = sensor.correct(shown, known);
            text += &self.meter_test(known, shown, &format!(", {factor}"));
        }
        if fault != Some(Fault::NotTestedAgain) {
            let known = known(&mut self.random);
            let off = if fault == Some(Fault::MeterOff) {
                1.09
            } else {
                1.0
            };
            text += &self.meter_test(known, known * (1.0 + sensor.error()) * off, "");
        }
        self.flow = Some(sensor);
        text
    }

    fn meter_test(&self, known: f64, shown: f64, factor: &str) -> String {
        let unit = match self.model.system {
            System::Us => "gal",
            System::Si => "L",
        };
        format!(
            "  - {{known-volume: {known:.1} {unit}, known-by: fill meter, duration: 4 min, shown: {shown:.1} {unit}{factor}}}\n"
        )
    }

    /// The runs over the course: there and back, and once more where the factor was corrected.
    fn speed_tests(&mut self, setup: &Setup) -> String {
        let mut text = "speed-tests:\n".to_owned();
        let mut error = 0.0;
        if let Some(mut sensor) = self.speed {
            sensor.drift(&mut self.random);
            if WORTH_CORRECTING < sensor.error().abs() {
                let (runs, shown) = self.runs(setup, 3, sensor.error());
                let factor = sensor.correct(shown, self.course());
                text += &self.speed_test(&runs, &format!("    {factor}\n"));
            }
            error = sensor.error();
            self.speed = Some(sensor);
        }
        for _direction in ["there", "back"] {
            let (runs, _) = self.runs(setup, 3, error);
            text += &self.speed_test(&runs, "");
        }
        text
    }

    fn speed_test(&self, runs: &str, factor: &str) -> String {
        let course = self.course();
        let unit = match self.model.system {
            System::Us => "ft",
            System::Si => "m",
        };
        format!(
            "  - distance: {course} {unit}\n    surface: turf\n    tank: half\n    runs: [{runs}]\n{factor}"
        )
    }

    /// So many runs as they are written, and the mean of what the console showed.
    fn runs(&mut self, setup: &Setup, count: u32, error: f64) -> (String, f64) {
        let course = self.course();
        let (per_second, unit, places) = match self.model.system {
            System::Us => (setup.speed * 5280.0 / 3600.0, "ft", 0),
            System::Si => (setup.speed / 3.6, "m", 1),
        };
        let mut runs = Vec::new();
        let mut sum = 0.0;
        for _ in 0..count {
            let elapsed = course / per_second * (1.0 + self.random.within(0.004));
            let shown = rounded(course * (1.0 + error + self.random.within(0.001)), places);
            sum += shown;
            runs.push(format!(
                "{{elapsed: {elapsed:.1} s, shown: {shown:.places$} {unit}}}"
            ));
        }
        (runs.join(", "), sum / f64::from(count))
    }

    fn course(&self) -> f64 {
        match self.model.system {
            System::Us => 200.0,
            System::Si => 100.0,
        }
    }

    fn section_balance(&mut self, setup: &Setup, fault: Option<Fault>) -> String {
        let (read, unit, places) = match self.model.balance {
            Balance::None => return String::new(),
            Balance::Rate => (setup.rate, setup.rate_unit, setup.rate_places),
            Balance::Pressure => (setup.pressure, self.pressure_unit(), 1),
        };
        let all_on = read * (1.0 + self.random.within(0.004));
        let mut text = "section-balance:\n".to_owned();
        if self.model.balance == Balance::Rate {
            text += &format!("  entered-speed: {} {}\n", setup.speed, self.speed_unit());
        }
        text += &format!(
            "  rate-control: manual              # standing still, so the console computes a rate\n  all-on: {all_on:.places$} {unit}\n  sections-off:\n"
        );
        let struck = self.random.index(self.model.sections.len());
        for (index, (name, ..)) in self.model.sections.iter().enumerate() {
            let down = if fault == Some(Fault::SectionDown) && index == struck {
                0.8
            } else {
                1.0
            };
            let found = all_on * down * (1.0 + self.random.within(0.006));
            text += &format!("    - {{sections: [{name}], as-found: {found:.places$} {unit}");
            if fault.is_none() && index == struck {
                let left = all_on * (1.0 + self.random.within(0.003));
                text += &format!(", as-left: {left:.places$} {unit}");
            }
            text += "}\n";
        }
        let [(outer, ..), (inner, ..), ..] = self.model.sections else {
            return text;
        };
        let half = all_on * (1.0 + self.random.within(0.006));
        text += &format!(
            "    - {{sections: [{outer}, {inner}], as-found: {half:.places$} {unit}}}        # half boom, as on greens\n"
        );
        text
    }

    fn pressure_unit(&self) -> &'static str {
        match self.model.system {
            System::Us => "psi",
            System::Si => "bar",
        }
    }

    fn speed_unit(&self) -> &'static str {
        match self.model.system {
            System::Us => "mph",
            System::Si => "km/h",
        }
    }
}

/// A xorshift generator (Journal of Statistical Software 8 (2003) 14): small, seeded, the same everywhere.
struct Random(u64);

impl Random {
    fn new(seed: u64) -> Self {
        // Neighboring seeds must not begin alike, and none may be zero.
        let mut random = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
        (0..8).for_each(|_| {
            random.next();
        });
        random
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, end: u64) -> u64 {
        (self.next() >> 16) % end
    }

    fn index(&mut self, len: usize) -> usize {
        let len = u64::try_from(len).expect("a list's length");
        usize::try_from(self.below(len)).expect("below a list's length")
    }

    fn one_of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.index(choices.len())]
    }

    /// A number between `-most` and `most`, to a thousandth of it.
    fn within(&mut self, most: f64) -> f64 {
        let step = u32::try_from(self.below(2001)).expect("a small number");
        most * (f64::from(step) / 1000.0 - 1.0)
    }
}

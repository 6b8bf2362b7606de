//! What each step is in the words of the rules, all that differs from one to another: which machine has it, which work
//! undoes it, which outcome is bad, and how its test is written. How a step stands is judged elsewhere, alike for all.

#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "a kind of work does nothing to a step unless the rules' words name it"
)]

use super::judged::{Looked, StepOf, is_later};
use super::{Cell, Event, Machine, SECTIONS, Tested, Visit, Work};
use std::fmt::Write;
use swathlint::outcome::Step;

/// What machine files say of the machine, by key, and in which words.
pub(super) const SAID: [(&str, &[&str]); 3] = [
    ("control", &["flow", "pressure", "manual"]),
    ("speed-source", &["wheel", "radar", "gps", "none"]),
    ("section-valves", &["bypass", "shut-off"]),
];

/// The pressure every machine file gives its setups, in psi.
const PRESSURE: u32 = 36;

/// The rule that a bad test of a step breaks here; what follows from that needs no waiver of its own.
pub(super) fn rule(step: Option<Step>) -> &'static str {
    match step {
        None => "catch-spread-wide",
        Some(Step::Catch) => "nozzle-off-mean",
        Some(Step::Flow) => "meter-off",
        Some(Step::Speed) => "speed-sensor-off",
        Some(Step::Balance) => "section-off-change",
    }
}

/// Whether a test of a step can come out so: the rule of the speed sensor is for those that have one all along, and a
/// balance needs sections.
pub(super) fn may_be_tested(
    machine: &Machine,
    step: Step,
    tested: Tested,
    gets_another_source: bool,
) -> bool {
    let source = machine.says.get("speed-source");
    match step {
        Step::Catch | Step::Flow => true,
        Step::Speed if matches!(tested, Tested::Lacking | Tested::Begun) => true,
        Step::Speed => {
            let may_show_wrong = !gets_another_source && !matches!(source, Some(&("gps" | "none")));
            may_show_wrong || tested == Tested::Good
        }
        Step::Balance => {
            !machine.is_plain && machine.sections.len() > 1 && tested != Tested::Lacking
        }
    }
}

/// A step's test as a record has it.
pub(super) fn test(machine: &Machine, step: Step, tested: Tested) -> String {
    let mut text = String::new();
    let shown = |good, bad| match tested {
        Tested::Good => vec![good],
        Tested::Begun => vec!["~"],
        Tested::PutRight => vec![bad, good],
        Tested::Bad => vec![bad],
        Tested::Lacking => Vec::new(),
    };
    match step {
        Step::Catch => panic!("catches are written nozzle by nozzle"),
        Step::Flow => {
            // Near what such a boom passes, for any test of the known volume against the catch.
            let flow = 0.5692 * f64::from(u8::try_from(machine.nozzles()).unwrap());
            let duration = format!("duration: {:.2} min", 34.2 / flow);
            text.push_str("meter-tests:\n");
            if tested == Tested::Lacking {
                text.push_str("  - {known-volume: 34.2 gal, known-by: fill meter}\n");
            }
            for shown in shown("34.2 gal", "41 gal") {
                text.push_str("  - {known-volume: 34.2 gal, known-by: fill meter, ");
                writeln!(text, "{duration}, shown: {shown}}}").unwrap();
            }
        }
        Step::Speed => {
            text.push_str("speed-tests:\n");
            if tested == Tested::Lacking {
                text.push_str(
                    "  - {distance: 200 ft, runs: [{elapsed: 32.5 s}, {elapsed: 32.5 s}]}\n",
                );
            }
            for shown in shown("200 ft", "240 ft") {
                let run = format!("{{elapsed: 32.5 s, shown: {shown}}}");
                text.push_str("  - {distance: 200 ft, surface: turf, tank: half, ");
                writeln!(text, "runs: [{run}, {run}, {run}]}}").unwrap();
            }
        }
        Step::Balance => {
            text.push_str("section-balance:\n  entered-speed: 4.2 mph\n  rate-control: manual\n");
            text.push_str("  all-on: 40.3 gal/acre\n  sections-off:\n");
            for (number, section) in SECTIONS[..machine.sections.len()].iter().enumerate() {
                let read = match (tested, number) {
                    (Tested::PutRight, 0) => "as-found: 32.2 gal/acre, as-left: 40.2 gal/acre",
                    (Tested::Bad, 0) => "as-found: 32.2 gal/acre",
                    (Tested::Begun, 0) => "as-found: ~, as-left: ~",
                    (_, _) => "as-found: 40.2 gal/acre",
                };
                writeln!(text, "    - {{sections: [{section}], {read}}}").unwrap();
            }
        }
    }
    text
}

impl Looked<'_> {
    fn says(&self, key: &str) -> Option<&'static str> {
        self.machine().says.get(key).copied()
    }

    /// Whether the machine has the step; none where its machine file does not say.
    pub(crate) fn has(&self, step: Step) -> Option<bool> {
        match step {
            Step::Catch => Some(true),
            Step::Flow => self.says("control").map(|control| control == "flow"),
            Step::Speed => match self.speed_source(None) {
                None if self.says("control") == Some("manual") => Some(true),
                source => source.map(|source| source != "gps"),
            },
            // One section has no other that its flow could go to.
            Step::Balance if self.machine().sections.len() == 1 => Some(false),
            Step::Balance => self.says("section-valves").map(|valves| valves == "bypass"),
        }
    }

    /// Whether each setup has the step by itself on the day.
    pub(super) fn is_of_a_setup(&self, step: Step) -> bool {
        match step {
            Step::Catch | Step::Balance => true,
            Step::Flow => false,
            Step::Speed => self.is_driven(None),
        }
    }

    /// What measures the speed, right before something or at the end of the day.
    fn speed_source(&self, before: Option<&Event>) -> Option<&'static str> {
        let mut source = self.says("speed-source");
        for (event, work) in self.works() {
            if let Work::SpeedSource(to) = work
                && before.is_none_or(|before| is_later(before, event))
            {
                source = Some(to);
            }
        }
        source
    }

    /// Whether nothing measures the speed: a stopwatch must.
    fn is_driven(&self, before: Option<&Event>) -> bool {
        match self.speed_source(before) {
            Some(source) => source == "none",
            None => self.says("control") == Some("manual"),
        }
    }

    /// Whether a visit has all that the figure of a step needs; none where it has nothing of the step.
    pub(super) fn is_proven(&self, step: Step, event: &Event, visit: &Visit) -> Option<bool> {
        let tested = *visit.tested.get(&step)?;
        let is_driven = || step == Step::Speed && self.is_driven(Some(event));
        Some(tested != Tested::Begun && (tested != Tested::Lacking || is_driven()))
    }

    /// Whether work voids the step, as far as nothing was caught since.
    pub(super) fn voids(&self, of: StepOf, event: &Event, work: &Work) -> bool {
        match of.step {
            Step::Catch => match work {
                Work::NozzlesFitted(setup, _) if Some(*setup) != of.setup => false,
                // The step is to be done again, as after any work but on single nozzles.
                Work::NozzlesFitted(_, None) => true,
                Work::NozzlesFitted(_, Some(at)) => {
                    let mut fitted = self.places(at);
                    fitted.any(|nozzle| !self.is_caught_since(nozzle, of, event))
                }
                _ => false,
            },
            Step::Flow => matches!(work, Work::FlowMeter | Work::Console),
            Step::Speed => match work {
                Work::Tires(wheels) => {
                    let source = self.speed_source(Some(event));
                    *wheels != Some("other") && matches!(source, None | Some("wheel" | "none"))
                }
                Work::Console | Work::SpeedSource(_) => true,
                _ => false,
            },
            Step::Balance => match work {
                Work::SectionValve(_) => true,
                Work::NozzlesFitted(setup, at) => {
                    Some(*setup) == of.setup
                        && at.as_ref().is_none_or(|at| {
                            at.iter().any(|(section, positions)| {
                                (1..=self.machine().sections[*section])
                                    .all(|position| positions.contains(&position))
                            })
                        })
                }
                _ => false,
            },
        }
    }

    /// Whether work asks for another look at the step.
    pub(super) fn asks(&self, of: StepOf, event: &Event, work: &Work) -> bool {
        match of.step {
            Step::Flow | Step::Speed => false,
            Step::Catch | Step::Balance => match work {
                Work::Pump | Work::Regulator | Work::Hose => true,
                Work::Spacing => of.step == Step::Catch,
                Work::Setup(setup, Some(psi)) => {
                    Some(*setup) == of.setup && *psi != self.pressure_before(*setup, event)
                }
                _ => false,
            },
        }
    }

    /// Whether a visit leaves a step beyond a limit: of a nozzle only until it is caught again.
    pub(super) fn is_bad(&self, of: StepOf, event: &Event, visit: &Visit) -> bool {
        let step = of.step;
        let is_bad = visit.tested.get(&step) == Some(&Tested::Bad);
        match step {
            Step::Catch => (0..self.machine().nozzles()).any(|nozzle| {
                let cells = visit.catches.iter().filter_map(|catch| catch[nozzle]);
                let mut read = cells.filter(|cell| *cell != Cell::Missed);
                read.next_back() == Some(Cell::Bad) && !self.is_caught_since(nozzle, of, event)
            }),
            Step::Flow | Step::Speed => is_bad,
            // A console that holds the rate hides the change: a warning.
            Step::Balance => is_bad && self.says("control") != Some("flow"),
        }
    }

    /// What a setup worked at before a service record.
    fn pressure_before(&self, setup: usize, service: &Event) -> u32 {
        let mut pressure = PRESSURE;
        for (event, work) in self.works() {
            if let Work::Setup(of, Some(psi)) = work
                && *of == setup
                && is_later(service, event)
            {
                pressure = *psi;
            }
        }
        pressure
    }
}

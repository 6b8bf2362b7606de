//! Fleets drawn at random, such that what is wrong in them is unmistakable and all else is right.

use super::{
    Cell, Event, Fleet, Interval, Machine, Scope, Setting, Tested, Visit, Waiver, What, Work, steps,
};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use proptest::sample::select;
use std::collections::BTreeMap;
use swathlint::outcome::Step;

/// A group of one to three machines.
pub(crate) fn fleet() -> impl Strategy<Value = Fleet> {
    (
        prop::collection::vec(setting(), 0..7),
        prop::option::weighted(0.15, day()),
        prop::collection::vec(waiver(), 0..3),
        prop::collection::vec(machine(), 1..4),
    )
        .prop_map(|(settings, enforce_from, waivers, machines)| {
            let waivers = waivers.into_iter().map(|drawn| drawn.of(&machines));
            Fleet {
                intervals: one_each(settings),
                enforce_from,
                waivers: waivers.collect(),
                machines,
            }
        })
}

/// Any day of about two seasons; ends of months and the leap day more often than others.
pub(crate) fn day() -> impl Strategy<Value = Date> {
    let ends = vec![
        date(2023, 12, 31),
        date(2024, 1, 30),
        date(2024, 1, 31),
        date(2024, 2, 28),
        date(2024, 2, 29),
        date(2024, 3, 31),
        date(2024, 4, 30),
        date(2024, 8, 31),
        date(2024, 11, 30),
        date(2025, 2, 28),
        date(2025, 3, 1),
    ];
    prop_oneof![
        3 => (0_i64..480).prop_map(|days| date(2023, 12, 20) + days.days()),
        1 => select(ends),
    ]
}

fn step() -> impl Strategy<Value = Option<Step>> {
    prop::option::weighted(0.7, select(Step::all().collect::<Vec<_>>()))
}

fn setting() -> impl Strategy<Value = Setting> {
    let scope = prop_oneof![
        2 => Just(Scope::Fleet),
        1 => (0_usize..2).prop_map(Scope::Course),
        1 => (0_usize..3).prop_map(Scope::Setup),
        1 => (0_usize..3).prop_map(Scope::Machine),
        1 => (0_usize..3, 0_usize..3).prop_map(|(machine, setup)| Scope::SetupOfMachine(machine, setup)),
    ];
    let interval = prop_oneof![
        (1_u32..15).prop_map(Interval::Months),
        (1_u32..200).prop_map(Interval::Days),
        (1_i64..900).prop_map(Interval::Hours),
        (1_usize..6).prop_map(Interval::Applications),
    ];
    (scope, step(), prop::collection::vec(interval, 1..4)).prop_map(|(scope, step, drawn)| {
        let mut intervals: Vec<Interval> = Vec::new();
        for interval in drawn {
            if !intervals.iter().any(|one| kind(one) == kind(&interval)) {
                intervals.push(interval);
            }
        }
        Setting {
            scope,
            step,
            intervals,
        }
    })
}

fn kind(interval: &Interval) -> usize {
    match interval {
        Interval::Months(_) | Interval::Days(_) => 0,
        Interval::Hours(_) => 1,
        Interval::Applications(_) => 2,
    }
}

/// A file has each key once.
fn one_each(drawn: Vec<Setting>) -> Vec<Setting> {
    let mut settings: Vec<Setting> = Vec::new();
    for setting in drawn {
        let is_same = |one: &Setting| one.scope == setting.scope && one.step == setting.step;
        if !settings.iter().any(is_same) {
            settings.push(setting);
        }
    }
    settings
}

#[derive(Debug, Clone)]
struct DrawnWaiver {
    step: Option<Step>,
    machine: prop::sample::Index,
    event: Option<prop::sample::Index>,
    from: Date,
    days: i64,
}

fn waiver() -> impl Strategy<Value = DrawnWaiver> {
    (
        prop::option::weighted(0.9, select(Step::all().collect::<Vec<_>>())),
        any::<prop::sample::Index>(),
        prop::option::of(any::<prop::sample::Index>()),
        day(),
        0_i64..250,
    )
        .prop_map(|(step, machine, event, from, days)| DrawnWaiver {
            step,
            machine,
            event,
            from,
            days,
        })
}

impl DrawnWaiver {
    fn of(self, machines: &[Machine]) -> Waiver {
        let machine = self.machine.index(machines.len());
        let events = machines[machine].events.len();
        let event = self.event.filter(|_| events > 0);
        Waiver {
            step: self.step,
            machine,
            event: event.map(|event| event.index(events)),
            from: self.from,
            until: self.from + self.days.days(),
        }
    }
}

fn machine() -> impl Strategy<Value = Machine> {
    let machine_file = (
        prop::option::weighted(0.8, 0_usize..2),
        prop::option::weighted(0.5, day()),
        laid_up(),
        said(),
        prop::collection::vec(1_usize..4, 1..4),
        prop::bool::weighted(0.1),
        select(vec![1_usize, 1, 2, 3]),
    );
    (machine_file, prop::collection::vec(drawn_event(), 0..28)).prop_map(|(machine_file, drawn)| {
        let (course, in_service, laid_up, says, sections, plain, setups) = machine_file;
        let is_plain = plain && sections.len() == 1;
        let mut machine = Machine {
            course,
            in_service,
            laid_up,
            says,
            sections,
            is_plain,
            setups,
            events: Vec::new(),
        };
        machine.events = events(&machine, drawn);
        machine
    })
}

/// Lay-ups of most machines that have any: one or two, which may meet.
fn laid_up() -> impl Strategy<Value = Vec<(Date, Date)>> {
    let one = (day(), 0_i64..120).prop_map(|(from, days)| (from, from + days.days()));
    prop_oneof![
        2 => Just(Vec::new()),
        1 => prop::collection::vec(one, 1..3),
    ]
}

/// What a machine file says of the machine, by key.
fn said() -> impl Strategy<Value = BTreeMap<&'static str, &'static str>> {
    let each = steps::SAID.map(|(key, words)| {
        let word = prop::option::weighted(0.85, select(words));
        word.prop_map(move |word| word.map(|word| (key, word)))
    });
    Vec::from(each).prop_map(|said| said.into_iter().flatten().collect())
}

/// An event that does not know its machine yet; numbers are taken modulo what there is.
#[derive(Debug, Clone)]
struct DrawnEvent {
    day: Date,
    /// Hours run since the event before, and during this one, in tenths.
    used: (i64, i64),
    writes: (bool, bool),
    setup: usize,
    changes_meter: bool,
    is_misdated: bool,
    what: DrawnWhat,
}

#[derive(Debug, Clone)]
enum DrawnWhat {
    Visit {
        catch: DrawnCatch,
        tested: BTreeMap<Step, Tested>,
    },
    Service(Vec<DrawnWork>),
    Application,
    Broken(&'static str, bool),
}

#[derive(Debug, Clone)]
enum DrawnCatch {
    None,
    /// The whole boom, with a nozzle that is not good, and what was caught again.
    Whole(usize, Cell, Vec<(usize, Cell)>),
    /// Only these.
    Some(Vec<(usize, Cell)>),
    /// The boom in two parts.
    Parts(usize),
    /// Every nozzle said to be missed.
    Missed,
}

#[derive(Debug, Clone)]
struct DrawnWork {
    which: usize,
    first: usize,
    second: usize,
}

fn drawn_event() -> impl Strategy<Value = DrawnEvent> {
    (
        day(),
        (0_i64..200, 1_i64..80),
        (prop::bool::weighted(0.6), prop::bool::weighted(0.6)),
        0_usize..3,
        (prop::bool::weighted(0.3), prop::bool::weighted(0.1)),
        what(),
    )
        .prop_map(
            |(day, used, writes, setup, (changes_meter, is_misdated), what)| DrawnEvent {
                day,
                used,
                writes,
                setup,
                changes_meter,
                is_misdated,
                what,
            },
        )
}

fn what() -> impl Strategy<Value = DrawnWhat> {
    let work =
        (0_usize..22, 0_usize..12, 0_usize..12).prop_map(|(which, first, second)| DrawnWork {
            which,
            first,
            second,
        });
    prop_oneof![
        14 => (catch(), tested()).prop_map(|(catch, tested)| DrawnWhat::Visit { catch, tested }),
        8 => prop::collection::vec(work, 1..4).prop_map(DrawnWhat::Service),
        14 => Just(DrawnWhat::Application),
        1 => (select(vec!["calibrations", "service", "applications"]), prop::bool::weighted(0.8))
            .prop_map(|(folder, is_dated)| DrawnWhat::Broken(folder, is_dated)),
    ]
}

/// How the steps but the catch came out.
fn tested() -> impl Strategy<Value = BTreeMap<Step, Tested>> {
    let outcomes = [
        Tested::Good,
        Tested::Good,
        Tested::Good,
        Tested::PutRight,
        Tested::Bad,
        Tested::Lacking,
        Tested::Begun,
    ];
    let steps = Step::all().filter(|step| *step != Step::Catch);
    let each = steps.map(move |step| {
        let tested = prop::option::weighted(0.7, select(outcomes.to_vec()));
        tested.prop_map(move |tested| tested.map(|tested| (step, tested)))
    });
    let each: Vec<_> = each.collect();
    each.prop_map(|tested| tested.into_iter().flatten().collect())
}

fn catch() -> impl Strategy<Value = DrawnCatch> {
    let cell = || select(vec![Cell::Good, Cell::Good, Cell::Good, Cell::Missed]);
    let some = move || prop::collection::vec((0_usize..9, cell()), 1..4);
    let odd = select(vec![Cell::Good, Cell::Good, Cell::Bad, Cell::Missed]);
    prop_oneof![
        2 => Just(DrawnCatch::None),
        9 => (0_usize..9, odd, prop_oneof![2 => Just(Vec::new()), 1 => some()])
            .prop_map(|(nozzle, odd, again)| DrawnCatch::Whole(nozzle, odd, again)),
        2 => some().prop_map(DrawnCatch::Some),
        1 => (0_usize..9).prop_map(DrawnCatch::Parts),
        1 => Just(DrawnCatch::Missed),
    ]
}

/// The events in the order they happen, with what the hour meter reads.
fn events(machine: &Machine, mut drawn: Vec<DrawnEvent>) -> Vec<Event> {
    drawn.sort_by_key(|event| event.day);
    let gets_another_source = drawn.iter().any(|event| match &event.what {
        DrawnWhat::Service(works) => works
            .iter()
            .any(|drawn| matches!(work(machine, drawn), Work::SpeedSource(_))),
        DrawnWhat::Visit { .. } | DrawnWhat::Application | DrawnWhat::Broken(..) => false,
    });
    let mut meter = 4000;
    let (mut counted_on, mut day, mut used_today) = (0, None, 0);
    let mut files: BTreeMap<(&str, Date), usize> = BTreeMap::new();
    let mut undated = 0;
    let mut pressures = [36; 3];
    let mut events: Vec<Event> = Vec::new();
    for event in drawn {
        if day != Some(event.day) {
            (day, used_today) = (Some(event.day), 0);
        }
        // A day has 24 hours.
        let mut used = |hours: i64| {
            let hours = hours.min(240 - used_today);
            used_today += hours;
            hours
        };
        meter += used(event.used.0);
        let before = counted_on;
        let mut hours = event.writes.0.then_some(meter);
        let setup = event.setup % machine.setups;
        let what = match event.what {
            DrawnWhat::Visit { catch, mut tested } => {
                tested.retain(|step, tested| {
                    steps::may_be_tested(machine, *step, *tested, gets_another_source)
                });
                What::Visit(Visit {
                    setup,
                    catches: catches(machine, &catch),
                    tested,
                })
            }
            DrawnWhat::Service(works) => {
                let mut works = one_each_kind(machine, &works);
                // One change, with a reading that no other of that day is taken for.
                if counted_on == 0 && event.changes_meter {
                    works.push(Work::HourMeter(meter, 5));
                    counted_on = meter - 5;
                }
                for work in &mut works {
                    if let Work::Setup(of, Some(psi)) = work {
                        // Never the one it has.
                        pressures[*of] = 73 - pressures[*of];
                        *psi = pressures[*of];
                    }
                }
                What::Service(works)
            }
            DrawnWhat::Application => {
                meter += used(event.used.1);
                What::Application(setup, event.writes.1.then_some(meter))
            }
            DrawnWhat::Broken(folder, is_dated) => {
                hours = None;
                What::Broken(folder, is_dated)
            }
        };
        let (folder, day) = match &what {
            What::Visit(_) => ("visit", event.day),
            What::Service(_) => ("work", event.day),
            What::Application(..) => ("spraying", event.day),
            What::Broken(folder, true) => (*folder, event.day),
            What::Broken(_, false) => {
                undated += 1;
                ("undated", event.day)
            }
        };
        let files = files.entry((folder, day)).or_default();
        let nth = if folder == "undated" { undated } else { *files };
        *files += 1;
        events.push(Event {
            day,
            nth,
            hours,
            counted_on: before,
            is_misdated: event.is_misdated,
            what,
        });
    }
    events
}

fn catches(machine: &Machine, drawn: &DrawnCatch) -> Vec<Vec<Option<Cell>>> {
    let nozzles = machine.nozzles();
    let whole = vec![Some(Cell::Good); nozzles];
    let some = |drawn: &[(usize, Cell)]| {
        let mut catch = vec![None; nozzles];
        for (nozzle, cell) in drawn {
            catch[nozzle % nozzles] = Some(*cell);
        }
        catch
    };
    match drawn {
        DrawnCatch::None => Vec::new(),
        DrawnCatch::Missed => vec![vec![Some(Cell::Missed); nozzles]],
        DrawnCatch::Whole(nozzle, odd, again) => {
            let mut catch = whole;
            // One of few would shift the mean too far for all others.
            if *odd != Cell::Bad || nozzles >= 5 {
                catch[nozzle % nozzles] = Some(*odd);
            }
            let mut catches = vec![catch];
            if !again.is_empty() && !machine.is_plain {
                let good = again.iter().map(|(nozzle, _)| (*nozzle, Cell::Good));
                catches.push(some(&good.collect::<Vec<_>>()));
            }
            catches
        }
        DrawnCatch::Some(_) | DrawnCatch::Parts(_) if machine.is_plain => vec![whole],
        DrawnCatch::Some(drawn) => vec![some(drawn)],
        DrawnCatch::Parts(at) => {
            let at = at % nozzles;
            let part = |is_first: bool| {
                let cells =
                    (0..nozzles).map(|nozzle| ((nozzle < at) == is_first).then_some(Cell::Good));
                cells.collect::<Vec<_>>()
            };
            let mut parts = vec![part(true), part(false)];
            parts.retain(|part| part.iter().any(Option::is_some));
            parts
        }
    }
}

/// Each kind of work once a record, so that halves of a section are not fitted apart.
fn one_each_kind(machine: &Machine, drawn: &[DrawnWork]) -> Vec<Work> {
    let mut works: Vec<Work> = Vec::new();
    for drawn in drawn {
        let work = work(machine, drawn);
        let kind = std::mem::discriminant(&work);
        if !works.iter().any(|one| std::mem::discriminant(one) == kind) {
            works.push(work);
        }
    }
    works
}

fn work(machine: &Machine, drawn: &DrawnWork) -> Work {
    let (first, second) = (drawn.first, drawn.second);
    let setup = first % machine.setups;
    let section = second % machine.sections.len();
    let nozzles = machine.sections[section];
    match drawn.which {
        0 => Work::Pump,
        1 => Work::NozzlesFitted(setup, None),
        2..5 if !machine.is_plain => {
            let position = first % nozzles + 1;
            Work::NozzlesFitted(setup, Some(vec![(section, vec![position])]))
        }
        5 if !machine.is_plain => {
            let mut at = vec![(section, (1..=nozzles).collect::<Vec<_>>())];
            if first >= 6 && machine.sections.len() > 1 {
                at.push(((section + 1) % machine.sections.len(), vec![1]));
            }
            Work::NozzlesFitted(setup, Some(at))
        }
        6 => Work::Tires(None),
        7 => Work::Tires(Some(["drive", "other"][first % 2])),
        8 | 9 => Work::SectionValve(section),
        10 => Work::FlowMeter,
        11 => Work::Console,
        12 => Work::SpeedSource(["wheel", "radar", "gps", "none"][first % 4]),
        13 => Work::Regulator,
        14 => Work::Hose,
        15 => Work::Spacing,
        16 if !machine.is_plain => Work::EnteredWidths,
        17 => Work::Setup(setup, None),
        18 => Work::Setup(setup, Some(36)),
        19 | 20 => Work::Moved(first % 2),
        21 if second == 0 => Work::OutOfService,
        _ => Work::EnteredWidths.if_named(machine),
    }
}

impl Work {
    /// Widths are entered by the names of sections.
    fn if_named(self, machine: &Machine) -> Self {
        if machine.is_plain {
            Self::Moved(0)
        } else {
            self
        }
    }
}

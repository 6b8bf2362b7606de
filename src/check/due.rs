//! What is due on the day, by course and urgency.
//!
//! Sets no limit: how long a step holds are the limits of the rules that judge its age, its hours and
//! its applications. A date by hours is a forecast from the machine's own use: the last day on which the
//! interval is not exceeded where it is used on as before. Only readings prove a step overdue by hours.

use super::listing::Listing;
use super::places::Places;
use super::reading::{MachineFiles, ReadFile, Reader, Tree};
use super::shard::{self, Context, Judge, Viewer};
use super::{Part, Settings, waive};
use crate::diagnostic::{Diagnostic, Severity};
use crate::figure::{ShownAs, Standing, Visit, about, catalogue};
use crate::history::{Failing, Last, StepState, Timeline, Undone};
use crate::outcome::Step;
use crate::quantity::Exact;
use crate::quantity::calendar::Period;
use crate::record::machine::{BalanceBy, Machine};
use crate::report::{DueBy, DueList, DueState, DueStep, RowPlace, UnsureMachine};
use crate::rule::{Limit, Whose};
use crate::source::Place;
use crate::wording::facts;
use crate::words;
use jiff::civil::Date;
use num_traits::ToPrimitive;
use rayon::prelude::*;

/// The list of what is due on the day, or within a period after it.
pub fn due(listing: &Listing, read: &ReadFile<'_>, settings: &Settings, within: Period) -> DueList {
    let tree = Tree::of(listing);
    let reader = Reader::new(read, &tree);
    let mut whole = Part::default();
    let context = Context::read(&reader, settings, &mut whole);
    let last_day = within.after(settings.today).unwrap_or(Date::MAX);
    let is_selected = |machine: &&MachineFiles| {
        let mut files = machine.all();
        files.any(|file| super::is_selected(tree.path(file), &settings.selected))
    };
    let wanted: Vec<&MachineFiles> = tree.machines.iter().filter(is_selected).collect();
    let parts: Vec<(Part, OfMachine)> = wanted
        .par_iter()
        .map(|machine| {
            let mut part = Part::default();
            let mut looking = Looking {
                judge: Judge::new(&context, &tree),
                context: &context,
                places: Places::new(&reader),
                last_day,
                found: OfMachine::default(),
            };
            shard::each_view(&reader, machine, &context, &mut part, &mut looking);
            looking.judge.tell(&mut part);
            (part, looking.found)
        })
        .collect();
    let mut machines = Vec::new();
    for (part, of_machine) in parts {
        whole.add(part);
        machines.push(of_machine);
    }
    let group = &context.group;
    waive::apply(&mut whole, group, &tree, settings.today);
    whole.failures.sort();
    whole.failures.dedup();
    // What rules find is in the list already; what else is wrong may hide a record from it.
    let is_error = |finding: &&Diagnostic| {
        finding.severity() == Severity::Error && group.rules.find(finding.rule()).is_none()
    };
    let mut places = Places::new(&reader);
    let errors = whole.findings.iter().filter(is_error);
    let mut errors: Vec<RowPlace> = errors
        .map(|finding| places.at(finding.primary().place))
        .collect();
    errors.sort();
    DueList {
        today: settings.today,
        within_days: (last_day - settings.today).get_days().unsigned_abs(),
        in_date: machines.iter().map(|machine| machine.in_date).sum(),
        unsure: machines
            .iter()
            .filter_map(|machine| machine.unsure.clone())
            .collect(),
        steps: ordered(machines),
        records: whole.counts.records,
        errors,
        failures: whole.failures,
    }
}

/// By course, then the machine with the most urgent step first, then by urgency.
fn ordered(mut machines: Vec<OfMachine>) -> Vec<DueStep> {
    let urgency = |step: &DueStep| (step.state, step.due.unwrap_or(Date::MIN));
    for machine in &mut machines {
        machine.steps.sort_by_key(urgency);
    }
    machines.sort_by_cached_key(|machine| {
        let first = machine.steps.first();
        let course = first.and_then(|step| step.course.clone());
        // Machines of no course stand last.
        (course.is_none(), course, first.map(urgency))
    });
    machines
        .into_iter()
        .flat_map(|machine| machine.steps)
        .collect()
}

/// What is due of one machine.
#[derive(Debug, Default)]
struct OfMachine {
    steps: Vec<DueStep>,
    in_date: usize,
    unsure: Option<UnsureMachine>,
}

/// Judges a machine as a check does, and looks at how its steps stand.
struct Looking<'c, 'r> {
    judge: Judge<'c>,
    context: &'c Context,
    places: Places<'r>,
    last_day: Date,
    found: OfMachine,
}

impl Viewer for Looking<'_, '_> {
    fn visit(
        &mut self,
        visit: &Visit<'_>,
        problems: &[Diagnostic],
        part: &mut Part,
    ) -> Vec<Failing> {
        self.judge.visit(visit, problems, part)
    }

    fn standing(&mut self, standing: &Standing<'_>, timeline: &Timeline<'_>, part: &mut Part) {
        self.judge.standing(standing, timeline, part);
        let machine = standing.subject.machine;
        if machine.out_of_service.is_some() {
            return;
        }
        let mut unsure = UnsureMachine {
            machine: standing.subject.id.to_owned(),
            steps: Vec::new(),
            says_nothing_of: Vec::new(),
        };
        let records = standing.records.iter();
        let past = records.filter(|record| record.date.value <= standing.today);
        let events = u32::try_from(past.count()).unwrap_or(u32::MAX);
        for state in &standing.steps {
            match (state.last, unsaid(machine, state.step)) {
                (Last::Never, Some(key)) => {
                    if !unsure.steps.contains(&state.step.test()) {
                        unsure.steps.push(state.step.test());
                        unsure.says_nothing_of.push(key);
                    }
                }
                (Last::Never | Last::On(_) | Last::Unreadable(_), _) => {
                    match self.look_at(standing, timeline, state) {
                        Some(why) => {
                            let step = self.due_step(standing, state, why, events);
                            self.found.steps.push(step);
                        }
                        None => self.found.in_date += 1,
                    }
                }
            }
        }
        self.found.unsure = (!unsure.steps.is_empty()).then_some(unsure);
    }
}

/// Why a step is due.
struct Why {
    state: DueState,
    due: Option<Date>,
    by: DueBy,
    because: String,
    to_do: Option<String>,
    interval: Option<String>,
    at: Option<Place>,
}

impl Looking<'_, '_> {
    /// The first that fits: never done, void, failing, overdue, re-check, coming due; none: in date.
    fn look_at(
        &self,
        standing: &Standing<'_>,
        timeline: &Timeline<'_>,
        state: &StepState,
    ) -> Option<Why> {
        let plain = |state: DueState, by: DueBy, due: Option<Date>, because: String, at| Why {
            state,
            due,
            by,
            because,
            to_do: None,
            interval: None,
            at,
        };
        let done = match state.last {
            Last::Never => {
                let because = "no record shows that it was done".to_owned();
                return Some(plain(
                    DueState::NeverDone,
                    DueBy::Nothing,
                    None,
                    because,
                    None,
                ));
            }
            Last::Unreadable(record) => {
                let because = "a visit that cannot be read may be the latest".to_owned();
                let (by, at) = (DueBy::Finding, Some(record.place()));
                return Some(plain(DueState::ReCheck, by, record.day, because, at));
            }
            Last::On(done) => done,
        };
        let undone = |of: DueState, undone: &Undone| {
            let because = format!(
                "on {} {}; {}",
                words::dates::date(undone.day),
                facts::fact(&standing.work_of(undone)),
                undone.because
            );
            plain(
                of,
                DueBy::Work,
                Some(undone.day),
                because,
                Some(undone.place),
            )
        };
        if let Some(void) = &state.void {
            let nozzles = standing.nozzles(&void.nozzles);
            let again = |nozzles| {
                let nozzles = facts::fact(&nozzles);
                format!("catch {nozzles} again at the working pressure")
            };
            return Some(Why {
                to_do: nozzles.map(again),
                ..undone(DueState::Void, void)
            });
        }
        if let Some(failing) = &state.failing {
            let because = format!("{} [{}]", failing.message, failing.rule);
            let (by, due) = (DueBy::Finding, Some(done.day));
            let at = Some(failing.place);
            return Some(Why {
                to_do: failing.help.clone(),
                ..plain(DueState::Failing, by, due, because, at)
            });
        }
        let held_against = self.intervals(standing, timeline, state, done.day);
        let overdue = held_against.iter().filter(|one| one.is_over);
        if let Some(first) = overdue.min_by_key(|one| one.due) {
            return Some(first.why(DueState::Overdue, done.place));
        }
        if let Some(re_check) = &state.re_check {
            return Some(undone(DueState::ReCheck, re_check));
        }
        if let Some(record) = &state.unread_work {
            let because = "a service record that cannot be read may tell of work since".to_owned();
            let (by, at) = (DueBy::Finding, Some(record.place()));
            return Some(plain(DueState::ReCheck, by, record.day, because, at));
        }
        let coming = held_against.iter().filter(|one| one.due <= self.last_day);
        let first = coming.min_by_key(|one| one.due)?;
        Some(first.why(DueState::ComingDue, done.place))
    }

    /// How a step stands against each interval in force, in the order calendar, hours, applications.
    fn intervals(
        &self,
        standing: &Standing<'_>,
        timeline: &Timeline<'_>,
        state: &StepState,
        done: Date,
    ) -> Vec<HeldAgainst> {
        let today = standing.today;
        let mut all: Vec<HeldAgainst> = Vec::new();
        for (shown_as, limit) in self.limits(standing, state) {
            let Some(quantity) = limit.bound.quantity() else {
                continue; // The limit is switched off, or none is set.
            };
            let interval = interval_in_words(shown_as, limit);
            all.extend(match shown_as {
                ShownAs::Days => Period::from_quantity(quantity)
                    .and_then(|period| period.after(done))
                    .map(|due| HeldAgainst {
                        due,
                        is_over: due < today,
                        by: DueBy::Calendar,
                        because: format!(
                            "last done on {}, good for {}",
                            words::dates::date(done),
                            limit.bound.in_words()
                        ),
                        interval,
                    }),
                ShownAs::Hours => by_hours(timeline, state, today, limit, interval),
                ShownAs::Count => by_applications(timeline, state, today, limit, interval),
                ShownAs::Percent | ShownAs::Seconds | ShownAs::Length | ShownAs::Measured => None,
            });
        }
        all
    }

    /// The limits of the rules that an interval of the group replaces, one a way of counting.
    fn limits(&self, standing: &Standing<'_>, state: &StepState) -> Vec<(ShownAs, &Limit)> {
        let machine = standing.subject.machine;
        let course = machine.course.as_ref();
        let setup = state
            .setup
            .and_then(|at| machine.setups.get(usize::from(at)));
        let whose = Whose {
            machine: standing.subject.id,
            course: course.map(|course| course.value.as_str()),
            step: Some(state.step),
            setup: setup.map(|setup| setup.name.value.as_str()),
        };
        let mut limits = Vec::new();
        for figure in [about::STEP_AGE, about::STEP_HOURS, about::STEP_APPLICATIONS] {
            let shown_as = catalogue::find(figure).map(|(_, entry)| entry.shown_as);
            let limit = self.context.heaviest_limit(figure, whose, standing.today);
            limits.extend(shown_as.zip(limit));
        }
        limits
    }

    fn due_step(
        &mut self,
        standing: &Standing<'_>,
        state: &StepState,
        why: Why,
        events: u32,
    ) -> DueStep {
        let subject = &standing.subject;
        let machine = subject.machine;
        let course = machine.course.as_ref().map(|course| {
            let named = subject
                .fleet
                .and_then(|fleet| fleet.courses.get(&course.value));
            let name = named.map_or(&course.value, |name| &name.value);
            words::phrases::name(name).into_owned()
        });
        let setup = state
            .setup
            .and_then(|at| machine.setups.get(usize::from(at)));
        let setup = setup.map(|setup| words::phrases::name(&setup.name.value).into_owned());
        DueStep {
            course,
            machine: subject.id.to_owned(),
            setup: setup.clone().filter(|_| machine.setups.len() > 1),
            only_setup: setup.filter(|_| machine.setups.len() == 1),
            step: state.step.test(),
            state: why.state,
            due: why.due,
            by: why.by,
            because: why.because,
            to_do: why.to_do,
            interval: why.interval,
            last_done: state.done().map(|done| done.day),
            at: why.at.map(|place| self.places.at(place)),
            bring: bring(machine, state.step).to_vec(),
            events,
        }
    }
}

/// A step held against one interval.
struct HeldAgainst {
    due: Date,
    is_over: bool,
    by: DueBy,
    because: String,
    interval: String,
}

impl HeldAgainst {
    fn why(&self, state: DueState, done: Place) -> Why {
        Why {
            state,
            due: Some(self.due),
            by: self.by,
            because: self.because.clone(),
            to_do: None,
            interval: Some(self.interval.clone()),
            at: Some(done),
        }
    }
}

/// The interval and who set it, why: `50 h of use, group decision of 2026-01-10`.
fn interval_in_words(shown_as: ShownAs, limit: &Limit) -> String {
    let bound = limit.bound.in_words();
    let interval = match shown_as {
        ShownAs::Hours => format!("{bound} of use"),
        ShownAs::Count if bound == "1" => "1 application".to_owned(),
        ShownAs::Count => format!("{bound} applications"),
        ShownAs::Percent
        | ShownAs::Days
        | ShownAs::Seconds
        | ShownAs::Length
        | ShownAs::Measured => bound,
    };
    let because = limit.set_at.as_ref().and_then(|set| set.because.as_ref());
    match because {
        Some(because) => format!("{interval}, {because}"),
        None => interval,
    }
}

fn by_hours(
    timeline: &Timeline<'_>,
    state: &StepState,
    today: Date,
    limit: &Limit,
    interval: String,
) -> Option<HeldAgainst> {
    let wanted = limit.bound.quantity()?;
    let (then, now) = state.used.hours?;
    let used = now.quantity.exact() - then.quantity.exact();
    let is_over = wanted.exact() < used;
    let due = if is_over {
        let beyond = then.quantity.exact() + wanted.exact();
        timeline.first_hours_beyond(&beyond, state.done()?.day)?.day
    } else {
        let left = wanted.exact() - used.clone();
        let days = left / timeline.use_a_day(today)?;
        let days = days.floor().to_integer().to_u32()?;
        Period::Days(days).after(now.day)?
    };
    let hours = (used / Exact::from_integer(3_600.into())).to_f64()?;
    let used = words::numbers::number(hours, 1);
    let because = format!(
        "{used} h of use since {}, good for {}; read {} on {}",
        words::dates::date(state.done()?.day),
        limit.bound.in_words(),
        now.quantity,
        words::dates::date(now.day),
    );
    let because = if is_over {
        because
    } else if due < today {
        let day = words::dates::date(due);
        format!("{because}; by its use so far used up after {day}: read the hour-meter")
    } else {
        let day = words::dates::date(due);
        format!("{because}; by its use so far good until {day}")
    };
    Some(HeldAgainst {
        due,
        is_over,
        by: DueBy::Hours,
        because,
        interval,
    })
}

/// Nobody knows when the next application will be: it is due once the interval is used up.
fn by_applications(
    timeline: &Timeline<'_>,
    state: &StepState,
    today: Date,
    limit: &Limit,
    interval: String,
) -> Option<HeldAgainst> {
    let wanted = limit.bound.quantity()?.exact().to_integer().to_usize()?;
    let made = state.used.applications;
    let used_up = timeline.nth_application_since(state, today, wanted)?;
    Some(HeldAgainst {
        due: used_up,
        is_over: wanted < made,
        by: DueBy::Applications,
        because: format!(
            "{} since {}, good for {}{}",
            words::phrases::plural(made, "application"),
            words::dates::date(state.done()?.day),
            limit.bound.in_words(),
            if made == wanted { ": none is left" } else { "" },
        ),
        interval,
    })
}

/// The key of the sheet that would say whether the machine has a step, where it is left out.
fn unsaid(machine: &Machine, step: Step) -> Option<&'static str> {
    match step {
        Step::Catch => None,
        Step::Flow => machine.control.is_none().then_some("control"),
        Step::Speed => machine.speed_source.is_none().then_some("speed-source"),
        Step::Balance => machine.section_valves.is_none().then_some("section-valves"),
    }
}

/// What a step takes, beside gloves and clean water.
fn bring(machine: &Machine, step: Step) -> &'static [&'static str] {
    let by_pressure = machine
        .balance_by
        .is_some_and(|by| by.value == BalanceBy::Pressure);
    match step {
        Step::Catch => &[
            "jug or scale",
            "stopwatch",
            "pressure gauge",
            "spare tips and strainers",
        ],
        Step::Flow => &["refill meter or scale", "stopwatch"],
        Step::Speed => &["tape or measuring wheel", "stopwatch", "course markers"],
        Step::Balance if by_pressure => &["pressure gauge", "spanner for the bypasses"],
        Step::Balance => &["spanner for the bypasses"],
    }
}

//! Every figure of a repository with what it stands on, through the library's own steps.

use super::Repository;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::rc::Rc;
use swathlint::figure::visit::Records;
use swathlint::figure::{
    AnyView, Entry, Facts, Measure, Primitives, Standing, Subject, Visit, calibrated_rate,
    catalogue,
};
use swathlint::fleet::{self, Event, History, Layout, Moment};
use swathlint::history::{FailingTests, Timeline};
use swathlint::outcome::{Key, Unavailable};
use swathlint::quantity::Exact;
use swathlint::record::{self, Application, Calibration, Fleet, Machine, Service};
use swathlint::source::{FileId, Place, Spanned};
use swathlint::wording::facts::fact;
use swathlint::working::Working;
use swathlint::yaml;

/// One member of a figure's family, with all that a test may want to know of it.
#[derive(Clone, Debug)]
pub(crate) struct Computed {
    /// The figure.
    pub(crate) entry: &'static Entry,
    /// The machine.
    pub(crate) machine: String,
    /// Its course.
    pub(crate) course: Option<String>,
    /// The setup it belongs to, by its name.
    pub(crate) setup: Option<String>,
    /// The day whose limits are in force.
    pub(crate) day: Date,
    /// Where it holds.
    pub(crate) key: Key,
    /// The value with its sensitivities, or why there is none.
    pub(crate) value: Result<Measure, Unavailable>,
    /// The value computed alone, where that was asked for.
    pub(crate) alone: Option<f64>,
    /// The value in exact arithmetic, where it has one.
    pub(crate) exact: Option<Exact>,
    /// The day a limit in months counts from.
    pub(crate) anchor: Option<Date>,
    /// What was read.
    pub(crate) subject: Place,
    /// What it is held against.
    pub(crate) against: Option<Place>,
    /// The sources of error of its visit.
    pub(crate) primitives: Rc<Primitives>,
    /// How it was worked out.
    pub(crate) working: Option<Working>,
    /// The texts of its own that messages may hold.
    pub(crate) slots: Vec<(&'static str, Option<String>)>,
}

impl Computed {
    /// The value in SI units or as a ratio.
    pub(crate) fn value(&self) -> f64 {
        match &self.value {
            Ok(measure) => measure.value(),
            Err(unavailable) => panic!("{}: {}", self.entry.id, unavailable.because),
        }
    }

    /// Its standard uncertainty.
    pub(crate) fn uncertainty(&self) -> f64 {
        self.value.as_ref().map_or(0.0, |measure| {
            measure.standard_uncertainty(&self.primitives)
        })
    }
}

/// What is computed.
#[derive(Clone, Copy)]
enum Wanted<'w> {
    /// Every figure in both arithmetics, which must have the same members.
    All,
    /// The figures with these names, in floating point alone.
    Measured(&'w dyn Fn(&str) -> bool),
}

impl Repository {
    /// Every member of every figure of every visit, then of every machine as it stands.
    pub(crate) fn computed(&self, today: Date) -> Vec<Computed> {
        self.computed_as(today, Wanted::All)
    }

    /// The same of some figures only, in floating point alone.
    pub(crate) fn measured(&self, today: Date, wanted: &dyn Fn(&str) -> bool) -> Vec<Computed> {
        self.computed_as(today, Wanted::Measured(wanted))
    }

    fn computed_as(&self, today: Date, wanted: Wanted<'_>) -> Vec<Computed> {
        let fleet = self.fleet();
        let mut all = Vec::new();
        for (index, history) in (0_u32..).zip(self.histories()) {
            let subject = |machine| Subject {
                fleet: fleet.as_ref(),
                machine,
                id: &history.id,
                index,
                layout: Layout::of(&machine.boom),
            };
            let timeline = Timeline::new(&history);
            let mut rates = Vec::new();
            for (at, calibration) in history.calibrations.iter().enumerate() {
                let day = calibration.date.unwrap().value;
                let moment = Moment::new(day, calibration.hours.as_ref(), Event::Visit);
                let records = Records {
                    calibration,
                    earlier: &history.calibrations[..at],
                    timeline: &timeline,
                };
                let Some(machine) = history.machine_at(&moment) else {
                    continue; // Nothing can be computed of a machine without a file.
                };
                let of = subject(machine);
                let visit = Visit::new(of, records, today, &mut Vec::new());
                rates.extend(calibrated_rate(&visit));
                let primitives = Rc::new(visit.primitives.clone());
                members(AnyView::Readings(&visit), &primitives, wanted, &mut all);
            }
            // What a visit left failing and to what a set wears ask for the limits of rules.
            let facts = Facts {
                history: &history,
                timeline: &timeline,
                failing: &FailingTests::default(),
                rates: &rates,
                worn: &[],
                landed: &[],
                stem: &|file| self.stem(file),
            };
            let Some(machine) = history.machine_on(today) else {
                continue;
            };
            let of = subject(machine);
            let standing = Standing::new(of, today, &facts);
            let primitives = Rc::new(standing.primitives.clone());
            members(AnyView::State(&standing), &primitives, wanted, &mut all);
        }
        all
    }

    /// The fleet file.
    pub(crate) fn fleet(&self) -> Option<Fleet> {
        let (file, text) = self
            .numbered()
            .find(|(_, path, _)| *path == "fleet.yaml")
            .map(|(file, _, text)| (file, text))?;
        let parsed = yaml::parse(file, text);
        Some(record::lower_fleet(file, parsed.tree.root()?).record)
    }

    /// The files in the order of their paths, which numbers them.
    pub(crate) fn numbered(&self) -> impl Iterator<Item = (FileId, &str, &str)> {
        (0_u32..)
            .zip(&self.files)
            .map(|(index, (path, text))| (FileId(index), path.as_str(), text.as_str()))
    }

    fn stem(&self, wanted: FileId) -> &str {
        let (_, path, _) = self.numbered().find(|(file, ..)| *file == wanted).unwrap();
        let name = path.rsplit('/').next().unwrap();
        name.trim_end_matches(".yaml")
    }

    /// The machines in the order of their names, each with its records, earliest first.
    fn histories(&self) -> Vec<History> {
        let mut by_machine: BTreeMap<&str, OfMachine> = BTreeMap::new();
        for (file, path, text) in self.numbered() {
            let parsed = yaml::parse(file, text);
            let parts: Vec<&str> = path.split('/').collect();
            let Some(root) = parsed.tree.root() else {
                continue; // A text that is no YAML is no record; what is left is computed.
            };
            match parts.as_slice() {
                ["machines", name] => {
                    let id = name.trim_end_matches(".yaml");
                    let sheet = record::lower_machine(file, root).record;
                    by_machine.entry(id).or_default().sheets.push(sheet);
                }
                ["calibrations", id, _] => {
                    let visit = record::lower_calibration(file, root).record;
                    by_machine.entry(id).or_default().visits.push(visit);
                }
                ["service", id, _] => {
                    let service = record::lower_service(file, root).record;
                    by_machine.entry(id).or_default().services.push(service);
                }
                ["applications", id, _] => {
                    let application = record::lower_application(file, root).record;
                    let of_machine = by_machine.entry(id).or_default();
                    of_machine.applications.push(application);
                }
                _ => {}
            }
        }
        let machines = by_machine.into_iter().zip(0_u32..);
        let histories = machines.map(|((id, of_machine), index)| of_machine.history(id, index));
        histories.collect()
    }
}

/// The records of one machine, in the order of their paths.
#[derive(Default)]
struct OfMachine {
    sheets: Vec<Machine>,
    visits: Vec<Calibration>,
    services: Vec<Service>,
    applications: Vec<Application>,
}

impl OfMachine {
    fn history(self, id: &str, index: u32) -> History {
        let services = by_day(self.services, |service| service.date);
        let sheet = self.sheets.into_iter().next_back();
        History {
            id: id.to_owned(),
            index,
            versions: sheet
                .map(|sheet| fleet::versions(sheet, &services, &mut Vec::new()))
                .unwrap_or_default(),
            calibrations: by_day(self.visits, |visit| visit.date),
            services,
            applications: by_day(self.applications, |application| application.date),
            unreadable: Vec::new(),
        }
    }
}

/// The records that have a date, earliest first; those of one day in the order of their paths.
fn by_day<T>(mut records: Vec<T>, date: fn(&T) -> Option<Spanned<Date>>) -> Vec<T> {
    records.retain(|record| date(record).is_some());
    records.sort_by_key(|record| date(record).map(|date| date.value));
    records
}

fn members(
    of: AnyView<'_>,
    primitives: &Rc<Primitives>,
    wanted: Wanted<'_>,
    all: &mut Vec<Computed>,
) {
    let view = of.view();
    for entry in catalogue::FIGURES {
        let is_wanted = match wanted {
            Wanted::Measured(wanted) => wanted(entry.id),
            Wanted::All => true,
        };
        let computed = is_wanted.then(|| entry.compute(of)).flatten();
        let Some(computed) = computed else {
            continue; // Not asked for, or of the other stratum.
        };
        for (at, member) in computed.members().iter().enumerate() {
            let value = member.value.clone().map(|alone| {
                let measure = computed.measure(at).expect("it has a value");
                assert_eq!(measure.value().to_bits(), alone.to_bits(), "{}", entry.id);
                measure.clone()
            });
            let (alone, exact) = match wanted {
                Wanted::All => (member.value.clone().ok(), computed.exact(at)),
                Wanted::Measured(_) => (None, None),
            };
            let slots = entry.slot_names().into_iter();
            let course = view.subject().machine.course.as_ref();
            all.push(Computed {
                entry,
                machine: view.subject().id.to_owned(),
                course: course.map(|course| course.value.clone()),
                setup: view.setup_name(&member.key).map(str::to_owned),
                day: view.day(&member.key),
                key: member.key,
                slots: slots
                    .map(|name| (name, computed.fact(at, name).map(|told| fact(&told))))
                    .collect(),
                working: computed.working(at),
                value,
                alone,
                exact,
                anchor: member.anchor,
                subject: member.subject,
                against: member.against,
                primitives: Rc::clone(primitives),
            });
        }
    }
}

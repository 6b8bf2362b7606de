//! Every figure of a repository with what it stands on, as the assessment of each machine computes it.

use super::Repository;
use jiff::civil::Date;
use std::rc::Rc;
use swathlint::assess::{Asked, Context, Merged, assess_and_look};
use swathlint::figure::{AnyView, Entry, Measure, Primitives, catalogue};
use swathlint::outcome::{Key, Unavailable};
use swathlint::quantity::Exact;
use swathlint::record::{self, Fleet};
use swathlint::source::{FileId, Place};
use swathlint::tree::{Reader, Store, Tree};
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
        let read = |path: &str| Ok(self.files[path].clone().into_bytes());
        let listing = self.listing();
        let tree = Tree::of(&listing);
        let reader = Reader::new(Store::Passing(&read), &tree);
        let context = Context::read(&reader, today, Merged::new());
        let mut all = Vec::new();
        for machine in &tree.machines {
            let mut look = |view: AnyView<'_>| members(view, wanted, &mut all);
            assess_and_look(&context, &reader, machine, Asked::default(), &mut look);
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
}

fn members(of: AnyView<'_>, wanted: Wanted<'_>, all: &mut Vec<Computed>) {
    let view = of.view();
    let primitives = Rc::new(view.primitives().clone());
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
                primitives: Rc::clone(&primitives),
            });
        }
    }
}

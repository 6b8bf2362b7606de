//! The form of a visit, part by part, and the values of the visit as a whole.

use crate::assess::{CatchTarget, StepStanding, Target};
use crate::draft::form::{Aim, Entry, FactorMeaning, Field, Form, Part, SectionTold, SetupTold};
use crate::draft::last::Last;
use crate::draft::scalar::scalar;
use crate::draft::typed::Kind;
use crate::draft::wanted::Wanted;
use crate::figure::{ConsoleFactor, allowed, sections_off_over_all_on, times_over_target};
use crate::procedure::{Step, is_speed_driven};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::instrument::{InstrumentKind, Purpose};
use crate::record::machine::Setup;
use crate::record::{Machine, SetupUnits};
use crate::report::DueStep;
use crate::source::Placed;
use crate::wording::steps::target;
use crate::words::numbers;
use std::collections::BTreeMap;

/// What the group has: its people, and its instruments by kind, with the ones that are used where a record names none.
#[derive(Debug, Clone, Default)]
pub(in crate::draft) struct Known {
    pub(in crate::draft) people: Vec<String>,
    pub(in crate::draft) instruments: Vec<(InstrumentKind, String)>,
    pub(in crate::draft) usual: BTreeMap<Purpose, String>,
}

/// A machine as it stands on the day of a visit.
pub(in crate::draft) struct Making<'a> {
    pub(in crate::draft) wanted: &'a Wanted<'a>,
    pub(in crate::draft) machine: &'a Machine,
    pub(in crate::draft) course: Option<String>,
    /// The setup, by its place in the machine's file.
    pub(in crate::draft) setup: usize,
    /// The steps of the setup, and those of the whole machine.
    pub(in crate::draft) steps: Vec<StepStanding>,
    pub(in crate::draft) due: Vec<DueStep>,
    pub(in crate::draft) known: Known,
    pub(in crate::draft) last: Last,
}

impl Making<'_> {
    pub(in crate::draft) fn form(&self) -> Form {
        let visit = Part {
            step: None,
            due: None,
            last_done: None,
            target: None,
            ratios: None,
            average: None,
            is_driven: false,
            factor: None,
            entries: self.visit(),
        };
        let steps = self.steps.iter().map(|step| self.part(step));
        let sections = self.machine.boom.sections.iter();
        Form {
            machine: self.wanted.machine.to_owned(),
            course: self.course.clone(),
            setup: self.setup_told(),
            names_setup: self.machine.setups.len() > 1,
            day: self.wanted.day,
            parts: std::iter::once(visit).chain(steps).collect(),
            sections: sections
                .map(|section| SectionTold {
                    name: section.name.as_ref().map(|name| name.value.clone()),
                    nozzles: section.nozzles.as_ref().map_or(0, |count| count.value),
                })
                .collect(),
        }
    }

    pub(super) fn setup(&self) -> &Setup {
        &self.machine.setups[self.setup]
    }

    fn setup_told(&self) -> SetupTold {
        let setup = self.setup();
        let text = |quantity: &Option<Placed<Quantity>>| {
            quantity.as_ref().map(|placed| placed.value.to_string())
        };
        let rated = setup.rated.as_ref();
        SetupTold {
            name: setup.name.value.clone(),
            tips: rated.map(|rated| match &rated.size {
                Some(size) => format!("size {size}"),
                None => format!("{} at {}", rated.flow.value, rated.pressure.value),
            }),
            pressure: text(&setup.pressure),
            speed: text(&setup.speed),
            rate: text(&setup.rate),
            spacing: self
                .machine
                .boom
                .spacing
                .as_ref()
                .map(|placed| placed.value.to_string()),
        }
    }

    fn part(&self, step: &StepStanding) -> Part {
        let entries = match step.step {
            Step::Catch => self.catch(step),
            Step::Flow => self.meter(),
            Step::Speed => self.speed(step),
            Step::Balance => self.balance(step),
        };
        let due = self.due.iter().find(|due| due.of.step == step.step);
        Part {
            step: Some(step.step),
            due: due.cloned(),
            last_done: step.done.map(|done| done.day),
            target: step.target.as_ref().map(target),
            ratios: self.ratios(step),
            average: catch_target(step).map(|aim| Aim {
                within: aim.average_within,
                ..nozzle_aim(aim)
            }),
            is_driven: self.is_driven(step.step),
            factor: self.factor_meaning(step),
            entries,
        }
    }

    /// From where to where what is read may be, as multiples of what it is held against.
    pub(super) fn ratios(&self, step: &StepStanding) -> Option<(f64, f64)> {
        let off = step.allowed?;
        match step.step {
            Step::Catch => None,
            Step::Speed if self.is_driven(step.step) => times_over_target(off),
            Step::Flow | Step::Speed => Some(allowed(1.0, off)),
            Step::Balance => Some(sections_off_over_all_on(self.read_in_balance(), off)),
        }
    }

    pub(super) fn is_driven(&self, step: Step) -> bool {
        step == Step::Speed && is_speed_driven(self.machine)
    }

    pub(super) fn factor_meaning(&self, step: &StepStanding) -> Option<FactorMeaning> {
        let named = step.step.procedure().factor?;
        if self.is_driven(step.step) {
            return None;
        }
        let unit = (named.unit)(self.machine);
        let last = match &step.target {
            Some(Target::Factor { factor, .. }) => Some(factor.decimal.to_string()),
            Some(Target::Catch(_)) | None => self.last.factor(step.step),
        };
        let meaning = ConsoleFactor::of(step.step)?.meaning(&self.machine.console);
        Some(FactorMeaning {
            unit: unit.map(|unit| unit.to_string()),
            last,
            change: meaning.map(|meaning| meaning.change),
        })
    }

    fn visit(&self) -> Vec<Entry> {
        let mut by = entry(
            Field::Visit("by"),
            "initials",
            Kind::Named(self.known.people.clone()),
        );
        by.usual = self.wanted.by.map(scalar);
        "your initials".clone_into(&mut by.hint);
        let hours = Field::Visit("hours");
        let hours = self.read(hours, "engine hours", &[Dimension::TIME], Unit::HOUR);
        let mut hours = hours.optional();
        "the hour meter, such as 412 h; take the line out if there is none"
            .clone_into(&mut hours.hint);
        let preparation = |key, label, kind: Kind, hint: &str| {
            let mut made = entry(Field::Preparation(key), label, kind).optional();
            hint.clone_into(&mut made.hint);
            made
        };
        let names = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
        vec![
            by,
            hours,
            preparation(
                "rinsed",
                "tank and lines rinsed",
                Kind::YesNo,
                "true once tank and lines are rinsed",
            ),
            preparation(
                "neutralized",
                "neutralized",
                Kind::YesNo,
                "true once it is, as its label says",
            ),
            preparation(
                "liquid",
                "liquid",
                Kind::Named(names(&["clean water"])),
                "clean water",
            ),
            preparation(
                "protective-gear",
                "protective gear",
                Kind::List(names(&["gloves", "eye protection", "mask", "suit"])),
                "[gloves, eye protection]",
            ),
        ]
    }

    /// An instrument of a test, as usual or as last; none of a group that has none of its kind.
    pub(super) fn instrument(
        &self,
        field: Field,
        label: &str,
        purpose: Purpose,
        kinds: &[InstrumentKind],
    ) -> Option<Entry> {
        let of_kind = |(kind, _): &&(InstrumentKind, String)| kinds.contains(kind);
        let named = self.known.instruments.iter().filter(of_kind);
        let names: Vec<String> = named.map(|(_, name)| name.clone()).collect();
        if names.is_empty() {
            return None;
        }
        let usual = self
            .known
            .usual
            .get(&purpose)
            .filter(|name| names.contains(name));
        // What the machine was tested with last goes before what the group has for all.
        let last = self.last.named(field).filter(|name| names.contains(name));
        // A first record names none: it may merge before it is filled in, and the usual ones are taken anyhow.
        let usual = last.or_else(|| usual.filter(|_| !self.last.is_first()).cloned());
        let mut made = entry(field, label, Kind::Named(names)).optional();
        made.usual = usual.map(|name| scalar(&name));
        Some(made)
    }

    pub(super) fn units(&self) -> SetupUnits {
        SetupUnits::of(self.machine, self.setup())
    }

    /// A value that is read in a unit, with what it was last: digits typed now and what stands beside them have one unit.
    pub(super) fn read(
        &self,
        field: Field,
        label: &str,
        dimensions: &[Dimension],
        unit: Unit,
    ) -> Entry {
        let mut made = entry(field, label, Kind::Quantity(dimensions.to_vec(), unit));
        made.last = self.last.text(field, unit);
        made
    }
}

pub(super) fn catch_target(step: &StepStanding) -> Option<&CatchTarget> {
    match &step.target {
        Some(Target::Catch(aim)) => Some(aim),
        Some(Target::Factor { .. }) | None => None,
    }
}

/// What each nozzle should come to.
pub(super) fn nozzle_aim(aim: &CatchTarget) -> Aim {
    Aim {
        target: aim.rated,
        within: aim.within,
        decimals: numbers::decimals_of_three_digits(aim.rated),
    }
}

pub(super) fn entry(field: Field, label: &str, kind: Kind) -> Entry {
    Entry {
        field,
        key: field.name(),
        label: label.to_owned(),
        kind,
        usual: None,
        as_in: Vec::new(),
        aim: None,
        relative_to: None,
        last: None,
        hint: String::new(),
        is_optional: false,
    }
}

/// A target as the setup has it, in the unit of what is read.
pub(super) fn as_written(quantity: Quantity, unit: Unit) -> Aim {
    if quantity.unit != unit {
        return Aim::around(Quantity::in_unit(quantity.si(), unit), None);
    }
    let target = quantity.decimal.to_f64();
    Aim {
        target,
        within: None,
        decimals: numbers::decimals_needed(target, 4),
    }
}

/// What the setup says of a reading; nothing where it does not.
pub(super) fn of_setup(value: Option<&str>) -> String {
    value.map_or_else(String::new, |value| format!("target: {value}"))
}

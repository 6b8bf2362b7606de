//! The mixing card of one setup on a day: whether it may be sprayed, at which rate, and what goes into the tank.

use super::places::Places;
use super::standing::{setup_of_several, standing, unread};
use crate::assess::{Asked, Assessment, Context, Merged, StepStanding, assess_and_look};
use crate::diagnostic::{Diagnostic, Severity};
use crate::figure::AnyView;
use crate::figure::standing::{ActualRate, RateBy};
use crate::finding::Finding;
use crate::procedure::{Step, is_speed_driven};
use crate::quantity::Quantity;
use crate::report::{DueState, Unusable, setup_asked_for};
use crate::tank_mix::{
    Actual, Basis, CannotMix, Card, Job, Label, LabelFrom, MOST_TANK, MixedAt, NoActual, Product,
    Refusal, StepTold, Unknown, Warning, labels_on_record,
};
use crate::tree::{Listing, MachineFiles, ReadFile, Reader, Store, Tree};
use crate::wording::steps::{because, not_counted};
use crate::words::phrases;
use jiff::civil::Date;

/// What of a machine a card stands on.
#[derive(Debug, Default)]
struct OfMachine {
    is_out_of_service: bool,
    is_speed_driven: bool,
    tank: Option<Quantity>,
    /// The setups, in the order of the machine file.
    setups: Vec<Declared>,
    actual: Vec<ActualRate>,
}

/// What the machine file has of a setup.
#[derive(Debug)]
struct Declared {
    name: String,
    rate: Option<Quantity>,
    pressure: Option<Quantity>,
    speed: Option<Quantity>,
}

/// The mixing card for a job.
///
/// # Errors
/// Where what is asked for is not there, or cannot be so.
pub fn tank(
    listing: &Listing,
    read: &ReadFile<'_>,
    today: Date,
    asked: &crate::tank_mix::Asked,
) -> Result<Card, CannotMix> {
    asked.products_make_sense()?;
    let tree = Tree::of(listing);
    let reader = Reader::new(Store::Passing(read), &tree);
    let machine = tree.machine(&asked.machine);
    let machine = machine.filter(|machine| !machine.machine_files.is_empty());
    let machine = machine.ok_or_else(|| {
        let known = tree.machines.iter();
        let known = known.filter(|machine| !machine.machine_files.is_empty());
        let known = known.map(|machine| machine.id.clone());
        Unusable::no_such_machine(&asked.machine, known.collect())
    })?;
    let context = Context::read(&reader, today, Merged::new());
    let mut of_machine = None;
    let mut look = |view: AnyView<'_>| {
        if let AnyView::State(standing) = view {
            let machine = standing.subject.machine;
            let setups = machine.setups.iter();
            of_machine = Some(OfMachine {
                is_out_of_service: machine.out_of_service.is_some(),
                is_speed_driven: is_speed_driven(machine),
                tank: machine.tank.map(|tank| tank.value),
                setups: setups
                    .map(|setup| Declared {
                        name: setup.name.value.clone(),
                        rate: setup.rate.map(|rate| rate.value),
                        pressure: setup.pressure.map(|pressure| pressure.value),
                        speed: setup.speed.map(|speed| speed.value),
                    })
                    .collect(),
                actual: standing.actual.clone(),
            });
        }
    };
    let assessment = assess_and_look(&context, &reader, machine, Asked::default(), &mut look);
    let mut failures = context
        .texts
        .failures
        .iter()
        .chain(&assessment.texts.failures);
    if let Some(failure) = failures.next() {
        return Err(CannotMix::NotRead {
            path: failure.path.clone(),
            reason: failure.reason.clone(),
        });
    }
    let mut places = Places::new(&reader);
    if let Some(broken) = &assessment.broken {
        let errors = broken.errors.iter().map(|at| places.at(*at));
        return Err(Unusable::broken(&asked.machine, errors.collect()).into());
    }
    let of_machine = of_machine.ok_or_else(|| Unusable::broken(&asked.machine, Vec::new()))?;
    if of_machine.is_out_of_service {
        let machine = asked.machine.clone();
        return Err(Unusable::OutOfService { machine }.into());
    }
    let making = Making {
        context: &context,
        reader: &reader,
        files: machine,
        assessment: &assessment,
        of_machine: &of_machine,
        asked,
    };
    making.card(&mut places)
}

/// A card in the making.
struct Making<'a> {
    context: &'a Context,
    reader: &'a Reader<'a>,
    files: &'a MachineFiles,
    assessment: &'a Assessment,
    of_machine: &'a OfMachine,
    asked: &'a crate::tank_mix::Asked,
}

impl Making<'_> {
    fn card(&self, places: &mut Places<'_>) -> Result<Card, CannotMix> {
        let setup = self.setup()?;
        let tank = self.tank()?;
        let declared = &self.of_machine.setups[usize::from(setup)];
        let Declared {
            name,
            rate: nominal,
            ..
        } = declared;
        let is_own = |step: &&StepStanding| step.setup.as_ref().is_none_or(|of| of == name);
        let steps: Vec<&StepStanding> = self.assessment.steps.iter().filter(is_own).collect();
        let told = self.of_machine.actual.iter();
        let told = told.filter(|actual| actual.setup == setup && actual.by != RateBy::Setup);
        let mut told = told.filter(|actual| actual.value.is_finite() && 0.0 < actual.value);
        let told = told.next();
        let mut against = self.against(&steps, places);
        if told.is_none() {
            against.push(Refusal::NoActual(match nominal {
                Some(_) => NoActual::NotTested,
                None => NoActual::NotDeclared,
            }));
        }
        let actual = told.map(|told| Actual {
            value: told.value,
            expanded: self.context.coverage_factor * told.uncertainty,
            unit: told.unit,
        });
        let rate = self.rate(name, *nominal, actual)?;
        let basis = if self.asked.nominal {
            Basis::Nominal
        } else {
            Basis::Actual
        };
        let mut warnings = self.warnings(&steps, told, tank, places);
        let products = self.products(&mut warnings);
        let outcome = match rate {
            Some(rate) if basis == Basis::Nominal || against.is_empty() => {
                warnings.splice(0..0, against.into_iter().map(Warning::Despite));
                let job = Job {
                    area: self.asked.area,
                    tank,
                    products: &products,
                    equal_loads: self.asked.equal_loads,
                    rate,
                };
                match job.mix()? {
                    Ok((mix, of_mix)) => {
                        warnings.extend(of_mix);
                        Ok(mix)
                    }
                    Err(refused) => Err(refused.into_iter().map(Refusal::Mix).collect()),
                }
            }
            // Nothing more is worked out: a number that does not hold is not even made.
            Some(_) | None => Err(against),
        };
        let is_driven = self.of_machine.is_speed_driven && basis == Basis::Actual;
        let as_driven = is_driven
            && steps
                .iter()
                .any(|step| step.step == Step::Speed && step.done.is_some());
        let done = steps.iter().filter_map(|step| {
            let done = step.done.filter(|_| basis == Basis::Actual)?;
            Some((self.named(step), done.day))
        });
        Ok(Card {
            machine: self.assessment.machine.clone(),
            course: self.assessment.course.clone(),
            setup: name.clone(),
            works_at: [declared.pressure, declared.speed.filter(|_| !as_driven)]
                .into_iter()
                .flatten()
                .collect(),
            as_driven,
            today: self.context.today,
            area: self.asked.area,
            tank,
            basis,
            told_by: told.map(|told| told.by.words()),
            stands_on: done.collect(),
            outcome,
            warnings,
        })
    }

    /// The rate that the job stands on; none where nothing tells the actual one.
    fn rate(
        &self,
        setup: &str,
        nominal: Option<Quantity>,
        actual: Option<Actual>,
    ) -> Result<Option<MixedAt>, CannotMix> {
        if !self.asked.nominal {
            return Ok(actual.map(|actual| MixedAt::Actual { actual, nominal }));
        }
        let nominal = nominal.ok_or_else(|| CannotMix::NoNominalRate {
            setup: setup.to_owned(),
        })?;
        Ok(Some(MixedAt::Nominal { nominal, actual }))
    }

    /// The place of the setup in the machine file.
    fn setup(&self) -> Result<u16, CannotMix> {
        let setups = &self.of_machine.setups;
        let names = setups.iter().map(|own| own.name.clone());
        let (machine, setup) = (&self.asked.machine, self.asked.setup.as_deref());
        Ok(setup_asked_for(machine, setup, names.collect())?)
    }

    fn tank(&self) -> Result<Quantity, CannotMix> {
        let tank = self.asked.tank.or(self.of_machine.tank);
        let tank = tank.filter(|tank| 0.0 < tank.si());
        let tank = tank.ok_or_else(|| CannotMix::NoTank {
            machine: self.asked.machine.clone(),
        })?;
        if MOST_TANK < tank.si() {
            return Err(CannotMix::TankTooLarge {
                tank: tank.to_string(),
            });
        }
        Ok(tank)
    }

    /// What speaks against the actual rate.
    fn against(&self, steps: &[&StepStanding], places: &mut Places<'_>) -> Vec<Refusal> {
        let mut against = Vec::new();
        for step in steps {
            if let Some(told) = self.told(step, places)
                && told.state.forbids_spraying()
            {
                against.push(Refusal::NotReady(told));
            }
        }
        if let Some(place) = unread(self.assessment) {
            against.push(Refusal::NotKnown(Unknown::Unread(places.at(place))));
        }
        let unsure = &self.assessment.unsure;
        if !unsure.steps.is_empty() {
            against.push(Refusal::NotKnown(Unknown::Unsaid {
                steps: unsure.steps.iter().map(|step| step.test()).collect(),
                keys: unsure.says_nothing_of.clone(),
            }));
        }
        against
    }

    /// A step as `due` tells it; none where it is current.
    fn told(&self, step: &StepStanding, places: &mut Places<'_>) -> Option<StepTold> {
        // An interval that has run out today, so that nothing of it is left for this job.
        let used_up = step.intervals.iter();
        let used_up = used_up.filter(|one| one.due <= self.context.today);
        let next = used_up.min_by_key(|one| one.due);
        let standing = standing(step, next)?;
        let told = because(
            step,
            next,
            &self.assessment.left_failing,
            &self.context.group,
            self.context.today,
        );
        Some(StepTold {
            name: self.named(step),
            state: standing.state,
            because: told.because,
            to_do: told.to_do,
            at: standing.at.map(|at| places.at(at)),
        })
    }

    fn named(&self, step: &StepStanding) -> String {
        match setup_of_several(self.assessment, step) {
            Some(setup) => format!("{} ({setup})", step.step.test()),
            None => step.step.test().to_owned(),
        }
    }

    fn warnings(
        &self,
        steps: &[&StepStanding],
        told: Option<&ActualRate>,
        tank: Quantity,
        places: &mut Places<'_>,
    ) -> Vec<Warning> {
        let mut warnings = Vec::new();
        for step in steps {
            let Some(told) = self.told(step, places) else {
                continue;
            };
            match told.state {
                DueState::Overdue | DueState::Recheck | DueState::ComingDue => {
                    warnings.push(Warning::Due(told));
                }
                DueState::Waived => warnings.push(Warning::Waived {
                    step: told,
                    waivers: self.waivers(step),
                }),
                DueState::NeverDone
                | DueState::Void
                | DueState::Failing
                | DueState::RecordToCorrect => {}
            }
        }
        let newer = steps.iter().filter_map(|step| {
            let is_told = self.told(step, places).is_some();
            let test = step.not_counted.as_ref().filter(|_| !is_told)?;
            Some(Warning::NotCounted(not_counted(step.step, test)))
        });
        warnings.extend(newer);
        let later = self.assessment.not_come.len();
        if 0 < later {
            warnings.push(Warning::LaterRecords(later));
        }
        let unread = steps.iter().filter(|step| step.hours_unread.is_some());
        let unread: Vec<String> = unread.map(|step| self.named(step)).collect();
        if !unread.is_empty() {
            warnings.push(Warning::HoursUnread(unread));
        }
        if told.is_some_and(|told| told.by == RateBy::PartOfCalibration) {
            warnings.push(Warning::PartTested);
        }
        warnings.extend(
            self.assessment
                .laid_up
                .map(|(_, until)| Warning::LaidUp(until)),
        );
        let of_group = self.context.texts.findings.iter();
        let of_machine = self.assessment.findings.iter().map(Finding::severity);
        let all = of_group.map(Diagnostic::severity).chain(of_machine);
        let count = |severity| all.clone().filter(|one| *one == severity).count();
        let (errors, heavy) = (count(Severity::Error), count(Severity::Warning));
        if 0 < errors + heavy {
            warnings.push(Warning::Found {
                errors,
                warnings: heavy,
            });
        }
        if let Some(in_file) = self.of_machine.tank
            && !in_file.has_value_of(&tank)
        {
            warnings.push(Warning::OtherTank {
                in_file,
                is_larger: in_file.si() < tank.si(),
            });
        }
        warnings
    }

    /// The reasons of the waivers in force for a step, and until when they hold.
    fn waivers(&self, step: &StepStanding) -> Vec<(Option<String>, Option<Date>)> {
        let Some(waivers) = &self.context.group.waivers else {
            return Vec::new();
        };
        let own = step.waived.iter().filter_map(|waived| {
            let waiver = waivers.waivers.get(waived.waiver)?;
            let reason = waiver.reason.as_ref();
            let reason = reason.map(|reason| phrases::name(&reason.value).into_owned());
            Some((reason, waiver.until.map(|until| until.value)))
        });
        own.collect()
    }

    /// The products with what the group has on record of their labels: the stricter limit counts.
    fn products(&self, warnings: &mut Vec<Warning>) -> Vec<Product> {
        let mut products = self.asked.products.clone();
        for product in &mut products {
            let today = self.context.today;
            let on_record = labels_on_record(self.reader, today, self.files, &product.name);
            let alike = on_record.others.into_iter();
            let alike = alike.filter(|label| product.is_alike(label));
            let over =
                alike.filter(|label| label.max.is_some_and(|max| max.si() < product.rate.si()));
            let strictest = over.min_by(|one, other| {
                let max = |label: &Label| label.max.map_or(f64::INFINITY, |max| max.si());
                max(one).total_cmp(&max(other))
            });
            for label in on_record.counting {
                if product.is_alike(&label) {
                    product.labels.push(label);
                } else if let LabelFrom::Record { path, .. } = label.from {
                    warnings.push(Warning::UnlikeRecord {
                        product: product.name.clone(),
                        path,
                    });
                }
            }
            if let Some(Label {
                max: Some(max),
                from: LabelFrom::Record { path, .. },
                ..
            }) = strictest
            {
                warnings.push(Warning::OtherLabel {
                    product: product.name.clone(),
                    max,
                    path,
                });
            }
        }
        products
    }
}

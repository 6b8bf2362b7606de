//! The mixing card of one setup on a day: whether it may be sprayed, at which rate, and what goes into the tank.

mod against;
mod of_machine;
mod warnings;

use super::places::Places;
use super::standing::{setup_of_several, standing};
use crate::assess::{Asked, Assessment, Context, Merged, StepStanding, assess_and_look};
use crate::figure::AnyView;
use crate::figure::standing::ActualRate;
use crate::procedure::Step;
use crate::quantity::Quantity;
use crate::report::{Unusable, machine_asked_for, setup_asked_for};
use crate::tank_mix::{
    Actual, Basis, CannotMix, Card, Job, MOST_TANK, Mix, MixedAt, NoActual, Refusal, StepTold,
    Warning, WorksAt,
};
use crate::tree::{Listing, MachineFiles, ReadFile, Reader, Store, Tree};
use crate::wording::steps::because;
use jiff::civil::Date;
use of_machine::{Declared, OfMachine};

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
    let machine = machine_asked_for(&tree, &asked.machine)?;
    let context = Context::read(&reader, today, Merged::new());
    let mut of_machine = None;
    let mut look = |view: AnyView<'_>| {
        if let AnyView::State(standing) = view {
            of_machine = Some(OfMachine::of(standing));
        }
    };
    let assessment = assess_and_look(&context, &reader, machine, Asked::default(), &mut look);
    let mut places = Places::new(&reader);
    could_be_read(&context, &assessment, &mut places)?;
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

/// Whether every file that a card stands on could be read, and the machine file says what is meant.
fn could_be_read(
    context: &Context,
    assessment: &Assessment,
    places: &mut Places<'_>,
) -> Result<(), CannotMix> {
    let all = [&context.texts.failures, &assessment.texts.failures];
    if let Some(failure) = all.into_iter().flatten().next() {
        return Err(CannotMix::NotRead {
            path: failure.path.clone(),
            reason: failure.reason.clone(),
        });
    }
    match &assessment.broken {
        Some(broken) => {
            let errors = broken.errors.iter().map(|at| places.at(*at));
            Err(Unusable::broken(&assessment.machine, errors.collect()).into())
        }
        None => Ok(()),
    }
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
        let is_own = |step: &&StepStanding| {
            let of = step.setup.as_ref();
            of.is_none_or(|of| *of == declared.name)
        };
        let steps: Vec<&StepStanding> = self.assessment.steps.iter().filter(is_own).collect();
        let tested = self.of_machine.tested_rate(setup);
        let mut against = self.against(&declared.name, &steps, places);
        against.extend(no_actual(declared, tested).map(Refusal::NoActual));
        let rate = self.rate(declared, tested)?;
        let mut warnings = self.warnings(&steps, tested, tank, places);
        let (products, unread_labels) = self.products(&mut warnings);
        against.extend(unread_labels);
        let job = rate.map(|rate| Job {
            area: self.asked.area,
            tank,
            products: &products,
            equal_loads: self.asked.equal_loads,
            rate,
        });
        let outcome = self.outcome(job, against, &mut warnings)?;
        Ok(Card {
            machine: self.assessment.machine.clone(),
            course: self.assessment.course.clone(),
            setup: declared.name.clone(),
            works_at: self.works_at(declared, &steps),
            today: self.context.today,
            area: self.asked.area,
            tank,
            basis: self.basis(),
            told_by: tested.map(|tested| tested.by.words()),
            stands_on: self.stands_on(&steps),
            outcome,
            warnings,
        })
    }

    const fn basis(&self) -> Basis {
        if self.asked.nominal {
            Basis::Nominal
        } else {
            Basis::Actual
        }
    }

    /// The rate that the job stands on; none where nothing tells the actual one.
    fn rate(
        &self,
        declared: &Declared,
        tested: Option<&ActualRate>,
    ) -> Result<Option<MixedAt>, CannotMix> {
        let actual = tested.map(|tested| Actual {
            value: tested.value,
            expanded: self.context.coverage_factor * tested.uncertainty,
            unit: tested.unit,
        });
        let nominal = declared.rate;
        if !self.asked.nominal {
            return Ok(actual.map(|actual| MixedAt::Actual { actual, nominal }));
        }
        let nominal = nominal.ok_or_else(|| CannotMix::NoNominalRate {
            setup: declared.name.clone(),
        })?;
        Ok(Some(MixedAt::Nominal { nominal, actual }))
    }

    /// What the job takes, where nothing speaks against it; the nominal one takes it all the same, with a word of that.
    fn outcome(
        &self,
        job: Option<Job<'_>>,
        against: Vec<Refusal>,
        warnings: &mut Vec<Warning>,
    ) -> Result<Result<Mix, Vec<Refusal>>, CannotMix> {
        let job = job.filter(|_| self.asked.nominal || against.is_empty());
        let Some(job) = job else {
            // Nothing more is worked out: a number that does not hold is not even made.
            return Ok(Err(against));
        };
        warnings.splice(0..0, against.into_iter().map(Warning::Despite));
        Ok(match job.mix()? {
            Ok((mix, of_mix)) => {
                warnings.extend(of_mix);
                Ok(mix)
            }
            Err(refused) => Err(refused.into_iter().map(Refusal::Mix).collect()),
        })
    }

    /// What the setup works at: its pressure and speed, or its pressure as the speed test was driven.
    fn works_at(&self, declared: &Declared, steps: &[&StepStanding]) -> WorksAt {
        let mut steps = steps.iter();
        let is_speed_tested = steps.any(|step| step.step == Step::Speed && step.done.is_some());
        let is_driven = self.of_machine.is_speed_driven && self.basis() == Basis::Actual;
        let as_driven = is_driven && is_speed_tested;
        WorksAt {
            pressure: declared.pressure,
            speed: declared.speed.filter(|_| !as_driven),
            as_driven,
        }
    }

    /// The tests that an actual rate stands on, with their days.
    fn stands_on(&self, steps: &[&StepStanding]) -> Vec<(String, Date)> {
        let steps = steps.iter().filter(|_| self.basis() == Basis::Actual);
        let done = steps.filter_map(|step| Some((self.named(step), step.done?.day)));
        done.collect()
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
}

/// Why nothing tells the actual rate of a setup.
fn no_actual(declared: &Declared, tested: Option<&ActualRate>) -> Option<NoActual> {
    match (tested, declared.rate) {
        (Some(_), _) => None,
        (None, Some(_)) => Some(NoActual::NotTested),
        (None, None) => Some(NoActual::NotDeclared),
    }
}

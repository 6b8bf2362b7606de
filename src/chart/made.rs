//! Makes the chart: looks at the machine, then asks each setup for its values.

use super::asking::Asking;
use super::seen::Seen;
use super::told::{Asked, Average, Chart, FittedTips, NoAverage, SetupChart, Sum};
use crate::assess::{
    self, Assessment, Context, Merged, State, StepStanding, Target, assess_and_look,
};
use crate::diagnostic::Severity;
use crate::figure::Subject;
use crate::figure::planned::{CaughtAverage, Planned};
use crate::finding::{Finding, Judged};
use crate::fleet::Layout;
use crate::procedure::Step;
use crate::projection::Places;
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::record::machine::{Rated, Setup};
use crate::record::{Machine, SetupUnits};
use crate::report::{RowPlace, Unusable, machine_asked_for, setup_asked_for};
use crate::source::{Place, Placed};
use crate::tree::{Listing, ReadFile, Reader, Store, Tree};
use crate::wording::{findings, steps};
use std::sync::Arc;

/// What fits a machine.
///
/// # Errors
/// Why nothing can be told of it.
pub fn chart(listing: &Listing, read: &ReadFile<'_>, asked: &Asked<'_>) -> Result<Chart, Unusable> {
    let tree = Tree::of(listing);
    let reader = Reader::new(Store::Passing(read), &tree);
    let context = Context::read(&reader, asked.today, Merged::new());
    let files = machine_asked_for(&tree, asked.machine)?;
    let mut seen = Seen::default();
    let assessment = assess_and_look(
        &context,
        &reader,
        files,
        assess::Asked::default(),
        &mut |view| seen.look(&context, view),
    );
    let mut places = Places::new(&reader);
    let machine = readable(&seen, &assessment, &mut places)?;
    let making = Making {
        context: &context,
        asked,
        seen: &seen,
        assessment: &assessment,
        machine: &machine,
    };
    let setups = chosen(&machine, asked)?;
    let setups = setups.into_iter();
    let setups = setups.map(|setup| making.setup(setup, &mut places));
    let setups = setups.collect();
    let failures = [&context.texts.failures, &assessment.texts.failures];
    let mut failures = failures.map(Clone::clone).concat();
    failures.sort();
    failures.dedup();
    Ok(Chart {
        machine: assessment.machine.clone(),
        today: asked.today,
        coverage_factor: context.coverage_factor,
        is_wanted: asked.wanted.is_some(),
        setups,
        errors: errors(&context, &assessment, &mut places),
        failures,
    })
}

/// The machine, where its file can be read; what rules find in it is no fault of the reading.
fn readable(
    seen: &Seen,
    assessment: &Assessment,
    places: &mut Places<'_>,
) -> Result<Machine, Unusable> {
    let id = assessment.machine.clone();
    if let Some(broken) = &assessment.broken {
        let is_of_file = |place: &Place| broken.errors.contains(place);
        let faults = faults(assessment).filter(is_of_file);
        let faults: Vec<RowPlace> = faults.map(|place| places.at(place)).collect();
        if !faults.is_empty() || broken.errors.is_empty() {
            return Err(Unusable::broken(&id, faults));
        }
    }
    let machine = seen.machine.clone();
    let machine = machine.ok_or_else(|| Unusable::broken(&id, Vec::new()))?;
    match machine.out_of_service {
        Some(_) => Err(Unusable::OutOfService { machine: id }),
        None => Ok(machine),
    }
}

/// Where errors stand that no rule finds.
fn faults(assessment: &Assessment) -> impl Iterator<Item = Place> {
    let findings = assessment.findings.iter();
    let faults = findings.filter(|one| matches!(one, Finding::Fault(_)));
    let errors = faults.filter(|fault| fault.severity() == Severity::Error);
    errors.map(Finding::place)
}

/// Each setup that is asked for, by its place in the machine file.
fn chosen(machine: &Machine, asked: &Asked<'_>) -> Result<Vec<u16>, Unusable> {
    let name = |setup: &Arc<Setup>| setup.name.value.clone();
    let known: Vec<String> = machine.setups.iter().map(name).collect();
    let all = (0..).zip(&machine.setups).map(|(index, _)| index);
    match setup_asked_for(asked.machine, asked.setup, known) {
        Ok(one) => Ok(vec![one]),
        // Which tips are fitted for what is wanted nobody can say; what is declared is told of each.
        Err(Unusable::WhichSetup { .. }) if asked.wanted.is_none() => Ok(all.collect()),
        Err(cannot) => Err(cannot),
    }
}

/// Where errors stand that may change what is told: in what the group declares, and by a rule in the machine file. A record
/// that cannot be read says so itself, where it may be the last catch.
fn errors(context: &Context, assessment: &Assessment, places: &mut Places<'_>) -> Vec<RowPlace> {
    let declared = context.texts.findings.iter();
    let declared = declared.filter(|fault| fault.severity() == Severity::Error);
    let declared = declared.map(|fault| fault.primary().place);
    let of_machine = assessment.broken.iter().flat_map(|broken| &broken.errors);
    let all = declared.chain(of_machine.copied());
    let mut errors: Vec<RowPlace> = all.map(|place| places.at(place)).collect();
    errors.sort();
    errors.dedup();
    errors
}

/// Whether a value can be computed with.
fn is_above_zero(quantity: &Quantity) -> bool {
    let si = quantity.si();
    si.is_finite() && 0.0 < si
}

struct Making<'a> {
    context: &'a Context,
    asked: &'a Asked<'a>,
    seen: &'a Seen,
    assessment: &'a Assessment,
    machine: &'a Machine,
}

impl Making<'_> {
    fn setup(&self, index: u16, places: &mut Places<'_>) -> SetupChart {
        let declared = &self.machine.setups[usize::from(index)];
        let setup = self.as_asked(declared);
        let name = &setup.name.value;
        let standing = self.assessment.steps.iter().find(|step| {
            step.step == Step::Catch && step.setup.as_ref().is_none_or(|of| of == name)
        });
        let target = standing.and_then(|standing| match &standing.target {
            Some(Target::Catch(target)) => Some(target.clone()),
            Some(Target::Factor { .. }) | None => None,
        });
        let average = self.average(index, standing);
        let last = self.seen.last_catch(index);
        let unit = target
            .as_ref()
            .map_or(Unit::MILLILITER, |target| target.unit);
        let machine = self.with_only_values_above_zero();
        let subject = Subject {
            fleet: self.context.group.fleet.as_deref(),
            machine: &machine,
            id: &self.assessment.machine,
            index: self.seen.index,
            layout: Layout::of(&machine.boom),
        };
        let known = average.as_ref().ok().map(|(_, average)| *average);
        let mut asking = Asking {
            planned: Planned::new(&subject, (index, &setup), last, unit, known),
            setup: &setup,
            units: SetupUnits::of(&machine, &setup),
            place: Place {
                file: machine.file,
                span: setup.name.span,
            },
            coverage_factor: self.context.coverage_factor,
            target: target.as_ref(),
            is_wanted: self.asked.wanted.is_some(),
            pressure: None,
            rows: Vec::new(),
        };
        asking.ask();
        let rated = setup.rated.as_ref();
        let range = rated.and_then(|rated| rated.range);
        let bounds = asking.planned.bounds(range);
        SetupChart {
            name: name.clone(),
            rate: setup.rate.map(|rate| rate.value),
            speed: setup.speed.map(|speed| speed.value),
            spacing: machine.boom.spacing.map(|spacing| spacing.value),
            pressure: setup
                .pressure
                .map(|set| (set.value, bounds.reach(set.value.si()))),
            working_pressure: asking.pressure,
            fitted: rated.map(fitted),
            gauge: bounds.span,
            sum: self.sum(index, places),
            average: average.map(|(day, average)| Average {
                day,
                off_rated: average.off_rated,
                expanded: self.context.coverage_factor * average.standard_uncertainty,
            }),
            mix_over_water: asking.planned.pressure_of_mix_over_water(),
            rows: asking.rows,
            lacking: lacking(&machine, &setup),
            target: target
                .filter(|_| self.asked.wanted.is_none())
                .map(|target| steps::target(&Target::Catch(target))),
        }
    }

    /// The setup with the rate and the speed that are wanted; what is not above zero is taken for lacking.
    fn as_asked(&self, declared: &Setup) -> Setup {
        let mut setup = declared.clone();
        if let Some(wanted) = self.asked.wanted {
            let place = Place {
                file: self.machine.file,
                span: declared.name.span,
            };
            setup.rate = Some(wanted.rate).map(|value| Placed { value, place });
            setup.speed = Some(wanted.speed).map(|value| Placed { value, place });
        }
        let sound = |placed: &Placed<Quantity>| is_above_zero(&placed.value);
        setup.rate = setup.rate.filter(sound);
        setup.speed = setup.speed.filter(sound);
        setup.pressure = setup.pressure.filter(sound);
        setup.rated = setup
            .rated
            .filter(|rated| sound(&rated.flow) && sound(&rated.pressure));
        setup
    }

    fn with_only_values_above_zero(&self) -> Machine {
        let mut machine = self.machine.clone();
        let boom = Arc::make_mut(&mut machine.boom);
        boom.spacing = boom.spacing.filter(|one| is_above_zero(&one.value));
        machine
    }

    /// What the rule on the sum says of a setup as it is written.
    fn sum(&self, index: u16, places: &mut Places<'_>) -> Option<Sum> {
        let mut sums = self.seen.sums.iter();
        let judged = sums.find(|judged| judged.key.setup == Some(index))?;
        let is_told = self.asked.wanted.is_none() && judged.limit.is_some();
        is_told.then(|| self.said(judged, places))
    }

    fn said(&self, judged: &Judged, places: &mut Places<'_>) -> Sum {
        let finding = Finding::Judged(Box::new(judged.clone()));
        let words = findings::words(&finding, &self.context.group);
        Sum {
            rule: judged.name.clone(),
            message: words.message().to_owned(),
            is_kept: !judged.verdict.is_over(),
            at: places.at(judged.subject),
        }
    }

    /// What the tips of a setup put out at the last catch that counts, and its day.
    fn average(
        &self,
        index: u16,
        standing: Option<&StepStanding>,
    ) -> Result<(jiff::civil::Date, CaughtAverage), NoAverage> {
        let standing = standing.ok_or(NoAverage::NeverCaught)?;
        match &standing.state {
            State::NeverDone => return Err(NoAverage::NeverCaught),
            State::UnreadVisit(_) => return Err(NoAverage::Unread),
            State::Void(by) => {
                return Err(NoAverage::Void {
                    day: by.undone.day,
                    work: by.work.clone(),
                });
            }
            State::RecordToCorrect { .. }
            | State::Failing { .. }
            | State::Overdue(_)
            | State::Recheck(_)
            | State::UnreadWork(_)
            | State::Current => {}
        }
        let done = standing.done.ok_or(NoAverage::NeverCaught)?;
        if let State::RecordToCorrect { .. } = standing.state {
            return Err(NoAverage::RecordToCorrect(done.day));
        }
        let average = self.seen.average(index, done.place.file);
        Ok((done.day, average.ok_or(NoAverage::NoneTold(done.day))?))
    }
}

fn fitted(rated: &Rated) -> FittedTips {
    FittedTips {
        size: rated.size.clone(),
        flow: rated.flow.value,
        pressure: rated.pressure.value,
        range: rated.range.map(|range| [range.from.value, range.to.value]),
    }
}

/// The keys of the machine file that give nothing to compute with.
fn lacking(machine: &Machine, setup: &Setup) -> Vec<&'static str> {
    let keys = [
        ("spacing", machine.boom.spacing.is_some()),
        ("nozzle", setup.rated.is_some()),
        ("pressure", setup.pressure.is_some()),
        ("speed", setup.speed.is_some()),
        ("rate", setup.rate.is_some()),
    ];
    let lacking = keys.into_iter().filter(|(_, is_there)| !is_there);
    lacking.map(|(key, _)| key).collect()
}

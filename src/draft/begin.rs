//! A visit begun: the machine, its setup and its steps found, and what is known of them gathered.

use super::form::Form;
use super::known::{Known, Making};
use super::last::Last;
use super::wanted::Wanted;
use crate::diagnostic::{Diagnostic, Severity};
use crate::figure::{AnyView, Standing};
use crate::finding::Finding;
use crate::quantity::Quantity;
use crate::quantity::calendar::Period;
use crate::record::Machine;
use crate::report::{DueList, Unusable, setup_asked_for};
use crate::source::{Place, Spanned};
use crate::workspace::Workspace;

/// Everything that a visit of a machine takes in, on the day that it is made.
///
/// # Errors
/// Where nobody can say which machine or which setup is meant, or what the machine is like.
pub fn form(fleet: &mut Workspace, wanted: &Wanted<'_>) -> Result<Form, Unusable> {
    fleet.set_today(wanted.day);
    let (machine_files, assessment) = fleet.assess_asked(wanted.machine)?;
    let faults = assessment
        .findings
        .iter()
        .filter_map(|finding| match finding {
            Finding::Fault(fault) => Some(&**fault),
            Finding::Judged(_) | Finding::Explained(_) | Finding::Weak(_) => None,
        });
    let is_of_machine_file = |fault: &&Diagnostic| {
        fault.severity() == Severity::Error && machine_files.contains(&fault.primary().place.file)
    };
    let errors = faults.filter(is_of_machine_file);
    let errors: Vec<Place> = errors.map(|fault| fault.primary().place).collect();
    if !errors.is_empty() {
        let errors = errors.into_iter().map(|place| fleet.row_place(place));
        return Err(Unusable::broken(wanted.machine, errors.collect()));
    }
    // Every machine in use has at least the catch.
    if assessment.steps.is_empty() {
        return Err(out_of_service(wanted));
    }
    let seen = seen(fleet, wanted)?;
    let own = &seen.machine.setups[seen.setup].name.value;
    let is_own =
        |step: &&crate::assess::StepStanding| step.setup.as_ref().is_none_or(|of| of == own);
    let due = fleet.due_of(wanted.machine, Period::Days(DueList::DAYS_AHEAD));
    let due = due.steps.into_iter().filter(|step| step.of.is_of(own));
    let making = Making {
        wanted,
        machine: &seen.machine,
        course: assessment.course.clone(),
        setup: seen.setup,
        steps: assessment.steps.iter().filter(is_own).cloned().collect(),
        due: due.collect(),
        known: seen.known,
        last: seen.last,
    };
    Ok(making.form())
}

/// What the assessment of a machine looks at.
struct Seen {
    machine: Machine,
    setup: usize,
    known: Known,
    last: Last,
}

/// The last reading of the hour meter in any record up to the day of the visit.
fn last_hours(standing: &Standing<'_>, wanted: &Wanted<'_>) -> Option<Quantity> {
    let records = standing.records.iter();
    let up_to = records.filter(|record| record.day <= wanted.day && !record.hours.is_empty());
    let last = up_to.max_by_key(|record| record.day)?.hours.last()?;
    Some(last.now.quantity)
}

fn out_of_service(wanted: &Wanted<'_>) -> Unusable {
    Unusable::OutOfService {
        machine: wanted.machine.to_owned(),
    }
}

fn seen(fleet: &mut Workspace, wanted: &Wanted<'_>) -> Result<Seen, Unusable> {
    let mut machine = None;
    let mut known = Known::default();
    let mut layout = None;
    let mut hours = None;
    fleet.look(wanted.machine, &mut |view| {
        if let AnyView::State(standing) = view {
            machine = Some(standing.subject.machine.clone());
            layout.clone_from(&standing.subject.layout);
            hours = last_hours(standing, wanted);
            if let Some(group) = standing.subject.fleet {
                known = Known {
                    people: group.people.keys().cloned().collect(),
                    instruments: group
                        .instruments
                        .iter()
                        .map(|(name, instrument)| (instrument.kind, name.clone()))
                        .filter_map(|(kind, name)| Some((kind?.value, name)))
                        .collect(),
                    usual: group
                        .usual
                        .iter()
                        .map(|(purpose, name)| (*purpose, name.value.clone()))
                        .collect(),
                };
            }
        }
    });
    let machine = machine.ok_or_else(|| out_of_service(wanted))?;
    let names = machine.setups.iter().map(|setup| setup.name.value.clone());
    let setup = setup_asked_for(wanted.machine, wanted.setup, names.collect())?;
    let setup = usize::from(setup);
    let own = &machine.setups[setup].name.value;
    let mut last = Last::new(layout, hours);
    fleet.look(wanted.machine, &mut |view| {
        if let AnyView::Readings(visit) = view {
            let named = visit.calibration.setup.as_ref();
            let is_own = named.map_or(machine.setups.len() == 1, |named: &Spanned<String>| {
                named.value == *own
            });
            let is_before = visit
                .calibration
                .date
                .is_some_and(|date| date.value <= wanted.day);
            if is_before {
                last.take(&machine, visit.calibration, is_own);
            }
        }
    });
    Ok(Seen {
        machine,
        setup,
        known,
        last,
    })
}

//! The steps of the nightly list as formats put them together, in the order of the list.

use crate::report::{DueList, DueState, DueStep};
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn in_state(due: &DueList, state: DueState) -> usize {
    due.steps.iter().filter(|step| step.state == state).count()
}

/// What to bring for some steps, each thing once.
pub(super) fn bring(steps: &[DueStep]) -> Vec<&str> {
    each_once(steps.iter().flat_map(|step| &step.bring))
}

/// What to take care of in some steps, each thing once.
pub(super) fn cautions(steps: &[DueStep]) -> Vec<&str> {
    each_once(steps.iter().flat_map(|step| step.cautions))
}

fn each_once<'s, T: AsRef<str> + ?Sized + 's>(all: impl Iterator<Item = &'s T>) -> Vec<&'s str> {
    let mut things: Vec<&str> = Vec::new();
    let mut known: BTreeSet<&str> = BTreeSet::new();
    for thing in all.map(AsRef::as_ref) {
        if known.insert(thing) {
            things.push(thing);
        }
    }
    things
}

/// The machines that are not ready to spray, each with the steps that forbid it, in the order of the list.
pub(super) fn not_ready_to_spray(due: &DueList) -> Vec<(&str, Vec<&DueStep>)> {
    let mut machines: Vec<(&str, Vec<&DueStep>)> = Vec::new();
    let mut known: BTreeMap<&str, usize> = BTreeMap::new();
    let forbidding = due.steps.iter();
    for step in forbidding.filter(|step| step.state.forbids_spraying()) {
        let at = *known.entry(&step.machine).or_insert(machines.len());
        match machines.get_mut(at) {
            Some((_, steps)) => steps.push(step),
            None => machines.push((&step.machine, vec![step])),
        }
    }
    machines
}

/// The steps of each course, in the order of the list.
pub(super) fn courses(due: &DueList) -> impl Iterator<Item = &[DueStep]> {
    due.steps.chunk_by(|one, next| one.course == next.course)
}

/// The steps of each machine among those of a course.
pub(super) fn machines(steps: &[DueStep]) -> impl Iterator<Item = &[DueStep]> {
    steps.chunk_by(|one, next| one.machine == next.machine)
}

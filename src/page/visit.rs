//! A visit on the page: begun, typed into, judged.

use super::answer::{Answer, Checked};
use super::fleet::{NOTHING_OPEN, repeated};
use super::form::FormFields;
use super::request::{Begin, Type};
use super::so_far::SoFarFields;
use crate::Workspace;
use crate::draft::{self, Entered, Session, Wanted};
use crate::procedure::Step;
use crate::render::{jsonl, plain};
use crate::report::Unusable;
use crate::words::clean::clean;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Begins a visit of a machine of the records; they belong to the visit from then on.
///
/// Gives the names of what was typed before and has no place in the form. Where it cannot be begun, the records stay as they
/// were.
pub(super) fn begun(
    records: &mut Option<Workspace>,
    begin: Begin,
) -> Result<(Session, Vec<String>), String> {
    let Begin {
        machine,
        setup,
        day,
        by,
        log,
    } = begin;
    let date: Result<Date, _> = day.parse();
    let day = date.map_err(|_| "the day must be written as 2026-06-01".to_owned())?;
    let wanted = Wanted {
        machine: &machine,
        setup: setup.as_deref(),
        day,
        by: by.as_deref(),
    };
    let told = |why: Unusable| clean(&why.to_string()).into_owned();
    let fleet = records.as_mut().ok_or(NOTHING_OPEN)?;
    let today = fleet.today();
    if let Err(cannot) = draft::form(fleet, &wanted) {
        fleet.set_today(today);
        return Err(told(cannot));
    }
    let fleet = records.take().ok_or(NOTHING_OPEN)?;
    let mut visit = Session::open(fleet, &wanted).map_err(told)?;
    let has = |(key, _): &(String, String)| visit.form().entry(key).is_some();
    let (known, unknown): (Vec<_>, Vec<_>) = log.into_iter().partition(has);
    let dropped: BTreeSet<String> = unknown.into_iter().map(|(key, _)| key).collect();
    visit.resume(Entered::of_log(known));
    Ok((visit, dropped.into_iter().collect()))
}

pub(super) fn form(visit: &Session, dropped: &[String]) -> Answer {
    Answer::Form(Box::new(FormFields::of(visit, dropped)))
}

pub(super) fn typed(visit: &mut Session, typed: Type) -> Result<Answer, String> {
    let Type { value, text, again } = typed;
    known(visit, &value)?;
    let last = visit.entered().log().last();
    if again && last.is_some_and(|(key, _)| *key == value) {
        visit.undo();
    }
    visit.type_in(&value, &text);
    Ok(so_far(visit))
}

/// A value is left as it is.
pub(super) fn left(visit: &mut Session, value: &str) -> Result<Answer, String> {
    known(visit, value)?;
    visit.leave(value);
    Ok(so_far(visit))
}

/// A step is tested once more.
pub(super) fn again(visit: &mut Session, step: &str) -> Result<Answer, String> {
    let named = Step::all().find(|one| one.word() == step);
    let of_form = named.filter(|step| visit.form().part(*step).is_some());
    let step = of_form.ok_or_else(|| format!("the visit has no step {}", repeated(step)))?;
    visit.test_again(step);
    Ok(so_far(visit))
}

fn known(visit: &Session, value: &str) -> Result<(), String> {
    let entry = visit.form().entry(value);
    let unknown = || format!("the form has no value {}", repeated(value));
    entry.map(|_| ()).ok_or_else(unknown)
}

pub(super) fn so_far(visit: &mut Session) -> Answer {
    Answer::SoFar(Box::new(SoFarFields::of(visit)))
}

/// What a check finds in the record of the visit, as `swathlint check` tells it.
pub(super) fn checked(visit: &mut Session) -> Answer {
    let report = visit.check();
    Answer::Checked(Checked {
        report: plain(&report).to_string(),
        lines: jsonl(&report).to_string(),
    })
}

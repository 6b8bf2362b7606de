//! A visit on the page: begun, typed into, judged.

use super::answer::{Answer, Checked, RecordFields};
use super::fleet::{NOTHING_OPEN, repeated};
use super::form::FormFields;
use super::request::{Begin, Type};
use super::so_far::SoFarFields;
use crate::Workspace;
use crate::draft::{self, GoneOn, Session, Wanted};
use crate::procedure::Step;
use crate::render::{jsonl, plain};
use crate::wording;
use crate::words::clean::clean;
use jiff::civil::Date;

/// Begins a visit of a machine of the records, or goes on with one; they belong to the visit from then on. Tells what of it is
/// not as it was.
///
/// Where it cannot be begun, the records stay as they were.
pub(super) fn begun(
    records: &mut Option<Workspace>,
    begin: Begin,
) -> Result<(Session, String), String> {
    let Begin {
        machine,
        setup,
        day,
        by,
        kept,
    } = begin;
    let date: Result<Date, _> = day.parse();
    let day = date.map_err(|_| "the day must be written as 2026-06-01".to_owned())?;
    let wanted = Wanted {
        machine: &machine,
        setup: setup.as_deref(),
        day,
        by: by.as_deref(),
    };
    let fleet = records.as_mut().ok_or(NOTHING_OPEN)?;
    let today = fleet.today();
    if let Err(cannot) = draft::form(fleet, &wanted) {
        fleet.set_today(today);
        return Err(clean(&cannot.to_string()).into_owned());
    }
    let fleet = records.take().ok_or(NOTHING_OPEN)?;
    let gone_on = Session::go_on(fleet, &wanted, kept.into());
    let gone_on = gone_on.map_err(|refused| clean(&refused.message).into_owned())?;
    let told = notices(&gone_on);
    Ok((gone_on.session, told))
}

/// What somebody who goes on with a visit is told first.
fn notices(gone_on: &GoneOn) -> String {
    let GoneOn {
        session,
        is_of_record,
        dropped,
        changed,
    } = gone_on;
    let of_record = is_of_record.then(|| wording::visit::going_on(session.path()));
    let dropped = (!dropped.is_empty()).then(|| wording::visit::dropped(dropped));
    let changed =
        (!changed.is_nothing()).then(|| wording::visit::changed(&changed.was, &changed.is));
    let all: Vec<String> = of_record
        .into_iter()
        .chain(dropped)
        .chain(changed)
        .collect();
    clean(&all.join(" ")).into_owned()
}

pub(super) fn form(visit: &Session, notice: String) -> Answer {
    Answer::Form(Box::new(FormFields::of(visit, notice)))
}

/// The record as it is, with what was typed and is not in it.
pub(super) fn record(visit: &Session) -> Answer {
    let refused = visit.entered().refused(visit.form());
    let left_out: Vec<String> = refused
        .into_iter()
        .map(|(entry, _)| entry.label.clone())
        .collect();
    let left_out = if left_out.is_empty() {
        String::new()
    } else {
        clean(&wording::visit::not_in_record(&left_out)).into_owned()
    };
    Answer::Record(RecordFields {
        path: visit.path().to_owned(),
        text: visit.record(),
        left_out,
    })
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

//! The nightly list as comma-separated values (RFC 4180), for a spreadsheet.
//!
//! Holds the steps alone; whoever asks for it is told the rest elsewhere.

use crate::render::Harmless;
use crate::render::cell::{LINE_END, text};
use crate::render::due::wording;
use crate::render::format::Format;
use crate::report::{DueList, DueStep};
use crate::words::dates;

/// The format.
pub(super) static FORMAT: Format<DueList> = Format {
    name: "csv",
    about: "Comma-separated values, one line per step",
    write: |made, _| due_csv(made),
    leaves_out: super::due_not_told,
};

/// One line a step, with a heading line; no cell of text can be taken for a formula.
pub fn due_csv(due: &DueList) -> Harmless {
    let mut out = String::from(
        "machine,course,setup,step,state,due,due-by,because,to-do,interval,last-done,path,line,column,\
         waived,bring,target,cautions,records-of-machine,not-ready-to-spray",
    );
    out.push_str(LINE_END);
    for step in &due.steps {
        out.push_str(&cells(step, due).join(","));
        out.push_str(LINE_END);
    }
    Harmless::csv(&out)
}

fn cells(step: &DueStep, list: &DueList) -> Vec<String> {
    let cautions = wording::cautions(step, list);
    let DueStep {
        course,
        machine,
        setup,
        only_setup: _,
        step,
        of: _,
        state,
        due,
        by,
        because,
        to_do,
        interval,
        last_done,
        at,
        waived,
        bring,
        target,
        cautions: _,
        events,
    } = step;
    let waived: Vec<String> = waived
        .iter()
        .map(|waiver| wording::waived(waiver, ToOwned::to_owned))
        .collect();
    let or_empty = |cell: &Option<String>| text(cell.as_deref().unwrap_or_default());
    let number = |number: Option<u32>| number.map_or_else(String::new, |n| n.to_string());
    vec![
        text(machine),
        or_empty(course),
        or_empty(setup),
        text(step),
        text(state.word()),
        due.map_or_else(String::new, dates::date),
        text(by.word()),
        text(because),
        or_empty(to_do),
        or_empty(interval),
        last_done.map_or_else(String::new, dates::date),
        text(at.as_ref().map_or("", |at| &at.path)),
        number(at.as_ref().map(|at| at.line)),
        number(at.as_ref().map(|at| at.column)),
        text(&waived.join("; ")),
        text(&bring.join("; ")),
        or_empty(target),
        text(&cautions.join("; ")),
        events.to_string(),
        state.forbids_spraying().to_string(),
    ]
}

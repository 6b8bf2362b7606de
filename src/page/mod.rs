//! What the page in a phone asks, and what it is answered: one request as JSON, one answer as JSON.
//!
//! Decides nothing: it fills a fleet in memory and passes on what is told of it. Any text gets an answer. Knows neither how
//! the page looks nor what carries requests and answers (`page/module`).

mod answer;
mod fleet;
mod form;
mod request;
mod so_far;
mod visit;

use crate::draft::Session;
use answer::Answer;
use fleet::NOTHING_OPEN;
use request::Request;

/// What this was built of: a word to find it by, and a hash that `build.rs` makes. `page/build` looks for it in the module.
const MADE_OF: &str = concat!("sources-of-swathlint:", env!("SWATHLINT_SOURCES"));

/// What the page holds between two requests.
#[derive(Debug, Default)]
pub struct State {
    /// The records; none before they were opened.
    fleet: Option<crate::Workspace>,
    /// The visit that is being made; the records are in it.
    visit: Option<Session>,
}

/// The answer to a request, both as JSON. What is wrong with a request is an answer too: `{"error": "..."}`.
///
/// | request | answer |
/// |---|---|
/// | `{"open": {"files": {PATH: TEXT}, "today": "2026-06-01"}}` | `{}`; what was open before is gone |
/// | `{"set": {"path": PATH, "text": TEXT}}` | `{}`; a file is there, or changed |
/// | `{"check": {}}` | `{"report": TEXT, "lines": TEXT}`: the formats `plain` and `jsonl` of `swathlint check` |
/// | `{"begin": {"machine": NAME, "setup": NAME, "day": "2026-06-01", "by": INITIALS, "kept": {"log": [[VALUE, TEXT]], "recorded": COUNT, "record": TEXT, "path": PATH, "taken": [PATH]}}}` | the form: a visit of the records that are open is begun, or gone on with; setup, initials and what was kept may be left out; what of it is not as it was is told in `notice` |
/// | `{"form": {}}` | the form again |
/// | `{"type": {"value": NAME, "text": TEXT}}` | what is said so far; an empty text takes a value out; with `"again": true` in the place of what was typed last, where that is the same value |
/// | `{"leave": {"value": NAME}}` | what is said so far; the value is asked for no more |
/// | `{"again": {"step": "catch"}}` | what is said so far, with one more test of the step |
/// | `{"undo": {}}` | what is said so far, without what was typed last |
/// | `{"so-far": {}}` | what is said so far |
/// | `{"record": {}}` | `{"path": PATH, "text": TEXT, "left-out": WORDS}`: also what was typed and is not in it |
/// | `{"made-of": {}}` | `{"made-of": TEXT}`: a hash of the sources of this judge |
///
/// Paths are relative to the root of the records, with `/` between their parts.
pub fn answer(state: &mut State, request: &str) -> String {
    let answer = Request::read(request).and_then(|request| answered(state, request));
    answer.unwrap_or_else(Answer::Error).to_json()
}

fn answered(state: &mut State, request: Request) -> Result<Answer, String> {
    match request {
        Request::Open(open) => {
            state.fleet = Some(fleet::opened(open)?);
            state.visit = None;
            Ok(Answer::Done)
        }
        Request::Set(set) => {
            fleet::set(of(state)?, set)?;
            Ok(Answer::Done)
        }
        Request::MadeOf {} => Ok(Answer::MadeOf(MADE_OF)),
        Request::Check {} => match &mut state.visit {
            Some(visit) => Ok(visit::checked(visit)),
            None => Ok(fleet::checked(of(state)?)),
        },
        Request::Begin(begin) => {
            let (begun, notice) = visit::begun(&mut state.fleet, begin)?;
            Ok(visit::form(state.visit.insert(begun), notice))
        }
        Request::Form {} => Ok(visit::form(visit_of(state)?, String::new())),
        Request::Type(typed) => visit::typed(visit_of(state)?, typed),
        Request::Leave(leave) => visit::left(visit_of(state)?, &leave.value),
        Request::Again(again) => visit::again(visit_of(state)?, &again.step),
        Request::Undo {} => {
            let visit = visit_of(state)?;
            visit.undo();
            Ok(visit::so_far(visit))
        }
        Request::SoFar {} => Ok(visit::so_far(visit_of(state)?)),
        Request::Record {} => Ok(visit::record(visit_of(state)?)),
    }
}

/// The fleet that is open.
fn of(state: &mut State) -> Result<&mut crate::Workspace, String> {
    let fleet = state.fleet.as_mut();
    fleet.ok_or_else(|| NOTHING_OPEN.to_owned())
}

/// The visit that was begun.
fn visit_of(state: &mut State) -> Result<&mut Session, String> {
    let visit = state.visit.as_mut();
    visit.ok_or_else(|| "no visit was begun: begin one first".to_owned())
}

/// The answer that says what is wrong where no request could be read at all.
pub fn error(message: &str) -> String {
    Answer::Error(message.to_owned()).to_json()
}

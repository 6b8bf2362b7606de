//! The form of a visit as the page shows it.

use crate::draft::{Aim, Entered, Entry, Field, Form, Kind, Part, Session};
use crate::procedure::{CAUTIONS, Step};
use crate::wording::visit;
use crate::words::clean::clean;
use crate::words::phrases::capitalized;
use serde::Serialize;

/// Between two things of one line.
const BETWEEN: &str = " · ";

/// The form of a visit.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct FormFields {
    path: String,
    subtitle: String,
    /// The names of the boom's sections, from the left.
    sections: Vec<String>,
    parts: Vec<PartFields>,
    cautions: Vec<String>,
    /// What of the visit is not as it was when it was kept, in words; empty where all is.
    notice: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct PartFields {
    /// The word for the step; none of the visit as a whole.
    step: Option<&'static str>,
    title: String,
    state: &'static str,
    is_due: bool,
    is_open: bool,
    about: Vec<LineFields>,
    cautions: Vec<String>,
    /// What is tapped to make the test again; none where nobody does.
    again: Option<&'static str>,
    entries: Vec<EntryFields>,
}

/// A line about a part, and what it is of.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct LineFields {
    of: &'static str,
    words: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct EntryFields {
    key: String,
    label: String,
    kind: &'static str,
    is_digits: bool,
    /// The test of the step that it belongs to, from 1; none of what is read once.
    round: Option<usize>,
    /// In words, which test that is; empty of a first one.
    again: &'static str,
    /// The same value in the test before.
    before: Option<String>,
    nozzle: Option<NozzleFields>,
    unit: String,
    choices: Vec<String>,
    usual: Option<String>,
    /// What it should come to, and what it was last.
    aim: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct NozzleFields {
    /// Its section, from 0.
    section: usize,
    number: u32,
}

fn cleaned(text: &str) -> String {
    clean(text).into_owned()
}

impl FormFields {
    /// The form of a visit, with what whoever goes on with it is told first.
    pub(super) fn of(session: &Session, notice: String) -> Self {
        let form = session.form();
        let setup = &form.setup;
        let about = [
            &form.course,
            &setup.tips,
            &setup.pressure,
            &setup.speed,
            &setup.rate,
        ];
        let about: Vec<String> = about
            .into_iter()
            .flatten()
            .map(|one| cleaned(one))
            .collect();
        let sections = form.sections.iter().enumerate();
        let name = |(at, section): (usize, &crate::draft::SectionTold)| match &section.name {
            Some(name) => cleaned(name),
            None => visit::section(at + 1),
        };
        Self {
            path: session.path().to_owned(),
            subtitle: about.join(BETWEEN),
            sections: sections.map(name).collect(),
            parts: form.parts.iter().map(|one| part(form, one)).collect(),
            cautions: CAUTIONS.map(str::to_owned).to_vec(),
            notice,
        }
    }
}

fn part(form: &Form, part: &Part) -> PartFields {
    let title = part.step.map_or(visit::VISIT, Step::test);
    let cautions = form.cautions(part).into_iter();
    let state = match (&part.due, part.step) {
        (Some(due), _) => due.state.word(),
        (None, Some(_)) => visit::NOT_DUE,
        (None, None) => "",
    };
    let is_tested_again = part
        .entries
        .iter()
        .any(|entry| entry.field.round().is_some());
    PartFields {
        step: part.step.map(Step::word),
        title: capitalized(title),
        state,
        is_due: part.due.is_some(),
        is_open: form.is_asked(part, &Entered::default(), false),
        about: about(part),
        cautions: cautions.map(str::to_owned).collect(),
        again: part
            .step
            .filter(|_| is_tested_again)
            .map(|step| visit::test_again(step == Step::Catch)),
        entries: part.entries.iter().map(entry).collect(),
    }
}

/// Why a part is due, what to bring, when it was done, and what it aims at.
fn about(part: &Part) -> Vec<LineFields> {
    let due = part.due.as_ref();
    let bring = due.map(|due| &due.bring).filter(|bring| !bring.is_empty());
    let last = part.factor.as_ref().and_then(|factor| {
        let unit = factor.unit.as_deref().unwrap_or_default();
        Some(visit::factor_left(factor.last.as_deref()?, unit))
    });
    let lines = [
        ("because", due.map(|due| due.because.clone())),
        ("to-do", due.and_then(|due| due.to_do.clone())),
        ("bring", bring.map(|bring| visit::bring(bring))),
        ("last-done", part.last_done.map(visit::last_done)),
        ("target", part.target.as_deref().map(visit::target)),
        ("factor", last),
    ];
    let lines = lines.into_iter().filter_map(|(of, words)| {
        Some(LineFields {
            of,
            words: cleaned(&words?),
        })
    });
    lines.collect()
}

/// What a value should come to, and what it was last, in one line.
pub(super) fn aimed(aim: Option<&Aim>, last: Option<&str>) -> String {
    let aim = aim.map(|aim| visit::aim(&aim.target_shown(), aim.lines_shown()));
    let parts: Vec<String> = aim.into_iter().chain(last.map(visit::last)).collect();
    cleaned(&parts.join(BETWEEN))
}

fn entry(entry: &Entry) -> EntryFields {
    let round = entry.field.round();
    EntryFields {
        key: entry.key.clone(),
        label: cleaned(&entry.label),
        kind: match entry.kind {
            Kind::Quantity(..) => "quantity",
            Kind::Reading(_) => "reading",
            Kind::Number => "number",
            Kind::YesNo | Kind::OneOf(_) => "one-of",
            Kind::Named(_) | Kind::Unit => "named",
            Kind::List(_) => "several",
        },
        is_digits: entry.kind.is_numeric(),
        round: round.map(|round| round + 1),
        again: visit::again(round.unwrap_or(0)),
        before: entry.field.in_round_before().map(Field::name),
        nozzle: match entry.field {
            Field::Nozzle {
                section, number, ..
            } => Some(NozzleFields { section, number }),
            Field::Visit(_)
            | Field::Preparation(_)
            | Field::Catch(..)
            | Field::Meter(..)
            | Field::Speed(..)
            | Field::Run(..)
            | Field::Balance(_)
            | Field::Off(..) => None,
        },
        unit: entry.kind.unit(),
        choices: entry.kind.choices().into_iter().map(cleaned).collect(),
        usual: entry.usual.as_deref().map(cleaned),
        aim: aimed(entry.aim.as_ref(), entry.last.as_deref()),
    }
}

//! What is said of a visit so far, as the page shows it.

use super::form::aimed;
use crate::draft::{Mark, Said, Session, SoFar};
use crate::procedure::Step;
use crate::render::due_not_told;
use crate::report::Told;
use crate::wording;
use crate::words::clean::clean;
use crate::words::phrases::sentences;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// What is said of a visit so far.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct SoFarFields {
    /// By name; what is empty is left out.
    values: BTreeMap<String, ValueFields>,
    /// What each value should come to that is held against another one, as that was read.
    aims: BTreeMap<String, String>,
    /// The values of tests that are made again which are shown.
    shown: BTreeSet<String>,
    /// The steps that may be tested once more.
    again: Vec<&'static str>,
    /// What stands typed in each box.
    typed: BTreeMap<String, String>,
    /// What was typed, in its order: all that is to be kept to go on later.
    log: Vec<(String, String)>,
    findings: Vec<FindingFields>,
    due: Vec<DueFields>,
    ready: ReadyFields,
    next: NextFields,
    record: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct ValueFields {
    mark: &'static str,
    words: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct FindingFields {
    severity: &'static str,
    rule: String,
    message: String,
    working: Option<String>,
    /// What to do, step by step.
    help: Vec<String>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct DueFields {
    step: &'static str,
    state: &'static str,
    because: String,
    forbids_spraying: bool,
}

/// What the tests say of spraying, and what keeps the list of what is due from being whole.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct ReadyFields {
    word: &'static str,
    words: String,
    because: Vec<String>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct NextFields {
    words: String,
    value: Option<String>,
}

impl SoFarFields {
    pub(super) fn of(visit: &mut Session) -> Self {
        let SoFar {
            values,
            aims,
            found,
            stays,
            next,
            shown,
            record,
        } = visit.so_far();
        let values = values
            .into_iter()
            .filter(|(_, said)| said.mark != Mark::Empty);
        let entered = visit.entered();
        let entries = visit.form().entries();
        let typed = entries.filter_map(|entry| {
            let text = entered.typed(&entry.key)?;
            Some((entry.key.clone(), text.to_owned()))
        });
        let aims = aims.into_iter().map(|(key, aim)| {
            let entry = visit.form().entry(&key);
            let last = entry.and_then(|entry| entry.last.as_deref());
            let words = aimed(Some(&aim), last);
            (key, words)
        });
        let again = Step::all().filter(|step| visit.may_test_again(*step));
        Self {
            values: values
                .map(|(key, said)| {
                    let fields = ValueFields {
                        mark: said.mark.word(),
                        words: clean(&words(&said)).into_owned(),
                    };
                    (key, fields)
                })
                .collect(),
            aims: aims.collect(),
            shown,
            again: again.map(Step::word).collect(),
            typed: typed.collect(),
            log: entered.log().to_vec(),
            findings: found.findings.iter().map(finding).collect(),
            ready: ReadyFields {
                word: stays.readiness.word(),
                words: stays.words(),
                because: stays
                    .because
                    .into_iter()
                    .chain(due_not_told(&stays.due))
                    .collect(),
            },
            due: stays
                .due
                .steps
                .into_iter()
                .map(|step| DueFields {
                    step: step.step,
                    state: step.state.word(),
                    because: clean(&step.because).into_owned(),
                    forbids_spraying: step.state.forbids_spraying(),
                })
                .collect(),
            next: NextFields {
                words: clean(&in_short(&next.words)).into_owned(),
                value: next.value,
            },
            record,
        }
    }
}

/// So many characters fit the page's bar.
const BAR: usize = 110;

/// The first sentences that fit the page's bar, whole; the findings have all of them.
fn in_short(words: &str) -> String {
    let mut short = String::new();
    for sentence in sentences(words) {
        let is_first = short.is_empty();
        if !is_first && BAR < short.chars().count() + 1 + sentence.chars().count() {
            break;
        }
        if !is_first {
            short.push(' ');
        }
        short.push_str(sentence);
    }
    short
}

fn words(said: &Said) -> String {
    match (said.mark, &said.written) {
        (Mark::Usual, Some(written)) => wording::visit::usual(written),
        _ => said.words.clone(),
    }
}

fn finding(told: &Told) -> FindingFields {
    let words = &told.words;
    let cleaned = |text: Option<&str>| text.map(|text| clean(text).into_owned());
    FindingFields {
        severity: words.severity().word(),
        rule: words.rule().to_owned(),
        message: clean(words.message()).into_owned(),
        working: cleaned(words.derivation()),
        help: sentences(words.help_text().unwrap_or_default())
            .map(|sentence| clean(sentence).into_owned())
            .collect(),
    }
}

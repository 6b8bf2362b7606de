//! What must be told of a case: causes with their places, either of some, two named together, or several faults at once.
//!
//! | written | means |
//! |---|---|
//! | `none` | no cause is told |
//! | `tip-worn@5` | told, at nozzle 5; it, or the one named beside it |
//! | `tip-worn@2,3` | told of these nozzles and no others, in one finding or several |
//! | `jug-wrong@from 5`, `section-high@right` | from nozzle 5 on; of a section |
//! | `time-misread=30 s` | and 30 s is told to be right |
//! | `a & b` | both named in one finding, in either order |
//! | `{a, b, c}` | two of these named in one finding |
//! | `a + b` | two faults, each told |
//! | `a (b)` | `b` may be told besides |
//! | `x \| y` | either |

use super::told::{Finding, Named, Told};
use std::collections::BTreeSet;
use swathlint::cause::CauseSet;

/// The ids of all causes that can be told, so that a slip of the pen in a case is seen, and a cause without a case.
pub(crate) fn all_told() -> BTreeSet<&'static str> {
    let causes = CauseSet::built_in().causes().iter();
    let told = causes.filter(|cause| cause.told);
    told.map(|cause| cause.id.as_str()).collect()
}

/// What must be told: one of these.
#[derive(Debug)]
pub(crate) struct Wanted(Vec<Alternative>);

#[derive(Debug, Default)]
struct Alternative {
    faults: Vec<Fault>,
    /// What may be told besides.
    may: Vec<Want>,
}

#[derive(Debug)]
enum Fault {
    One(Want),
    /// Two of these in one finding.
    Together(Vec<Want>),
}

#[derive(Debug)]
struct Want {
    id: String,
    place: Place,
    implied: Option<String>,
}

#[derive(Debug)]
enum Place {
    Any,
    Nozzles(BTreeSet<u16>),
    From(u16),
    Word(String),
}

impl Wanted {
    pub(crate) fn parse(case: &str, text: &str) -> Self {
        let alternatives = text.split(" | ").map(|text| Alternative::parse(case, text));
        Self(alternatives.collect())
    }

    /// Every id it names.
    pub(crate) fn ids(&self) -> BTreeSet<&str> {
        let all = self.0.iter().flat_map(|one| one.wants().chain(&one.may));
        all.map(|want| want.id.as_str()).collect()
    }

    /// How what is told differs from it; nothing where it is as it must be.
    pub(crate) fn differs(&self, told: &Told) -> Option<String> {
        let mut differences = self.0.iter().map(|one| one.differs(told));
        let first = differences.next()??;
        differences.all(|one| one.is_some()).then_some(first)
    }
}

impl Alternative {
    fn parse(case: &str, text: &str) -> Self {
        if text == "none" {
            return Self::default();
        }
        let (text, may) = match text.split_once(" (") {
            Some((text, may)) => (text, may.strip_suffix(')').expect("a bracket is closed")),
            None => (text, ""),
        };
        let wants = |list: &str| {
            list.split(", ")
                .map(|text| Want::parse(case, text))
                .collect()
        };
        let fault = |text: &str| {
            let braced = text
                .strip_prefix('{')
                .and_then(|text| text.strip_suffix('}'));
            match braced {
                Some(list) => Fault::Together(wants(list)),
                None if text.contains(" & ") => Fault::Together(wants(&text.replace(" & ", ", "))),
                None => Fault::One(Want::parse(case, text)),
            }
        };
        Self {
            faults: text.split(" + ").map(fault).collect(),
            may: if may.is_empty() {
                Vec::new()
            } else {
                wants(may)
            },
        }
    }

    fn wants(&self) -> impl Iterator<Item = &Want> {
        self.faults.iter().flat_map(|fault| match fault {
            Fault::One(want) => std::slice::from_ref(want),
            Fault::Together(wants) => wants.as_slice(),
        })
    }

    fn differs(&self, told: &Told) -> Option<String> {
        let explained: Vec<&Finding> = told.explained().collect();
        for fault in &self.faults {
            let is_told = match fault {
                Fault::One(want) => want.is_told(&explained),
                Fault::Together(wants) => {
                    explained.iter().any(|finding| are_together(wants, finding))
                }
            };
            if !is_told {
                return Some(format!("wants {}, {}", fault.name(), in_short(&explained)));
            }
        }
        let unwanted = explained.iter().find(|finding| {
            let is_wanted =
                |named: &Named| self.wants().chain(&self.may).any(|want| want.is(named));
            !finding.told().iter().any(is_wanted)
        });
        unwanted.map(|finding| format!("not wanted: {}", in_short(&[finding])))
    }
}

impl Fault {
    fn name(&self) -> String {
        match self {
            Self::One(want) => want.name(),
            Self::Together(wants) => {
                let names: Vec<String> = wants.iter().map(Want::name).collect();
                names.join(" with ")
            }
        }
    }
}

/// Whether a finding names two of these causes first.
fn are_together(wants: &[Want], finding: &Finding) -> bool {
    let [one, other] = finding.told() else {
        return false;
    };
    let of = |named: &Named| {
        wants
            .iter()
            .position(|want| want.is(named) && want.is_implied(named))
    };
    of(one)
        .zip(of(other))
        .is_some_and(|(one, other)| one != other)
}

impl Want {
    fn parse(case: &str, text: &str) -> Self {
        let (text, implied) = match text.split_once('=') {
            Some((text, implied)) => (text, Some(implied.to_owned())),
            None => (text, None),
        };
        let (id, place) = text.split_once('@').unwrap_or((text, ""));
        assert!(all_told().contains(id), "{case}: no cause is called `{id}`");
        let number = |text: &str| text.parse::<u16>().ok();
        let numbers: Option<BTreeSet<u16>> = place.split(',').map(number).collect();
        let place = match (place, numbers, place.strip_prefix("from ")) {
            ("", _, _) => Place::Any,
            (_, Some(numbers), _) => Place::Nozzles(numbers),
            (_, None, Some(from)) => Place::From(number(from).expect("a nozzle's number")),
            (word, None, None) => Place::Word(word.to_owned()),
        };
        Self {
            id: id.to_owned(),
            place,
            implied,
        }
    }

    fn name(&self) -> String {
        let place = match &self.place {
            Place::Any => String::new(),
            Place::Nozzles(numbers) => {
                let numbers: Vec<String> = numbers.iter().map(u16::to_string).collect();
                format!("@{}", numbers.join(","))
            }
            Place::From(number) => format!("@from {number}"),
            Place::Word(word) => format!("@{word}"),
        };
        let implied = self.implied.as_ref();
        let implied = implied.map_or_else(String::new, |implied| format!("={implied}"));
        format!("{}{place}{implied}", self.id)
    }

    /// Whether a cause that is named is this one, at this place.
    fn is(&self, named: &Named) -> bool {
        self.id == named.id
            && match &self.place {
                Place::Any => true,
                Place::Nozzles(numbers) => {
                    !named.nozzles.is_empty() && !named.is_from && named.nozzles.is_subset(numbers)
                }
                Place::From(number) => named.is_from && named.nozzles.first() == Some(number),
                Place::Word(word) => named.place.contains(word.as_str()),
            }
    }

    /// Whether what is told to be right is what is wanted: the same words, or a number within 2%, whatever unit of time.
    fn is_implied(&self, named: &Named) -> bool {
        let Some(wanted) = &self.implied else {
            return true;
        };
        match numbers(wanted).first() {
            None => named.implied.contains(wanted.as_str()),
            Some(wanted) => {
                let implied = numbers(&named.implied);
                let is_it = |number: &f64| (number / wanted - 1.0).abs() < 0.02;
                implied.iter().any(is_it)
            }
        }
    }

    /// Whether the findings together tell of it: of every nozzle of its place.
    fn is_told(&self, explained: &[&Finding]) -> bool {
        let named = explained.iter().flat_map(|finding| finding.told());
        let named: Vec<&Named> = named
            .filter(|named| self.is(named) && self.is_implied(named))
            .collect();
        match &self.place {
            Place::Nozzles(numbers) => {
                let told: BTreeSet<u16> = named
                    .iter()
                    .flat_map(|named| &named.nozzles)
                    .copied()
                    .collect();
                told == *numbers
            }
            Place::Any | Place::From(_) | Place::Word(_) => !named.is_empty(),
        }
    }
}

/// Every number of a text; minutes in seconds.
fn numbers(text: &str) -> Vec<f64> {
    let parts: Vec<&str> = text.split_whitespace().collect();
    let number = |at: usize| {
        let number = parts[at].parse::<f64>().ok()?;
        let is_minutes = parts.get(at + 1) == Some(&"min");
        Some(if is_minutes { 60.0 * number } else { number })
    };
    (0..parts.len()).filter_map(number).collect()
}

/// What is told, in a few words.
fn in_short(explained: &[&Finding]) -> String {
    if explained.is_empty() {
        return "and no cause is told".to_owned();
    }
    let told: Vec<String> = explained
        .iter()
        .map(|finding| {
            let named: Vec<String> = finding
                .told()
                .iter()
                .map(|named| {
                    format!(
                        "{} {:.2} at `{}` = `{}`",
                        named.id, named.share, named.place, named.implied
                    )
                })
                .collect();
            named.join(" or ")
        })
        .collect();
    format!("told is {}", told.join(" and "))
}

#[cfg(test)]
mod tests {
    use super::Wanted;
    use crate::bench::told::Told;
    use std::fmt::Write;

    /// Findings with these causes, as `cause nozzles implied`, two in one finding divided by `/`.
    fn told(findings: &[&str]) -> Told {
        let mut lines = String::new();
        for finding in findings {
            let causes: Vec<String> = finding
                .split('/')
                .map(|cause| {
                    let parts: Vec<&str> = cause.split(';').collect();
                    format!(
                        r#"{{"cause":"{}","share":0.9,"place":"{}","implied":"{}"}}"#,
                        parts[0], parts[1], parts[2]
                    )
                })
                .collect();
            let causes = causes.join(",");
            writeln!(lines, "{{\"kind\":\"finding\",\"causes\":[{causes}]}}").unwrap();
        }
        Told::read(&lines)
    }

    #[test]
    fn what_is_told_is_held_to_what_is_wanted() {
        for (wanted, findings, is_right) in [
            ("none", &[][..], true),
            ("none", &["jug-wrong;;"], false),
            ("tip-worn@5", &["tip-worn;nozzle 5 of 9;"], true),
            ("tip-worn@5", &["tip-worn;nozzle 6 of 9;"], false),
            ("tip-worn@5 | none", &[], true),
            (
                "tip-worn@2,3",
                &["tip-worn;nozzle 2;", "tip-worn;nozzle 3;"],
                true,
            ),
            ("tip-worn@2,3", &["tip-worn;nozzles 2 and 3;"], true),
            ("tip-worn@2,3", &["tip-worn;nozzle 2;"], false),
            (
                "tip-worn@2",
                &["tip-worn;nozzle 2;", "tip-plugged;nozzle 3;"],
                false,
            ),
            (
                "tip-worn@2 (tip-plugged)",
                &["tip-worn;nozzle 2;", "tip-plugged;nozzle 3;"],
                true,
            ),
            ("tip-worn@2 + tip-plugged@3", &["tip-worn;nozzle 2;"], false),
            (
                "set-worn & gauge-wrong",
                &["gauge-wrong;;/set-worn;;"],
                true,
            ),
            ("set-worn & gauge-wrong", &["gauge-wrong;;"], false),
            (
                "{set-worn, gauge-wrong, jug-wrong}",
                &["jug-wrong;;/set-worn;;"],
                true,
            ),
            ("time-misread=30 s", &["time-misread;;30.0 s"], true),
            ("time-misread=30 s", &["time-misread;;15 s"], false),
            ("time-misread=30 s", &["time-misread;;0.5 min"], true),
            ("unit-mistaken=mL", &["unit-mistaken;;1520 mL"], true),
            ("jug-wrong@from 5", &["jug-wrong;from nozzle 5 on;"], true),
            ("jug-wrong@from 5", &["jug-wrong;nozzle 5;"], false),
            ("section-high@right", &["section-high;section right;"], true),
        ] {
            let differs = Wanted::parse("test", wanted).differs(&told(findings));
            assert_eq!(
                differs.is_none(),
                is_right,
                "{wanted} {findings:?}: {differs:?}"
            );
        }
    }
}

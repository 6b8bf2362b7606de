//! From a finding as data to what the user reads: message, labels, derivation, help.

use super::facts;
use crate::diagnostic::{Diagnostic, Held, Label};
use crate::figure::ShownAs;
use crate::finding::{Finding, Judged, WEAK_TEST, WeakTest};
use crate::outcome::{Side, Stage, Verdict};
use crate::procedure::Step;
use crate::quantity::Quantity;
use crate::quantity::confusion::confusion;
use crate::report::{Data, Told};
use crate::rule::{Deciding, Rule, RuleSet, Slot};
use crate::words;
use std::collections::BTreeMap;

/// A finding in words, with what they were put to.
pub fn told(finding: Finding, rules: &RuleSet) -> Told {
    match finding {
        Finding::Fault(words) => Told::fault(*words),
        Finding::Judged(judged) => Told {
            words: diagnostic(&judged, rules),
            data: Some(Data::Judged(judged)),
        },
        Finding::Weak(weak) => Told {
            words: weak_test(&weak, rules),
            data: Some(Data::Weak(weak)),
        },
    }
}

/// A finding in words.
pub fn words(finding: &Finding, rules: &RuleSet) -> Diagnostic {
    match finding {
        Finding::Fault(words) => Diagnostic::clone(words),
        Finding::Judged(judged) => diagnostic(judged, rules),
        Finding::Weak(weak) => weak_test(weak, rules),
    }
}

/// Something judged, with the rule whose texts tell of it.
struct Wording<'f> {
    judged: &'f Judged,
    rule: &'f Rule,
}

impl<'f> Wording<'f> {
    fn of(judged: &'f Judged, rules: &'f RuleSet) -> Self {
        Self {
            judged,
            rule: &rules.rules()[judged.rule],
        }
    }
}

/// The finding of a rule that does not hold.
fn diagnostic(judged: &Judged, rules: &RuleSet) -> Diagnostic {
    let wording = Wording::of(judged, rules);
    let read = judged.read.as_ref().map(facts::fact);
    let primary = Label::new(judged.subject, read.unwrap_or_default());
    let message = wording.message();
    let mut finding = Diagnostic::new(judged.name.clone(), judged.severity, message, primary)
        .of_machine(judged.at.machine.clone());
    if let Some(place) = judged.against {
        finding = finding.also(Label::new(place, judged.held_against));
    }
    if let Some(set_at) = judged
        .limit
        .as_ref()
        .and_then(|(_, limit)| limit.set_at.as_ref())
    {
        let text = match &set_at.because {
            Some(because) => format!("limit for {} set here: {because}", set_at.scope),
            None => format!("limit for {} set here", set_at.scope),
        };
        finding = finding.also(Label::new(set_at.place, text));
    }
    if let Some(working) = &judged.working {
        finding = finding.worked_out(facts::working(working));
    }
    if let Some(help) = wording.help() {
        finding = finding.help(help);
    }
    let held = judged.held.iter().map(|held| Held {
        rule: held.name.clone(),
        severity: held.severity,
    });
    finding.holding(held.collect())
}

/// So many more places are marked below a note.
const MOST_MARKED: usize = 50;

/// The one note of what only weakens a test.
fn weak_test(weak: &WeakTest, rules: &RuleSet) -> Diagnostic {
    let WeakTest {
        step,
        severity,
        first,
        more,
    } = weak;
    let test = step.map_or("record", Step::test);
    let others = match more.len() {
        0 => String::new(),
        n => format!(", and {} more", words::phrases::plural(n, "point")),
    };
    let message = |judged| Wording::of(judged, rules).weak_message();
    let message_of_all = format!(
        "the {test} proves less than it could: {}{others}",
        message(first)
    );
    let label = Label::new(first.subject, "");
    let finding = Diagnostic::new(WEAK_TEST, *severity, message_of_all, label)
        .help(best_remedy(weak, rules))
        .of_machine(first.at.machine.clone());
    let elsewhere = more.iter().filter(|other| other.subject != first.subject);
    elsewhere.take(MOST_MARKED).fold(finding, |finding, other| {
        finding.also(Label::new(other.subject, message(other)))
    })
}

/// The change that helps most of them; the first among equals.
fn best_remedy(weak: &WeakTest, rules: &RuleSet) -> String {
    let all = std::iter::once(&weak.first).chain(&weak.more);
    let remedies: Vec<String> = all
        .map(|judged| Wording::of(judged, rules).weak_remedy())
        .collect();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for remedy in &remedies {
        *counts.entry(remedy).or_default() += 1;
    }
    let best = remedies
        .iter()
        .rev()
        .max_by_key(|remedy| counts[remedy.as_str()]);
    best.cloned().unwrap_or_default()
}

impl Wording<'_> {
    /// What weakens a test, as a message of its own.
    fn weak_message(&self) -> String {
        match self.judged.verdict {
            Verdict::Undecided(_, _) => format!(
                "{} is undecided at {} against a limit of {}",
                self.rule.id,
                self.amount(self.judged.value),
                self.limit(),
            ),
            Verdict::Pass | Verdict::Fail(_) => self.filled_message(),
        }
    }

    /// What would help, beginning with a verb.
    fn weak_remedy(&self) -> String {
        match self.judged.deciding {
            Some(deciding) => deciding_in_words(deciding),
            None => self.filled_help().unwrap_or_default(),
        }
    }

    fn message(&self) -> String {
        let judged = self.judged;
        let mut message = self.filled_message();
        if judged.key.stage == Some(Stage::AsFound) {
            message = match judged.as_left {
                Some(as_left) => {
                    let as_left = plain_amount(judged.shown_as, as_left);
                    format!("as found, {message} (as left {as_left})")
                }
                None => format!("as found, {message}"),
            };
            if let Some(sprayed) = &judged.sprayed {
                message = format!("{message}; {}", facts::fact(sprayed));
            }
        }
        if let Verdict::Undecided(_, Side::Over) = judged.verdict {
            message.push_str(", which the uncertainty still covers");
        }
        message
    }

    fn filled_message(&self) -> String {
        let text = self.rule.message.pick(self.judged.case, self.judged.value);
        text.map(|text| text.filled(|slot| self.fill(slot)))
            .unwrap_or_default()
    }

    fn filled_help(&self) -> Option<String> {
        let text = self.rule.help.pick(self.judged.case, self.judged.value)?;
        Some(text.filled(|slot| self.fill(slot)))
    }

    /// What was put right needs no help; an undecided one is decided first; a mix-up of units is named.
    fn help(&self) -> Option<String> {
        let judged = self.judged;
        if judged.as_left.is_some() || judged.is_put_right {
            return None;
        }
        let help = self.filled_help()?;
        if let Some(deciding) = judged.deciding {
            return Some(format!(
                "{} to decide it; or {help}",
                deciding_in_words(deciding)
            ));
        }
        if let Some(by_chance) = judged.by_chance {
            return Some(format!(
                "catch it again first: by chance alone, {} of {} good nozzles read more than {} off; then {help}",
                words::numbers::significant(by_chance.beyond, 1),
                by_chance.of,
                self.limit(),
            ));
        }
        let (read_in, against_in) = judged.units;
        let ratio = 1.0 + judged.value;
        let mixed_up = confusion(ratio, read_in, against_in, judged.expanded / ratio);
        Some(match mixed_up {
            Some(mixed_up) => format!("{}; otherwise {help}", mixed_up.help()),
            None => help,
        })
    }

    fn fill(&self, slot: &Slot) -> String {
        let judged = self.judged;
        let by_sign = |high: &str, low: &str| {
            if judged.value < 0.0 {
                low.to_owned()
            } else {
                high.to_owned()
            }
        };
        match slot {
            Slot::Found => self.amount(judged.value.abs()),
            Slot::Limit => self.limit(),
            Slot::MoreOrLess => by_sign("more", "less"),
            Slot::HighOrLow => by_sign("high", "low"),
            Slot::RisesOrFalls => by_sign("rises", "falls"),
            Slot::Part => facts::fact(&judged.at.part),
            Slot::Machine => judged.at.machine.clone(),
            Slot::Figure(name) => judged
                .fact(name)
                .map_or_else(|| "an unknown value".to_owned(), facts::fact),
        }
    }

    fn limit(&self) -> String {
        let limit = self.judged.limit.as_ref();
        limit.map_or_else(String::new, |(_, limit)| limit.bound.in_words())
    }

    /// The value with its uncertainty, to the digits that supports, and enough to differ from the limit.
    fn amount(&self, value: f64) -> String {
        let judged = self.judged;
        let limit = judged.limit.as_ref();
        let limit = limit.and_then(|(_, limit)| limit.bound.quantity());
        if judged.shown_as != ShownAs::Percent {
            return match limit {
                Some(limit) if judged.shown_as == ShownAs::Length => in_unit_of(limit, value),
                Some(_) | None => plain_amount(judged.shown_as, value),
            };
        }
        let apart: Vec<f64> = limit.map(|limit| 100.0 * limit.si()).into_iter().collect();
        let (value, expanded) = (100.0 * value, 100.0 * judged.expanded);
        let uncertainty = (0.0 < expanded).then_some(expanded);
        let decimals = words::numbers::decimals_for(uncertainty, Some(2), value.abs(), &apart);
        match uncertainty {
            Some(expanded) => format!(
                "{} %",
                words::numbers::with_uncertainty(value, expanded, decimals)
            ),
            None => format!("{} %", words::numbers::number(value, decimals)),
        }
    }
}

fn deciding_in_words(deciding: Deciding) -> String {
    match deciding {
        Deciding::Longer(times) => {
            let times = (times * 10.0).ceil() / 10.0;
            format!("collect {} times as much", words::numbers::number(times, 1))
        }
        Deciding::Better(what) => what.remedy().to_owned(),
    }
}

/// A value in the unit of its limit.
fn in_unit_of(limit: &Quantity, value: f64) -> String {
    let value = Quantity::in_unit(value, limit.unit);
    format!("{} {}", words::numbers::number(value, 1), limit.unit)
}

/// A value without its uncertainty.
fn plain_amount(shown_as: ShownAs, value: f64) -> String {
    let whole = |value: f64| words::numbers::number(value, 0);
    match shown_as {
        ShownAs::Percent => format!("{} %", words::numbers::signed(100.0 * value, 1)),
        ShownAs::Count => whole(value),
        ShownAs::Days => {
            let days = whole(value / 86_400.0);
            let noun = if days == "1" { "day" } else { "days" };
            format!("{days} {noun}")
        }
        ShownAs::Seconds => format!("{value} s"),
        ShownAs::Hours => format!("{} h", words::numbers::number(value / 3_600.0, 1)),
        ShownAs::Length => format!("{} m", words::numbers::number(value, 1)),
        ShownAs::Measured => words::numbers::number(value, 6),
    }
}

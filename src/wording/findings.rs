//! From a finding as data to what the user reads: message, labels, derivation, help.

use super::explained;
use super::facts;
use super::shown::{ShownIn, shown_in};
use crate::assess::Group;
use crate::diagnostic::{Diagnostic, Held, Label};
use crate::figure::{Effort, ShownAs};
use crate::finding::{Finding, Judged, WEAK_TEST, WeakTest};
use crate::outcome::{Side, Stage, Verdict};
use crate::procedure::Step;
use crate::quantity::Quantity;
use crate::quantity::confusion::confusion;
use crate::quantity::dimension::Dimension;
use crate::report::{Data, Told};
use crate::rule::{Deciding, Rule, RuleSet, Slot, Text, Texts};
use crate::words;
use std::collections::BTreeMap;

/// A finding in words, with what they were put to.
pub fn told(finding: Finding, group: &Group) -> Told {
    let rules = &group.rules;
    match finding {
        Finding::Fault(words) => Told::fault(*words),
        Finding::Judged(judged) => Told {
            words: diagnostic(&judged, rules),
            data: Some(Data::Judged(judged)),
        },
        Finding::Explained(explained) => Told {
            words: explained::diagnostic(&explained, &group.causes),
            data: Some(Data::Explained(explained)),
        },
        Finding::Weak(weak) => Told {
            words: weak_test(&weak, rules),
            data: Some(Data::Weak(weak)),
        },
    }
}

/// A finding in words.
pub fn words(finding: &Finding, group: &Group) -> Diagnostic {
    let rules = &group.rules;
    match finding {
        Finding::Fault(words) => Diagnostic::clone(words),
        Finding::Judged(judged) => diagnostic(judged, rules),
        Finding::Explained(explained) => explained::diagnostic(explained, &group.causes),
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
    let test = step.map_or("test", Step::test);
    let others = match more.len() {
        0 => String::new(),
        n => format!(
            "; {} in this test",
            words::phrases::plural(n, "more weak point")
        ),
    };
    let message = |judged| Wording::of(judged, rules).weak_message();
    let message_of_all = format!("weak {test}: {}{others}", message(first));
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
                "{} is too close to call at {}; limit {}",
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
                    let as_left = self.as_left(as_left);
                    format!("as found, {message} (as left {as_left})")
                }
                None => format!("as found, {message}"),
            };
            if let Some(sprayed) = &judged.sprayed {
                message = format!("{message}; {}", facts::fact(sprayed));
            }
        }
        if let Verdict::Undecided(_, Side::Over) = judged.verdict {
            message.push_str("; too close to call");
        }
        message
    }

    fn pick<'t>(&self, texts: &'t Texts) -> Option<&'t Text> {
        let judged = self.judged;
        let grade = judged.limit.as_ref().map(|(grade, _)| *grade);
        texts.pick(judged.case, judged.value, grade)
    }

    fn filled_message(&self) -> String {
        let text = self.pick(&self.rule.message);
        text.map(|text| text.filled(|slot| self.fill(slot)))
            .unwrap_or_default()
    }

    fn filled_help(&self) -> Option<String> {
        let text = self.pick(&self.rule.help)?;
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
            let deciding = deciding_in_words(deciding);
            return Some(format!("{deciding}. If it is still over the limit, {help}"));
        }
        if let Some(by_chance) = judged.by_chance {
            return Some(format!(
                "catch it again first: by chance alone, {} of {} good nozzles read more than {} off. Then {help}",
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
            Slot::BySign(words) => by_sign(words.above, words.below),
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

    fn amount(&self, value: f64) -> String {
        amount_of(self.judged, value)
    }

    /// The value as left beside the one as found; of a deviation with its sign.
    fn as_left(&self, value: f64) -> String {
        let shown_as = self.judged.shown_as;
        if shown_as == ShownAs::Percent {
            return words::numbers::signed_percent(value, 1);
        }
        amount_in(&shown_in(shown_as, None), shown_as, value, 0.0, &[])
    }
}

/// What was found of a figure: its value with its uncertainty, as a message tells it.
pub fn amount(judged: &Judged) -> String {
    amount_of(judged, judged.value)
}

/// The value with its uncertainty, to the digits that supports, and enough to differ from the limit.
fn amount_of(judged: &Judged, value: f64) -> String {
    let limit = judged.limit.as_ref();
    let limit = limit.and_then(|(_, limit)| limit.bound.quantity());
    // Months have no fixed length, so nothing shown in days comes near one.
    let limit = limit.filter(|limit| limit.dimension() != Dimension::CALENDAR);
    let shown_in = match (judged.shown_as, limit) {
        (ShownAs::Length, Some(limit)) => shown_in(ShownAs::Measured, Some(limit.unit)),
        (shown_as, _) => shown_in(shown_as, None),
    };
    let apart = limit.map(|limit| shown_in.value(limit.si()));
    let expanded = if judged.shown_as == ShownAs::Percent {
        shown_in.value(judged.expanded)
    } else {
        0.0
    };
    amount_in(
        &shown_in,
        judged.shown_as,
        value,
        expanded,
        apart.as_slice(),
    )
}

/// The most decimal places of an uncertainty in a message: a ten-thousandth of a percent.
const MOST_DECIMALS: usize = 4;

/// A value in SI units as a message tells it, with digits enough to differ from each of `apart`.
fn amount_in(
    shown_in: &ShownIn,
    shown_as: ShownAs,
    si: f64,
    expanded: f64,
    apart: &[f64],
) -> String {
    let value = shown_in.value(si);
    let uncertainty = (0.0 < expanded).then_some(expanded);
    let usual = match shown_as {
        ShownAs::Percent if uncertainty.is_some() => MOST_DECIMALS,
        ShownAs::Percent => 2,
        ShownAs::Count | ShownAs::Days => 0,
        ShownAs::Seconds => words::numbers::decimals_needed(value, MOST_DECIMALS),
        ShownAs::Hours | ShownAs::Length => 1,
        ShownAs::Measured => 6,
    };
    let decimals = words::numbers::decimals_for(uncertainty, Some(usual), value.abs(), apart);
    let number = match uncertainty {
        Some(expanded) => words::numbers::with_uncertainty(value, expanded, decimals),
        None => words::numbers::number(value, decimals),
    };
    match (shown_as, shown_in.name.as_str()) {
        (ShownAs::Count | ShownAs::Measured, _) => number,
        (ShownAs::Days, _) if number == "1" => "1 day".to_owned(),
        (_, name) => words::numbers::with_unit(&number, name),
    }
}

/// What would decide a verdict, beginning with a verb.
fn deciding_in_words(deciding: Deciding) -> String {
    match deciding {
        Deciding::More { effort, times, was } => {
            let more = was.map_or_else(
                || times_as_much(effort, times),
                |was| more_than(effort, times, &was),
            );
            format!("{more} (decides it nine times in ten)")
        }
        Deciding::Better(what) => {
            format!("{} (a longer test will not settle it)", what.remedy())
        }
    }
}

fn times_as_much(effort: Effort, times: f64) -> String {
    let times = words::numbers::number((times * 10.0).ceil() / 10.0, 1);
    match effort {
        Effort::Collecting => format!("collect {times} times as long"),
        Effort::SprayingOut => format!("spray out {times} times as much"),
        Effort::Driving => format!("drive a course {times} times as long"),
    }
}

fn more_than(effort: Effort, times: f64, was: &Quantity) -> String {
    let to = words::numbers::rounded_up(times * was.decimal.to_f64(), 2);
    let to = was.unit.behind(&to);
    match effort {
        Effort::Collecting => format!("collect for {to} a nozzle instead of {was}"),
        Effort::SprayingOut => format!("spray out {to} instead of {was}"),
        Effort::Driving => format!("drive a course of {to} instead of {was}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_differs_from_its_limit_and_its_uncertainty_has_two_digits() {
        for (shown_as, si, expanded, limit, told) in [
            (ShownAs::Percent, 0.116_2, 1.04, 10.0, "11.6 ± 1.0%"),
            (
                ShownAs::Percent,
                0.050_000_3,
                0.672_860_8,
                5.0,
                "5.00003 ± 0.67%",
            ),
            (ShownAs::Percent, 0.099_6, 12.4, 10.0, "9.96 ± 12%"),
            (
                ShownAs::Percent,
                0.033_333,
                0.004_21,
                1.0,
                "3.3333 ± 0.0042%",
            ),
            (ShownAs::Percent, 0.033_333, 0.0, 1.0, "3.33%"),
            (ShownAs::Length, 49.98, 0.0, 50.0, "49.98 m"),
            (ShownAs::Length, 25.0, 0.0, 50.0, "25.0 m"),
            (ShownAs::Hours, 3_600.0 * 50.04, 0.0, 50.0, "50.04 h"),
            (ShownAs::Seconds, 14.97, 0.0, 20.0, "14.97 s"),
            (ShownAs::Seconds, 15.0, 0.0, 20.0, "15 s"),
            (ShownAs::Days, 86_400.0, 0.0, 3.0, "1 day"),
            (ShownAs::Days, 4.0 * 86_400.0, 0.0, 3.0, "4 days"),
            (ShownAs::Count, 2.0, 0.0, 3.0, "2"),
        ] {
            let amount = amount_in(&shown_in(shown_as, None), shown_as, si, expanded, &[limit]);
            assert_eq!(amount, told);
        }
    }
}

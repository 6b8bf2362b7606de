//! Every cause beside the others: one round over the readings as they are.
//!
//! Shares are relative: each cause's prior times the density of the readings under it, over the sum of that of all causes that the
//! readings have a place for. Priors need not add up to one, and do not: a group may add causes, and a visit without a speed test has no
//! place for some of ours. What counts is how often one cause is there for each time that another is.

use super::content::Cause;
use super::hypothesis::{Change, Hypothesis};
use super::mend;
use super::seen::Seen;
use super::set::CauseSet;
use std::collections::{BTreeMap, BTreeSet};

/// How one cause explains the readings.
#[derive(Clone, Debug)]
pub struct Row {
    /// Its place in the set of causes.
    pub cause: usize,
    /// Its prior as its file has it, the sum of those of its mends that the readings have a place for.
    pub prior: f64,
    /// The logarithm of the probability density of the readings under it, over all its hypotheses.
    pub ln_evidence: f64,
    /// How probable it is, given the readings: relative to the other causes, with which it adds up to one.
    pub share: f64,
    /// Its best hypothesis.
    pub best: Best,
}

/// The hypothesis that explains best, within one cause.
#[derive(Clone, Debug)]
pub struct Best {
    /// Its mend's place in the cause.
    pub mend: usize,
    /// The hypothesis.
    pub hypothesis: Hypothesis,
    /// The size of the effect: the logarithm of a ratio, its mean given the readings; 0 where the mend has none.
    pub size: f64,
    /// The logarithm of the probability density of the readings under it.
    pub likelihood: f64,
    /// The logarithm of its own prior: its mend's, divided among its hypotheses.
    pub ln_prior: f64,
}

impl Best {
    /// The logarithm of its prior times the density of the readings under it.
    pub(super) fn ln_weight(&self) -> f64 {
        self.ln_prior + self.likelihood
    }
}

/// What was compared: each cause, most probable first.
pub(super) fn compare(seen: &Seen<'_>, causes: &CauseSet) -> Vec<Row> {
    let mut of_cause: BTreeMap<usize, Vec<Best>> = BTreeMap::new();
    let mut priors: BTreeMap<usize, f64> = BTreeMap::new();
    for ((cause, mend), hypotheses) in one_record_once(seen, causes) {
        let Some(prior) = causes
            .causes()
            .get(cause)
            .and_then(|cause| cause.mends.get(mend))
            .map(|mend| mend.prior)
        else {
            continue;
        };
        let each = prior / super::boom::number(hypotheses.len());
        if hypotheses.is_empty() || each <= 0.0 {
            continue;
        }
        *priors.entry(cause).or_default() += prior;
        let weighed = hypotheses.into_iter().map(|hypothesis| {
            let (likelihood, size) = weighed(seen, &hypothesis);
            Best {
                mend,
                hypothesis,
                size,
                likelihood,
                ln_prior: libm::log(each),
            }
        });
        of_cause.entry(cause).or_default().extend(weighed);
    }
    let mut rows: Vec<Row> = of_cause
        .into_iter()
        .filter_map(|(cause, weighed)| {
            let prior = priors.get(&cause).copied()?;
            let together = ln_sum(weighed.iter().map(Best::ln_weight));
            let best = weighed
                .into_iter()
                .max_by(|one, other| one.ln_weight().total_cmp(&other.ln_weight()))?;
            Some(Row {
                cause,
                prior,
                ln_evidence: together - libm::log(prior),
                share: together,
                best,
            })
        })
        .collect();
    // Before they are shares: those of causes that are next to impossible are all 0.
    rows.sort_by(|one, other| other.share.total_cmp(&one.share));
    let all = ln_sum(rows.iter().map(|row| row.share));
    for row in &mut rows {
        row.share = libm::exp(row.share - all);
    }
    rows
}

/// The density of the readings under a hypothesis, and the size of the effect they speak for.
fn weighed(seen: &Seen<'_>, hypothesis: &Hypothesis) -> (f64, f64) {
    let sound = seen.ln_density();
    match &hypothesis.change {
        Change::None => (sound, 0.0),
        Change::Ratios(ratios) => (seen.shifted(&seen.shift(ratios)), 0.0),
        Change::Effect { on, effect } => {
            let marginal = seen.effect(&seen.pattern(on), *effect);
            (marginal.ln_density, marginal.size)
        }
        Change::Constant { effect, .. } => {
            let marginal = seen.effect(&seen.pattern(&hypothesis.change.pattern()), *effect);
            (marginal.ln_density, marginal.size)
        }
        Change::Scatter(deviation) => {
            (seen.scattered(*deviation).unwrap_or(f64::NEG_INFINITY), 0.0)
        }
        // Readings that were written anew from the last visit's are those with certainty.
        Change::Copied(chance) | Change::OtherNozzle { chance, .. } => {
            (sound - libm::log(*chance), 0.0)
        }
    }
}

/// The hypotheses of each mend of each cause, without those that make the same record as one of a more specific cause.
fn one_record_once(
    seen: &Seen<'_>,
    causes: &CauseSet,
) -> BTreeMap<(usize, usize), Vec<Hypothesis>> {
    let mut all = BTreeMap::new();
    let mut makes: BTreeMap<Record, BTreeSet<usize>> = BTreeMap::new();
    for (at, cause) in causes.causes().iter().enumerate() {
        for (number, mend) in cause.mends.iter().enumerate() {
            let hypotheses = mend::hypotheses(&mend.kind, seen);
            for record in hypotheses.iter().filter_map(record) {
                makes.entry(record).or_default().insert(at);
            }
            all.insert((at, number), hypotheses);
        }
    }
    let gives_way = |cause: &Cause, to: usize| {
        causes
            .causes()
            .get(to)
            .is_some_and(|to| cause.gives_way_to.contains(&to.id))
    };
    for ((at, _), hypotheses) in &mut all {
        let Some(cause) = causes.causes().get(*at) else {
            continue;
        };
        let mut seen_already = BTreeSet::new();
        hypotheses.retain(|hypothesis| {
            let Some(record) = record(hypothesis) else {
                return true;
            };
            let others = makes.get(&record).into_iter().flatten();
            let is_named_else = others.into_iter().any(|other| gives_way(cause, *other));
            !is_named_else && seen_already.insert(record)
        });
    }
    all
}

/// What a mend makes of a record, within a millionth.
type Record = Vec<(super::value::Value, i64)>;

fn record(hypothesis: &Hypothesis) -> Option<Record> {
    let Change::Ratios(ratios) = &hypothesis.change else {
        return None;
    };
    let mut made: Record = ratios
        .iter()
        .map(|(value, ratio)| (*value, in_millionths(libm::log(*ratio))))
        .collect();
    made.sort_unstable();
    Some(made)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the logarithm of a ratio of readings is small"
)]
fn in_millionths(of: f64) -> i64 {
    (of * 1e6).round() as i64
}

/// The logarithm of a sum of exponentials.
fn ln_sum(of: impl Iterator<Item = f64> + Clone) -> f64 {
    let largest = of.clone().fold(f64::NEG_INFINITY, f64::max);
    if largest.is_infinite() {
        return largest;
    }
    largest + libm::log(of.map(|ln| libm::exp(ln - largest)).sum())
}

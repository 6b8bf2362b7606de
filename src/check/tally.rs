//! How often each rule came to the verdicts that are only counted.

use crate::outcome::Verdict;
use crate::report::Counts;
use crate::rule::RuleSet;

/// The counts of every rule, by its place in the rule set.
pub(super) struct Tallies(Vec<Tally>);

/// The counts of one rule.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Tally {
    pub(super) passes: usize,
    pub(super) undecided: usize,
    pub(super) unavailable: usize,
}

impl Tallies {
    /// Nothing counted yet.
    pub(super) fn new(rules: &RuleSet) -> Self {
        Self(vec![Tally::default(); rules.rules().len()])
    }

    /// The counts of the rule at a place.
    pub(super) fn of(&mut self, rule: usize) -> &mut Tally {
        &mut self.0[rule]
    }

    /// Adds them up under the rules' names.
    pub(super) fn add_to(&self, counts: &mut Counts, rules: &RuleSet) {
        for (tally, rule) in self.0.iter().zip(rules.rules()) {
            for (sums, count) in [
                (&mut counts.passes, tally.passes),
                (&mut counts.undecided, tally.undecided),
                (&mut counts.unavailable, tally.unavailable),
            ] {
                if count > 0 {
                    *sums.entry(rule.id.clone()).or_default() += count;
                }
            }
        }
    }
}

impl Tally {
    /// Counts a verdict; findings count themselves.
    pub(super) fn count(&mut self, verdict: &Verdict) {
        match verdict {
            Verdict::Pass => self.passes += 1,
            Verdict::Undecided(_, _) => self.undecided += 1,
            Verdict::Unavailable(_) => self.unavailable += 1,
            Verdict::Fail(_) | Verdict::NotApplicable => {}
        }
    }
}

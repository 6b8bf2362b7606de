//! How often each rule came to the verdicts that are only counted.

use crate::outcome::Verdict;
use crate::rule::RuleSet;

/// The counts of every rule, by its place in the rule set.
#[derive(Debug, Default, Clone)]
pub struct Tallies(Vec<Tally>);

/// The counts of one rule.
#[derive(Debug, Clone, Copy, Default)]
pub struct Tally {
    /// How often it held.
    pub passes: usize,
    /// How often its limit lay inside the uncertainty.
    pub undecided: usize,
    /// How often its figure could not be computed.
    pub unavailable: usize,
}

impl Tallies {
    /// Nothing counted yet.
    pub fn new(rules: &RuleSet) -> Self {
        Self(vec![Tally::default(); rules.rules().len()])
    }

    /// The counts of the rule at a place.
    pub fn of(&mut self, rule: usize) -> &mut Tally {
        &mut self.0[rule]
    }

    /// Adds the counts of another machine by the same rules.
    pub fn add(&mut self, other: &Self) {
        self.0
            .resize(self.0.len().max(other.0.len()), Tally::default());
        for (sums, counts) in self.0.iter_mut().zip(&other.0) {
            sums.passes += counts.passes;
            sums.undecided += counts.undecided;
            sums.unavailable += counts.unavailable;
        }
    }

    /// The counts of each rule, with its name.
    pub fn named<'r>(&self, rules: &'r RuleSet) -> impl Iterator<Item = (&'r str, Tally)> {
        let all = self.0.iter().zip(rules.rules());
        all.map(|(tally, rule)| (rule.id.as_str(), *tally))
    }
}

impl Tally {
    /// Counts a verdict; findings count themselves.
    pub fn count(&mut self, verdict: &Verdict) {
        match verdict {
            Verdict::Pass => self.passes += 1,
            Verdict::Undecided(_, _) => self.undecided += 1,
            Verdict::Fail(_) => {}
        }
    }
}

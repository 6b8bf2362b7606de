//! What is drawn by chance, in the forms that machines, visits and faults need.

use super::faults::FAULTS;
use crate::chance::Chance;

/// Chance, asked in more ways.
pub(super) struct Draw<'c>(pub(super) &'c mut Chance);

impl Draw<'_> {
    /// Anywhere between 0 and 1.
    pub(super) fn uniform(&mut self) -> f64 {
        0.5 + self.0.within(0.5)
    }

    /// A whole number below `n`.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "small whole numbers"
    )]
    pub(super) fn below(&mut self, n: usize) -> usize {
        ((self.uniform() * n as f64) as usize).min(n - 1)
    }

    pub(super) fn one_of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len())]
    }

    /// Whether something holds that does so this often.
    pub(super) fn is(&mut self, often: f64) -> bool {
        self.uniform() < often
    }

    /// Anywhere within this of nothing.
    pub(super) fn within(&mut self, half_width: f64) -> f64 {
        self.0.within(half_width)
    }

    pub(super) fn normal(&mut self, deviation: f64) -> f64 {
        self.0.normal(deviation)
    }

    /// The size of something that goes one way, no smaller than what anybody would notice.
    pub(super) fn size(&mut self, deviation: f64) -> f64 {
        self.normal(deviation).abs().max(0.02)
    }

    /// One or minus one.
    pub(super) fn sign(&mut self) -> f64 {
        if self.is(0.5) { 1.0 } else { -1.0 }
    }

    /// A kind of fault, as often as its weight says.
    pub(super) fn fault(&mut self) -> &'static str {
        let all: f64 = FAULTS.iter().map(|(_, weight)| weight).sum();
        let mut left = self.uniform() * all;
        for (cause, weight) in FAULTS {
            left -= weight;
            if left <= 0.0 {
                return cause;
            }
        }
        FAULTS[0].0
    }
}

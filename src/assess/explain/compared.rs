//! Every cause beside the others, for whoever wants to check an explanation by hand.

use super::suspected::Naming;
use crate::cause::{self, Comparison, Row};
use crate::fact::Fact;
use crate::finding::{At, CrossChecked};
use crate::source::Place;

/// What the comparison of a visit's causes has in the place of a figure's name.
pub const CAUSE: &str = "cause";

/// The same of its cross-checks.
pub const CROSS_CHECK: &str = "cross-check";

/// One line of the comparison of a visit's causes.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Compared {
    /// The visit.
    pub at: At,
    /// Where its readings stand.
    pub subject: Place,
    /// The line.
    pub line: Line,
}

/// A cause or a cross-check.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub enum Line {
    /// A cause, by its best hypothesis.
    Cause {
        /// Its name.
        id: String,
        /// How likely it is, from 0 to 1.
        share: f64,
        /// How likely it was before anything was read.
        prior: f64,
        /// The natural logarithm of the probability density of the readings under it.
        ln_evidence: f64,
        /// Where it holds.
        place: Fact,
        /// By how much something is off, as a ratio less one.
        off: f64,
    },
    /// A cross-check as written, and with the likeliest cause mended.
    CrossCheck(CrossChecked),
}

impl Naming<'_> {
    /// Every cause, likeliest first, then every cross-check.
    pub(super) fn compared(&self, at: &At, comparison: &Comparison) -> Vec<Compared> {
        let Some(subject) = self.fallback else {
            return Vec::new();
        };
        let line = |line| Compared {
            at: at.clone(),
            subject,
            line,
        };
        let causes = comparison.rows.iter().filter_map(|row| self.cause(row));
        let checks = comparison.residuals.iter();
        let checks = checks.map(|one| Line::CrossCheck(self.checked(one)));
        causes.chain(checks).map(line).collect()
    }

    fn cause(&self, row: &Row) -> Option<Line> {
        let own = self.causes.causes().get(row.cause)?;
        Some(Line::Cause {
            id: own.id.clone(),
            share: row.share,
            prior: row.prior,
            ln_evidence: row.ln_evidence,
            place: self.place(row),
            off: cause::ratio_less_one(row.best.size),
        })
    }
}

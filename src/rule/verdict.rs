//! How uncertainty enters a verdict (JCGM 106:2012, 8; ILAC-G8:09/2019).

use super::limit::Bound;
use crate::outcome::{Grade, Side, Verdict};
use crate::quantity::Exact;
use jiff::civil::Date;
use std::cell::LazyCell;

/// How uncertainty enters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decision {
    /// The value alone is held against the limit.
    Simple,
    /// Only what is proven beyond the limit fails, only what is proven within passes.
    Guarded,
}

impl Decision {
    /// The word in rule files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Simple => "simple",
            Self::Guarded => "guarded",
        }
    }

    /// What it means, in one sentence.
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::Simple => {
                "The value alone is held against the limit; exactly at the limit it holds. \
                 A value within the worst limit is too close to call if its uncertainty is more than that limit."
            }
            Self::Guarded => {
                "Only a value proven beyond the limit fails and only one proven within it passes; \
                 a value between the two is too close to call and a warning at most."
            }
        }
    }
}

/// The verdict and the grade's limit it stands on.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgment {
    /// The verdict.
    pub verdict: Verdict,
    /// How far the value lies from the limit that decides, in SI units.
    pub distance: f64,
}

/// Holds a value with its expanded uncertainty against the limits of its grades, worst first.
///
/// The uncertainty is asked for only where it enters, the exact value only beside a limit.
///
/// Among the grades the value is over, the one that weighs most decides; an undecided one weighs a
/// warning at most, and at equal weight a proven one goes first. A value within all limits is
/// undecided where the worst limit it cannot be told from says so.
pub fn judge<'l>(
    limits: impl IntoIterator<Item = (Grade, &'l Bound)>,
    decision: Decision,
    value: f64,
    expanded: impl FnOnce() -> f64,
    anchor: Option<Date>,
    mut exact: impl FnMut() -> Option<Exact>,
) -> Judgment {
    let expanded = LazyCell::new(expanded);
    let mut over: Option<Judgment> = None;
    let mut within: Option<Judgment> = None;
    let mut worst = None;
    for (grade, bound) in limits {
        let Some((side, distance)) = bound.side(value, || *expanded, anchor, &mut exact) else {
            continue; // The grade is switched off.
        };
        let is_worst = grade <= Grade::Warning && *worst.get_or_insert(grade) == grade;
        // At a distance of exactly U the value is proven within, but not proven beyond.
        let proven = match (decision, side) {
            (Decision::Simple, Side::Within) => {
                !is_worst || bound.widest().is_none_or(|most| *expanded <= most)
            }
            (Decision::Simple, Side::Over) => true,
            (Decision::Guarded, Side::Within) => *expanded <= distance,
            (Decision::Guarded, Side::Over) => *expanded < distance,
        };
        let verdict = match (side, proven) {
            (Side::Within, true) => continue,
            (Side::Over, true) => Verdict::Fail(grade),
            (side, false) => Verdict::Undecided(grade, side),
        };
        let judgment = Judgment { verdict, distance };
        match side {
            Side::Within => {
                within.get_or_insert(judgment);
            }
            Side::Over => {
                let heavier = over
                    .as_ref()
                    .is_none_or(|o| weight(judgment.verdict) < weight(o.verdict));
                if heavier {
                    over = Some(judgment);
                }
            }
        }
    }
    over.or(within).unwrap_or(Judgment {
        verdict: Verdict::Pass,
        distance: f64::INFINITY,
    })
}

/// The heavier the smaller: first by grade, an undecided one at most a warning, then by proof.
fn weight(verdict: Verdict) -> (Grade, bool) {
    match verdict {
        Verdict::Fail(grade) => (grade, false),
        Verdict::Undecided(grade, _) => (grade.max(Grade::Warning), true),
        Verdict::Pass => (Grade::Weakens, true),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::ShownAs;

    fn verdict(decision: Decision, value: f64, expanded: f64) -> Verdict {
        let bounds = [("5%", Grade::Error), ("3%", Grade::Note)]
            .map(|(limit, grade)| (grade, Bound::parse(limit, ShownAs::Percent).unwrap()));
        let limits = bounds.iter().map(|(grade, bound)| (*grade, bound));
        judge(limits, decision, value, || expanded, None, || None).verdict
    }

    #[test]
    fn guarded_fails_only_what_is_proven() {
        use Decision::{Guarded, Simple};
        let cases = [
            (Simple, 0.051, 0.5, Verdict::Fail(Grade::Error)),
            (Simple, -0.04, 0.5, Verdict::Fail(Grade::Note)),
            (Simple, 0.02, 0.05, Verdict::Pass),
            (
                Simple,
                0.02,
                0.050_1,
                Verdict::Undecided(Grade::Error, Side::Within),
            ),
            (Guarded, 0.07, 0.01, Verdict::Fail(Grade::Error)),
            (
                Guarded,
                0.055,
                0.01,
                Verdict::Undecided(Grade::Error, Side::Over),
            ),
            (Guarded, -0.045, 0.004, Verdict::Fail(Grade::Note)),
            (
                Guarded,
                0.035,
                0.01,
                Verdict::Undecided(Grade::Note, Side::Over),
            ),
            (
                Guarded,
                0.025,
                0.01,
                Verdict::Undecided(Grade::Note, Side::Within),
            ),
            (
                Guarded,
                0.02,
                0.04,
                Verdict::Undecided(Grade::Error, Side::Within),
            ),
            (Guarded, 0.01, 0.01, Verdict::Pass),
        ];
        for (decision, value, expanded, wanted) in cases {
            let found = verdict(decision, value, expanded);
            assert_eq!(found, wanted, "{} {value} {expanded}", decision.word());
        }
    }

    #[test]
    fn switched_off_grades_find_nothing() {
        let limits = [(Grade::Error, &Bound::Off)];
        let judged = judge(limits, Decision::Simple, 9.0, || 0.0, None, || None);
        assert_eq!(judged.verdict, Verdict::Pass);
    }
}

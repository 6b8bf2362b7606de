//! One line of the comparison of a visit's causes, in words.

use super::facts;
use crate::assess::Line;
use crate::words::numbers;

/// `prior 0.06, ln evidence 40.296964, nozzle 5 of 15, +12.4%`; of a cross-check what it is once the likeliest is mended.
pub fn compared_in_words(line: &Line) -> String {
    match line {
        Line::Cause {
            prior,
            ln_evidence,
            place,
            off,
            ..
        } => format!(
            "prior {}, ln evidence {ln_evidence:.6}, {}, {}",
            numbers::significant(*prior, 3),
            facts::fact(place),
            numbers::signed_percent(*off, 1),
        ),
        Line::CrossCheck(check) => format!(
            "{} with the likeliest cause mended",
            numbers::signed_percent(check.after, 2)
        ),
    }
}

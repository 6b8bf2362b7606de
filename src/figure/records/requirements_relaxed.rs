//! What asks for less than it did: a comparison of settings, waivers, house rules and machine files finds it.

use crate::figure::about::{About, Family, OfComparison, ShownAs};

/// The case of a setting that is there now and was not.
pub const ADDED: &str = "added";
/// The case of a setting that was there and is not.
pub const TAKEN_OUT: &str = "taken-out";
/// The case of findings that the requirements of then would give, and those of now do not.
pub const NO_LONGER_FOUND: &str = "no-longer-found";
/// The case of findings of then that are no more only because of new records of work or of what was sprayed.
pub const GONE_BY_RECORDS: &str = "gone-by-records";
/// The case of what is declared anew and used at once.
pub const BROUGHT: &str = "brought";

/// The figure.
pub(crate) static REQUIREMENTS_RELAXED: OfComparison = OfComparison {
    about: About {
        id: "requirements-relaxed",
        title: "a limit, interval, waiver, date, rule, instrument, person or machine file that requires less than it did",
        formula: "1 for each that was changed, unless it is known to ask for more",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Record,
        step: None,
        cases: &[ADDED, TAKEN_OUT, NO_LONGER_FOUND, GONE_BY_RECORDS, BROUGHT],
    },
    slots: &[
        "this-relaxes",
        "requirement",
        "was",
        "is",
        "because",
        "findings",
    ],
};

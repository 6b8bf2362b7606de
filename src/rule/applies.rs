//! Where a rule applies: plain attributes of the member it would judge.

use std::collections::BTreeMap;

/// The value of an attribute that a machine sheet leaves out.
pub(super) const UNSTATED: &str = "unstated";

/// The attributes a rule may ask for.
pub(super) const ATTRIBUTES: [&str; 8] = [
    "step",
    "stage",
    "control",
    "speed-source",
    "section-valves",
    "balance-by",
    "course",
    "setup",
];

/// What a rule asks of a member: each attribute must have one of the values listed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Applies {
    /// The values allowed, by attribute.
    pub wanted: BTreeMap<String, Vec<String>>,
}

/// The attributes of one member.
#[derive(Debug, Clone, Copy)]
pub struct Attributes<'a> {
    /// The values in the order of `ATTRIBUTES`; none where the sheet or the member has none.
    pub values: [Option<&'a str>; ATTRIBUTES.len()],
}

impl Applies {
    /// Whether the rule applies to a member with these attributes.
    pub fn to(&self, attributes: &Attributes<'_>) -> bool {
        self.wanted.iter().all(|(attribute, allowed)| {
            let at = ATTRIBUTES.iter().position(|known| known == attribute);
            let value = at.and_then(|at| attributes.values[at]).unwrap_or(UNSTATED);
            allowed.iter().any(|allowed| allowed == value)
        })
    }
}

//! Where a rule applies: plain attributes of the member it would judge.

use std::collections::BTreeMap;

/// The value of an attribute that a machine file leaves out.
const UNSTATED: &str = "unstated";

/// An attribute a rule may ask for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Attribute {
    /// The step of the procedure.
    Step,
    /// As found or as left.
    Stage,
    /// What the console holds.
    Control,
    /// What measures the speed.
    SpeedSource,
    /// What section valves do with the flow of a section that is off.
    SectionValves,
    /// What is read while a section is off.
    BalanceBy,
    /// The course the machine works on.
    Course,
    /// The setup tested.
    Setup,
}

impl Attribute {
    /// Every attribute.
    pub const ALL: [Self; 8] = [
        Self::Step,
        Self::Stage,
        Self::Control,
        Self::SpeedSource,
        Self::SectionValves,
        Self::BalanceBy,
        Self::Course,
        Self::Setup,
    ];

    /// The word in rule files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Step => "step",
            Self::Stage => "stage",
            Self::Control => "control",
            Self::SpeedSource => "speed-source",
            Self::SectionValves => "section-valves",
            Self::BalanceBy => "balance-by",
            Self::Course => "course",
            Self::Setup => "setup",
        }
    }
}

/// What a rule asks of a member: each attribute must have one of the values listed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Applies {
    /// The values allowed, by attribute.
    pub wanted: BTreeMap<Attribute, Vec<String>>,
}

impl Applies {
    /// Whether the rule applies to a member of which `value_of` tells the attributes, none where the
    /// machine file or the member has none.
    pub fn to<'m>(&self, value_of: impl Fn(Attribute) -> Option<&'m str>) -> bool {
        self.wanted.iter().all(|(attribute, allowed)| {
            let value = value_of(*attribute).unwrap_or(UNSTATED);
            allowed.iter().any(|allowed| allowed == value)
        })
    }
}

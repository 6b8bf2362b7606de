//! The kinds of record.

/// What a file records.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// What holds for the whole group.
    Fleet,
    /// A machine as it was when it was put in service.
    Machine,
    /// One visit to one machine.
    Calibration,
    /// Work on one machine.
    Service,
    /// What one machine sprayed.
    Application,
    /// What is let pass for a while.
    Waivers,
    /// A rule.
    Rule,
    /// A cause that readings are explained by.
    Cause,
}

impl Kind {
    /// All kinds, in the order a repository is read in.
    pub const ALL: [Self; 8] = [
        Self::Fleet,
        Self::Machine,
        Self::Calibration,
        Self::Service,
        Self::Application,
        Self::Waivers,
        Self::Rule,
        Self::Cause,
    ];

    /// The value of the key `record` in files of this kind.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fleet => "fleet",
            Self::Machine => "machine",
            Self::Calibration => "calibration",
            Self::Service => "service",
            Self::Application => "application",
            Self::Waivers => "waivers",
            Self::Rule => "rule",
            Self::Cause => "cause",
        }
    }

    /// The kind that a value of the key `record` names.
    pub fn from_record_value(value: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == value)
    }
}

//! How a step of a setup stands: when it was last done, what undid it, what it found, what was done since.

use super::proof::Lacking;
use crate::fleet::{HourMeter, Unreadable};
use crate::procedure::Step;
use crate::source::{FileId, Place};
use jiff::civil::Date;
use std::collections::BTreeSet;
use std::rc::Rc;

/// How one step of one setup stands.
#[derive(Debug, Clone, PartialEq)]
pub struct StepState {
    /// The step.
    pub step: Step,
    /// The setup it belongs to; none where it belongs to the whole machine.
    pub setup: Option<u16>,
    /// When it was last done.
    pub last: Last,
    /// The last visit since, if any, whose tests of it do not count; none right before something.
    pub not_counted: Option<NotCounted>,
    /// The work that voided what it found.
    pub void: Option<Undone>,
    /// The work that makes a recheck due.
    pub recheck: Option<Undone>,
    /// A service record that cannot be read and may tell of work since.
    pub unread_work: Option<Unreadable>,
    /// What it found and was not put right.
    pub failing: Option<Rc<Failing>>,
    /// What it found and a waiver in force lets pass.
    pub let_pass: Option<Rc<Failing>>,
    /// What the machine did since.
    pub used: Use,
}

impl StepState {
    /// When it was last done, as far as the records show.
    pub fn done(&self) -> Option<Done> {
        match self.last {
            Last::On(done) => Some(done),
            Last::Never | Last::Unreadable(_) => None,
        }
    }
}

/// When a step was last done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Last {
    /// Never, as far as the records show.
    Never,
    /// On a day.
    On(Done),
    /// It was, but a visit that cannot be read may have been of a later day.
    Unreadable(Unreadable),
}

/// When and where a step was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Done {
    /// The day.
    pub day: Date,
    /// The date of that record.
    pub place: Place,
}

/// Tests of a step that are on record and do not do it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotCounted {
    /// The day.
    pub day: Date,
    /// Where they stand.
    pub place: Place,
    /// What keeps them from counting.
    pub lacking: Lacking,
}

/// Work that undid what a step found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undone {
    /// The day.
    pub day: Date,
    /// The word of the work in its record.
    pub place: Place,
    /// What was done, as people say it.
    pub work: &'static str,
    /// Why that undoes it, as a fragment that can follow "since".
    pub because: &'static str,
    /// The nozzles it concerns, by number over the boom; empty for all.
    pub nozzles: Vec<u16>,
}

/// A rule whose limit is exceeded, or may be, and the nozzle it is of; none for the whole test.
pub type Beyond = (String, Option<u16>);

/// A finding of a visit that leaves a step failing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failing {
    /// The visit's record.
    pub record: FileId,
    /// The step.
    pub step: Step,
    /// The setup; none where it belongs to the whole machine.
    pub setup: Option<u16>,
    /// The rule of what weighs most: the finding's own, or of what it holds back.
    pub rule: String,
    /// The finding, by its place among all that visits left failing.
    pub finding: usize,
    /// Where it points.
    pub place: Place,
    /// The nozzles it is of, by number; empty for the whole test. Once each is caught again it is no more so.
    pub nozzles: Vec<u16>,
    /// The sections it is of, by name; empty where it is of no section balance, or of all of it. Once each is tested again
    /// it is no more so.
    pub sections: BTreeSet<String>,
    /// What is beyond its limit: the finding and the errors it holds back.
    pub beyond: Vec<Beyond>,
    /// When the group lets it pass.
    pub let_pass: Vec<LetPass>,
}

impl Failing {
    /// Whether what ends this ends the other, and it is let pass on the same days.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        self.beyond == other.beyond
            && self.sections == other.sections
            && self.nozzles == other.nozzles
            && self.let_pass == other.let_pass
    }
}

/// Days on which a group lets a finding pass, first and last included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LetPass {
    /// The first day.
    pub from: Date,
    /// The last day.
    pub until: Date,
    /// The waiver, by its place in the waivers file.
    pub waiver: usize,
}

impl LetPass {
    /// Whether it holds on a day.
    pub fn holds_on(&self, day: Date) -> bool {
        self.from <= day && day <= self.until
    }
}

/// What a machine did since a step was done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Use {
    /// The hour meter when it was done and as last read; none where it was not read.
    pub hours: Option<(HourMeter, HourMeter)>,
    /// Applications with the setup.
    pub applications: usize,
}

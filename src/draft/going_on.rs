//! A visit gone on with that is kept elsewhere than among the records, such as in a phone.
//!
//! What is kept is what was typed. The records may have changed since then, and with them what is as usual, the units, and
//! which section a nozzle is in: whoever goes on is told of it.

use super::place::{Kept, kept_place};
use super::typed::Refused;
use super::{Entered, Session, Wanted, form};
use crate::workspace::Workspace;
use std::collections::BTreeSet;

/// A visit that is gone on with.
#[derive(Debug)]
pub struct GoneOn {
    /// The visit.
    pub session: Session,
    /// Whether it goes on with a record that was there, of which nothing was kept.
    pub is_of_record: bool,
    /// The names of what was typed and has no place in the form any more.
    pub dropped: Vec<String>,
    /// What its record said when it was kept, and what it says now.
    pub changed: Changed,
}

/// Lines of a record that are not as they were.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Changed {
    /// As they were.
    pub was: Vec<String>,
    /// As they are.
    pub is: Vec<String>,
}

impl Session {
    /// Goes on with a visit that is kept, or begins one of which nothing is. The records belong to the visit from then on.
    ///
    /// # Errors
    /// Where nobody can say which machine or setup is meant, or what the machine is like; where its record has no place.
    pub fn go_on(
        mut fleet: Workspace,
        wanted: &Wanted<'_>,
        mut kept: Kept,
    ) -> Result<GoneOn, Refused> {
        let made = form(&mut fleet, wanted).map_err(|cannot| Refused {
            message: cannot.to_string(),
            help: cannot.help(),
        })?;
        let has = |(key, _): &(String, String)| made.entry(key).is_some();
        let log = std::mem::take(&mut kept.log);
        let unknown = log.iter().filter(|typed| !has(typed));
        let dropped: BTreeSet<String> = unknown.map(|(key, _)| key.clone()).collect();
        let judged = kept.record.as_ref().map_or(0, |(judged, _)| *judged);
        let then = log.iter().take(judged).filter(|typed| has(typed)).cloned();
        let then = Entered::of_log(then);
        let typed = Entered::of_log(log.into_iter().filter(has));
        let had_none = typed.is_empty();
        let (path, typed) = kept_place(&fleet, &made, &kept, typed)?;
        let is_of_record = had_none && !typed.is_empty();
        let mut session = Self::open_at(fleet, wanted, path).map_err(|cannot| Refused {
            message: cannot.to_string(),
            help: cannot.help(),
        })?;
        session.resume(then);
        let changed = kept.record.map_or_else(Changed::default, |(_, record)| {
            Changed::of(&record, &session.record())
        });
        session.resume(typed);
        Ok(GoneOn {
            session,
            is_of_record,
            dropped: dropped.into_iter().collect(),
            changed,
        })
    }
}

impl Changed {
    fn of(was: &str, is: &str) -> Self {
        let only_in = |own: &str, other: &str| {
            let other: BTreeSet<&str> = other.lines().map(str::trim).collect();
            let own = own.lines().map(str::trim);
            own.filter(|line| !other.contains(line))
                .map(str::to_owned)
                .collect()
        };
        Self {
            was: only_in(was, is),
            is: only_in(is, was),
        }
    }

    /// Whether nothing is.
    pub fn is_nothing(&self) -> bool {
        self.was.is_empty() && self.is.is_empty()
    }
}

//! Explaining a stage of a visit: which cause is likeliest, what is told, and what speaks for it.

use super::assumed::OUT;
use super::check::CrossCheck;
use super::compare::{Best, Row, compare};
use super::hypothesis::Change;
use super::readings::Readings;
use super::search::{Accepted, MOST_TOLD, Mends, is_told, mends, pattern, searched};
use super::seen::Seen;
use super::set::CauseSet;

/// From this share on a cause is told alone.
const TOLD_ALONE: f64 = 0.9;
/// From this share on it is told, with its rival beside it.
const TOLD: f64 = 0.5;
/// From this share on a rival is named: one that is next to impossible is none, whatever is left beside what is told. Our choice.
const NAMED: f64 = 0.05;
/// From this share on every other cause is named beside the likeliest and its rival. Our choice.
const NAMED_TOO: f64 = 0.1;

/// What explains a stage of a visit.
#[derive(Clone, Debug)]
pub struct Explanation {
    /// What is told, what explains most first, at most four.
    pub causes: Vec<Told>,
    /// The first round: how every cause explains the readings as they are.
    pub first: Comparison,
}

/// Every cause beside the others.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// Each cause that the readings have a place for, most probable first.
    pub rows: Vec<Row>,
    /// Each cross-check as read and once the likeliest cause is mended.
    pub residuals: Vec<LookedAt>,
}

/// A cause that is told.
#[derive(Clone, Debug)]
pub struct Told {
    /// The cause, each other one that is told being mended.
    pub row: Row,
    /// The next likeliest, named beside it where it has a share of less than 0.9.
    pub rival: Option<Row>,
    /// Every other cause with a share of 0.1 or more that may be named, most probable first.
    pub others: Vec<Row>,
    /// The cross-checks that its mend moves, or that are off and it leaves.
    pub looked_at: Vec<LookedAt>,
    /// The same for the rival.
    pub looked_at_for_rival: Vec<LookedAt>,
}

/// One cross-check before and after a mend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LookedAt {
    /// Which one.
    pub of: CrossCheck,
    /// The logarithm of its ratio as written.
    pub before: f64,
    /// The same once mended.
    pub after: f64,
    /// Its standard uncertainty.
    pub uncertainty: f64,
}

impl LookedAt {
    /// Within how many standard uncertainties a cross-check agrees: the expanded uncertainty of two, as elsewhere.
    const AGREES: f64 = 2.0;

    /// Whether it agrees once mended and did not before.
    pub fn speaks_for(&self) -> bool {
        let within = Self::AGREES * self.uncertainty;
        self.after.abs() <= within && self.before.abs() > within
    }

    /// Whether it disagrees once mended, and more so than before.
    pub fn denies(&self) -> bool {
        self.after.abs() > Self::AGREES * self.uncertainty && self.after.abs() > self.before.abs()
    }
}

/// Explains a stage; none where there is nothing to hold against anything.
pub fn explain(readings: &Readings, causes: &CauseSet) -> Option<Explanation> {
    let mut readings = readings.clone();
    readings.good_nozzle_caught_again = good_nozzle_caught_again(&Seen::of(&readings)?);
    let seen = Seen::of(&readings)?;
    let rows = compare(&seen, causes);
    let residuals = rows
        .first()
        .map(|row| looked_at(&seen, &row.best))
        .unwrap_or_default();
    let accepted = searched(&readings, &seen, &rows, causes)?;
    let found = settled(&readings, &seen, causes, accepted)?;
    let told = found
        .into_iter()
        .filter_map(|found| found.told(causes))
        .take(MOST_TOLD);
    Some(Explanation {
        causes: told.collect(),
        first: Comparison { rows, residuals },
    })
}

/// How probable it is that readings are copied that are all those of the last visit: `chance` is how probable that is of honest
/// ones.
pub fn share_copied(prior: f64, chance: f64) -> f64 {
    prior / (prior + (1.0 - prior) * chance)
}

/// One mend of several, against everything else there may be once the others are mended.
struct Found {
    rows: Vec<Row>,
    looked_at: Vec<LookedAt>,
    looked_at_for_rival: Vec<LookedAt>,
}

impl Found {
    fn of(readings: &Readings, off: &[(CrossCheck, f64)], causes: &CauseSet) -> Option<Self> {
        let seen = Seen::mended(readings, off)?;
        let rows = compare(&seen, causes);
        let looked_at_for_rival = rival(&rows, causes).map(|row| looked_at(&seen, &row.best));
        Some(Self {
            looked_at: rows
                .first()
                .map(|row| looked_at(&seen, &row.best))
                .unwrap_or_default(),
            looked_at_for_rival: looked_at_for_rival.unwrap_or_default(),
            rows,
        })
    }

    fn told(self, causes: &CauseSet) -> Option<Told> {
        let rival = rival(&self.rows, causes).cloned();
        let others = others(&self.rows, rival.as_ref(), causes);
        let is_sound = |row: &&Row| matches!(row.best.hypothesis.change, Change::None);
        let sound = self.rows.iter().find(is_sound).map_or(0.0, |row| row.share);
        let row = self.rows.into_iter().next()?;
        // Beside a cause that is not clear another one is named, but not that there is none: then nothing is told. That readings
        // repeat is told by its chance.
        let is_copied = matches!(row.best.hypothesis.change, Change::Copied(_));
        let is_clear = is_copied || sound <= 1.0 - TOLD_ALONE;
        let is_told = is_told(&row, causes) && row.share >= TOLD && is_clear;
        is_told.then_some(Told {
            row,
            rival,
            others,
            looked_at: self.looked_at,
            looked_at_for_rival: self.looked_at_for_rival,
        })
    }
}

/// The next likeliest that may be named, where the likeliest is not clear.
fn rival<'r>(rows: &'r [Row], causes: &CauseSet) -> Option<&'r Row> {
    let first = rows.first().filter(|first| first.share < TOLD_ALONE)?;
    let mut others = rows
        .iter()
        .filter(|row| row.cause != first.cause && row.share >= NAMED);
    others.find(|row| is_told(row, causes))
}

/// What may be named beside the likeliest and its rival.
fn others(rows: &[Row], rival: Option<&Row>, causes: &CauseSet) -> Vec<Row> {
    let named = rows.first().into_iter().chain(rival);
    let named: Vec<usize> = named.map(|row| row.cause).collect();
    let others = rows.iter().filter(|row| {
        row.share >= NAMED_TOO && !named.contains(&row.cause) && is_told(row, causes)
    });
    others.cloned().collect()
}

/// Works the shares out, each with the others mended; a mend that is not the likeliest then is dropped, and the rest worked out
/// again.
fn settled(
    readings: &Readings,
    seen: &Seen<'_>,
    causes: &CauseSet,
    accepted: Vec<Accepted>,
) -> Option<Vec<Found>> {
    let mut held = Mends::of(accepted);
    loop {
        let mut found = Vec::new();
        let mut needless = None;
        for (at, one) in held.accepted.iter().enumerate() {
            // Those before it are mended in the readings, those after it as far as they say that cross-checks are off.
            let mut before = one.before.clone();
            let mut off = Vec::new();
            for later in held.accepted.iter().skip(at + 1) {
                off.extend(later.off());
                later.best.hypothesis.change.forgotten(&mut before);
            }
            let of = Found::of(&before, &off, causes)?;
            // Nothing is left to explain, or too much for one mend.
            if !of.rows.first().is_some_and(mends) {
                needless = Some(at);
            }
            found.push(of);
        }
        let Some(needless) = needless else {
            return Some(found);
        };
        held.accepted.remove(needless);
        held.settle(readings, seen)?;
    }
}

/// The cross-checks that a mend moves, or that are off and it leaves.
fn looked_at(seen: &Seen<'_>, best: &Best) -> Vec<LookedAt> {
    let size = best.hypothesis.change.effect().map_or(1.0, |_| best.size);
    let shift = pattern(seen, best).into_iter();
    let mut shift = shift.map(|(at, by)| (at, by * size)).peekable();
    let each = seen
        .each()
        .enumerate()
        .map(|(at, (of, before, uncertainty))| {
            let moved = shift
                .next_if(|(moved, _)| *moved == at)
                .map_or(0.0, |(_, by)| by);
            LookedAt {
                of,
                before,
                after: before - moved,
                uncertainty,
            }
        });
    each.filter(|one| {
        (one.after - one.before).abs() > one.uncertainty / 10.0
            || one.after.abs() > LookedAt::AGREES * one.uncertainty
    })
    .collect()
}

/// A nozzle that was caught again though it was good, where one that was out was not.
fn good_nozzle_caught_again(seen: &Seen<'_>) -> Option<u16> {
    let retests = &seen.readings.retests;
    let is_out = |nozzle: u16| {
        seen.one(CrossCheck::Nozzle(nozzle))
            .is_some_and(|(value, uncertainty)| value.abs() > OUT * uncertainty)
    };
    let is_caught_again = |nozzle: u16| retests.iter().any(|again| again.nozzle == nozzle);
    let is_one_left_out = seen
        .boom
        .nozzles()
        .any(|nozzle| is_out(nozzle) && !is_caught_again(nozzle));
    let is_none_out = !retests.iter().any(|again| is_out(again.nozzle));
    (is_one_left_out && is_none_out).then(|| retests.first().map(|again| again.nozzle))?
}

//! The search for what is off: mends that hold together, found one after the other, likeliest first.

use super::check::CrossCheck;
use super::compare::{Best, Row, compare};
use super::content::Effect;
use super::gaussian::Sparse;
use super::hypothesis::Change;
use super::readings::Readings;
use super::seen::Seen;
use super::set::CauseSet;

/// How many causes are told of one stage.
pub(super) const MOST_TOLD: usize = 4;
/// So many mends in a row are plain to see where they leave nothing.
const PLAIN: usize = 2;
/// How many other causes a search begins with where the likeliest alone does not explain everything.
const OTHER_STARTS: usize = 5;
/// How many are looked for: some that are found are not told.
const MOST_ROUNDS: usize = 6;

/// A mend that the search accepted.
#[derive(Clone)]
pub(super) struct Accepted {
    pub(super) best: Best,
    /// The readings with those mended that were accepted before it.
    pub(super) before: Readings,
    /// How it says that each cross-check is off: for one unit of its effect, or on the whole where it has none.
    pattern: Vec<(CrossCheck, f64)>,
}

impl Accepted {
    fn new(best: &Best, seen: &Seen<'_>) -> Self {
        let of: Vec<CrossCheck> = seen.each().map(|(of, ..)| of).collect();
        let pattern = pattern(seen, best).into_iter();
        Self {
            best: best.clone(),
            pattern: pattern
                .filter_map(|(at, by)| Some((*of.get(at)?, by)))
                .collect(),
            before: seen.readings.clone(),
        }
    }

    fn effect(&self) -> Option<Effect> {
        self.best.hypothesis.change.effect()
    }

    /// By how much it says that each cross-check is off.
    pub(super) fn off(&self) -> impl Iterator<Item = (CrossCheck, f64)> + '_ {
        let size = self.effect().map_or(1.0, |_| self.best.size);
        self.pattern.iter().map(move |(of, by)| (*of, by * size))
    }

    fn after(&self) -> Readings {
        let change = &self.best.hypothesis.change;
        change.applied(&self.before, self.best.size)
    }
}

/// Mends that hold together.
#[derive(Clone, Default)]
pub(super) struct Mends {
    pub(super) accepted: Vec<Accepted>,
    /// How many times likelier they make the readings than that nothing is off, priors counted, as a logarithm.
    gain: f64,
    mended: Option<Readings>,
}

impl Mends {
    pub(super) fn of(accepted: Vec<Accepted>) -> Self {
        Self {
            accepted,
            ..Self::default()
        }
    }

    /// Works the sizes of all effects out together, and what follows.
    pub(super) fn settle(&mut self, readings: &Readings, seen: &Seen<'_>) -> Option<()> {
        let of: Vec<_> = self
            .accepted
            .iter()
            .map(|one| (one.pattern.as_slice(), one.effect()))
            .collect();
        let (ln_density, sizes) = seen.effects(&of)?;
        self.gain = ln_density - seen.ln_density();
        let mut sizes = sizes.into_iter();
        let mut mended = readings.clone();
        for one in &mut self.accepted {
            if one.effect().is_some() {
                one.best.size = sizes.next()?;
            }
            self.gain += one.best.ln_prior - one.best.hypothesis.change.ln_chance();
            one.before = mended;
            mended = one.after();
        }
        self.mended = Some(mended);
        Some(())
    }
}

/// The mends that explain most; those of causes that are never told are among them.
///
/// A greedy search, what explains most first. Where several things are off, one mend that covers some of each may come first and be
/// none of them: where the search does not end with everything explained, it begins once more with each of the likeliest causes.
pub(super) fn searched(
    readings: &Readings,
    seen: &Seen<'_>,
    rows: &[Row],
    causes: &CauseSet,
) -> Option<Vec<Accepted>> {
    let Some(next) = next(rows) else {
        return Some(Vec::new());
    };
    let (mut best, is_all) = search(readings, seen, next, causes)?;
    let is_scattered = rows
        .first()
        .filter(|row| matches!(row.best.hypothesis.change, Change::Scatter(_)));
    if best.accepted.len() > PLAIN || is_scattered.is_some() || !is_all {
        let others = rows
            .iter()
            .filter(|row| mends(row) && row.cause != next.cause);
        for start in others.take(OTHER_STARTS) {
            let (other, _) = search(readings, seen, start, causes)?;
            if other.gain > best.gain {
                best = other;
            }
        }
    }
    // All nozzles scattered wider may explain more than any few of them.
    let scattered = is_scattered.map(|row| row.best.ln_weight() - seen.ln_density());
    let is_more = scattered.is_none_or(|scattered| scattered < best.gain);
    Some(if is_more { best.accepted } else { Vec::new() })
}

/// A greedy search that begins with one cause, and whether nothing was left to explain.
fn search(
    readings: &Readings,
    seen: &Seen<'_>,
    start: &Row,
    causes: &CauseSet,
) -> Option<(Mends, bool)> {
    let mut mends = Mends::default();
    mends.accepted.push(Accepted::new(&start.best, seen));
    let mut told = usize::from(is_told(start, causes));
    loop {
        mends.settle(readings, seen)?;
        let mended = mends.mended.clone()?;
        let now = Seen::of(&mended)?;
        let rows = compare(&now, causes);
        let Some(next) = next(&rows) else {
            let is_sound = rows
                .first()
                .is_some_and(|row| matches!(row.best.hypothesis.change, Change::None));
            return Some((mends, is_sound));
        };
        if mends.accepted.len() >= MOST_ROUNDS || told >= MOST_TOLD {
            return Some((mends, false));
        }
        told += usize::from(is_told(next, causes));
        mends.accepted.push(Accepted::new(&next.best, &now));
    }
}

/// Whether there is something to mend.
pub(super) fn mends(row: &Row) -> bool {
    !matches!(
        row.best.hypothesis.change,
        Change::None | Change::Scatter(_)
    )
}

/// The likeliest cause that has something to mend and explains more than that nothing is off.
fn next(rows: &[Row]) -> Option<&Row> {
    let sound = rows
        .iter()
        .find(|row| matches!(row.best.hypothesis.change, Change::None));
    let likeliest = rows.iter().find(|row| mends(row))?;
    let is_more = sound.is_none_or(|sound| likeliest.share > sound.share);
    is_more.then_some(likeliest)
}

pub(super) fn is_told(row: &Row, causes: &CauseSet) -> bool {
    causes
        .causes()
        .get(row.cause)
        .is_some_and(|cause| cause.told)
}

/// How a mend says that the cross-checks are off: for one unit of its effect, or on the whole where it has none.
pub(super) fn pattern(seen: &Seen<'_>, best: &Best) -> Sparse {
    let change = &best.hypothesis.change;
    match change {
        Change::Ratios(ratios) => seen.shift(ratios),
        Change::Effect { .. } | Change::Constant { .. } => seen.pattern(&change.pattern()),
        Change::None | Change::Scatter(_) | Change::Copied(_) | Change::OtherNozzle { .. } => {
            Vec::new()
        }
    }
}

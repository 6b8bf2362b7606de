//! Which cause a finding follows from: the one without whose mend it is still told.

use super::gathered::Gathered;
use super::mended::{StillTold, is_still, mends};
use crate::cause::{Change, Told};
use crate::figure::about::{NOZZLE_NOT_RETESTED, READINGS_REPEATED};
use crate::finding::Judged;
use crate::record::Mends;

/// Whether a finding tells of something that is over a limit and was not put right since.
pub(super) fn is_open(told: &Judged) -> bool {
    told.verdict.is_over() && told.as_left.is_none() && !told.is_put_right
}

/// What each cause explains, and what none does.
pub(super) struct SharedOut<'c> {
    pub(super) explained: Vec<(&'c Told, Vec<Judged>)>,
    pub(super) standing: Vec<Judged>,
}

/// Shares findings out among the causes that explain one; a cause that explains none is not mended for the others either.
pub(super) fn shared_out<'c>(
    all: Vec<Judged>,
    causes: &'c [Told],
    gathered: &Gathered,
    still_told: &dyn Fn(&Mends) -> StillTold,
) -> SharedOut<'c> {
    let mut causes: Vec<&Told> = causes.iter().collect();
    loop {
        let mended = Mended::of(gathered, &causes, still_told);
        let of: Vec<Option<usize>> = all
            .iter()
            .map(|one| mended.cause_of(one, &causes))
            .collect();
        let explains = |at: usize| of.contains(&Some(at));
        let idle = (0..causes.len()).rev().find(|at| !explains(*at));
        if let Some(idle) = idle {
            causes.remove(idle);
            continue;
        }
        let mut explained: Vec<(&Told, Vec<Judged>)> = causes
            .into_iter()
            .map(|cause| (cause, Vec::new()))
            .collect();
        let mut standing = Vec::new();
        for (one, at) in all.into_iter().zip(of) {
            match at.and_then(|at| explained.get_mut(at)) {
                Some((_, held)) => held.push(one),
                None => standing.push(one),
            }
        }
        return SharedOut {
            explained,
            standing,
        };
    }
}

/// A visit judged with all causes mended, with all but one, and with each rival in the place of its cause.
struct Mended {
    with_all: StillTold,
    /// With the rival of a cause mended instead of it.
    with_rival: Vec<Option<StillTold>>,
    /// With all but one.
    but_one: Vec<StillTold>,
}

impl Mended {
    fn of(gathered: &Gathered, causes: &[&Told], still_told: &dyn Fn(&Mends) -> StillTold) -> Self {
        let changes: Vec<(&Change, f64)> = causes.iter().map(|told| change_of(told)).collect();
        let judged = |changes: &[(&Change, f64)]| still_told(&all_mends(changes, gathered));
        let with_rival = causes.iter().enumerate().map(|(at, told)| {
            let rival = told.rival.as_ref()?;
            let mut changes = changes.clone();
            if let Some(own) = changes.get_mut(at) {
                *own = (&rival.best.hypothesis.change, rival.best.size);
            }
            Some(judged(&changes))
        });
        let with_rival = with_rival.collect();
        let but_one = (0..changes.len())
            .filter(|_| changes.len() > 1)
            .map(|left_out| {
                let mut others = changes.clone();
                others.remove(left_out);
                judged(&others)
            });
        Self {
            with_all: judged(&changes),
            with_rival,
            but_one: but_one.collect(),
        }
    }

    /// The cause that explains a finding: the one without which it is told. None where it is told whatever is mended.
    ///
    /// Of two that cannot be told apart, a finding is explained only where it is gone with either.
    fn cause_of(&self, told: &Judged, causes: &[&Told]) -> Option<usize> {
        if let Some(own) = causes
            .iter()
            .position(|cause| is_without_a_mend(cause, told))
        {
            return Some(own);
        }
        if causes.is_empty() || is_still(told, &self.with_all) {
            return None;
        }
        let mut without = self.but_one.iter();
        let at = without.position(|still| is_still(told, still)).unwrap_or(0);
        let rival = self.with_rival.get(at)?.as_ref();
        let is_gone = rival.is_none_or(|still| !is_still(told, still));
        is_gone.then_some(at)
    }
}

/// Whether a cause that no number mends explains a finding: a retest of a good nozzle, that another one was not caught again;
/// copied readings, that they repeat.
fn is_without_a_mend(cause: &Told, told: &Judged) -> bool {
    match cause.row.best.hypothesis.change {
        Change::OtherNozzle { .. } => told.figure == NOZZLE_NOT_RETESTED,
        Change::Copied(_) => told.figure == READINGS_REPEATED,
        Change::None
        | Change::Ratios(_)
        | Change::Effect { .. }
        | Change::Constant { .. }
        | Change::Scatter(_) => false,
    }
}

fn change_of(told: &Told) -> (&Change, f64) {
    let best = &told.row.best;
    (&best.hypothesis.change, best.size)
}

/// What to multiply where to mend all of these at once.
fn all_mends(changes: &[(&Change, f64)], gathered: &Gathered) -> Mends {
    let ratios = changes
        .iter()
        .flat_map(|(change, size)| change.ratios(*size));
    let ratios: Vec<_> = ratios.collect();
    mends(&ratios, gathered)
}

//! What is written wrong in a machine file: told once, whichever visits show it, with what follows from it for the machine.

use super::gathered::Gathered;
use super::holding::{is_open, shared_out};
use super::mended::{StillTold, is_still};
use super::suspected::Naming;
use crate::cause::{self, CauseSet};
use crate::figure::Subject;
use crate::finding::{Explained, Judged};
use crate::record::Mends;
use crate::record::machine::Machine;
use crate::source::Place;

/// A machine that can be judged again with its file mended.
pub(in crate::assess) struct OfMachine<'a> {
    pub(in crate::assess) subject: &'a Subject<'a>,
    pub(in crate::assess) causes: &'a CauseSet,
    pub(in crate::assess) coverage_factor: f64,
    /// What rules still find of the machine with its file mended.
    pub(in crate::assess) judged: &'a dyn Fn(&Machine) -> StillTold,
}

impl OfMachine<'_> {
    /// Takes out of the findings of a machine what something written wrong in its file explains: first what its visits show,
    /// then what the file shows by itself.
    pub(in crate::assess) fn explain(
        &self,
        told: Vec<Judged>,
        explained: &mut Vec<Explained>,
    ) -> Vec<Judged> {
        *explained = once_each(std::mem::take(explained));
        let mut standing: Vec<Judged> = told.into_iter().flat_map(Judged::flattened).collect();
        for one in explained.iter_mut().filter(|one| self.is_of_file(one)) {
            let still = self.still_told(&one.mends);
            one.hold_all(&mut standing, |told| !is_still(told, &still));
        }
        for setup in &self.subject.machine.setups {
            if !standing.iter().any(|told| self.is_own(told)) {
                break;
            }
            let gathered = Gathered::of_setup(self.subject.machine, setup);
            if let Some(gathered) = gathered {
                self.by_itself(&gathered, setup.name.span, &mut standing, explained);
            }
        }
        standing
    }

    /// Whether a finding is of what the machine file says by itself.
    fn is_own(&self, told: &Judged) -> bool {
        is_open(told) && told.subject.file == self.subject.machine.file
    }

    fn is_of_file(&self, explained: &Explained) -> bool {
        explained.likeliest.subject.file == self.subject.machine.file
    }

    fn still_told(&self, mends: &Mends) -> StillTold {
        (self.judged)(&mends.machine(self.subject.machine))
    }

    /// Explains what a setup shows before any visit.
    fn by_itself(
        &self,
        gathered: &Gathered,
        setup: crate::source::Span,
        standing: &mut Vec<Judged>,
        explained: &mut Vec<Explained>,
    ) {
        let Some(explanation) = cause::explain(&gathered.readings, self.causes) else {
            return;
        };
        let naming = Naming {
            subject: self.subject,
            gathered,
            causes: self.causes,
            fallback: Some(Place {
                file: self.subject.machine.file,
                span: setup,
            }),
            coverage_factor: self.coverage_factor,
        };
        let still_told = |mends: &Mends| self.still_told(mends);
        let all = std::mem::take(standing).into_iter();
        let (own, others): (Vec<Judged>, Vec<Judged>) = all.partition(|one| self.is_own(one));
        let of_setup = shared_out(own, &explanation.causes, gathered, &still_told);
        *standing = others;
        let (told, left) = naming.all(of_setup);
        standing.extend(left);
        explained.extend(told);
    }
}

/// Explanations that several visits give alike of one place, such as of one of a machine file, as one.
fn once_each(all: Vec<Explained>) -> Vec<Explained> {
    let mut each: Vec<Explained> = Vec::new();
    for one in all {
        let same = each.iter_mut().find(|other| is_same(other, &one));
        match same {
            Some(same) => same.take_in(one),
            None => each.push(one),
        }
    }
    each
}

fn is_same(one: &Explained, other: &Explained) -> bool {
    let causes = |explained: &Explained| {
        let rival = explained.rival.as_ref().map(|rival| rival.id.clone());
        (
            explained.likeliest.id.clone(),
            rival,
            explained.likeliest.subject,
        )
    };
    causes(one) == causes(other)
}

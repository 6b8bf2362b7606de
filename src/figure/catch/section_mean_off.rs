//! How far the mean of each section is off the mean of the boom.

use super::flows::{self, Flows};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, CaughtNozzle, ReadingsStratum, Visit};
use crate::outcome::{Part, Step};
use crate::working::Working;

/// The figure.
pub(crate) struct SectionMeanOff;

static ABOUT: About = About {
    id: "section-mean-off",
    title: "how far the mean flow of a section's nozzles is off the mean of the boom",
    formula: "mean(q of the section) / mean(q) - 1; plugged nozzles are left out",
    source: "our choice",
    shown_as: ShownAs::Percent,
    family: Family::Section,
    step: Some(Step::Catch),
    cases: &[],
};

/// A section of a catch, some of whose nozzles pass something.
#[derive(Clone, Copy)]
pub(crate) struct OfSection<'v> {
    catch: &'v Catch,
    section: u16,
}

impl<'v> OfSection<'v> {
    /// Its nozzles that pass anything.
    fn passing<N: Number>(
        self,
        flows: &Flows<'v, N>,
    ) -> impl Iterator<Item = (&'v CaughtNozzle, &'v N)> + use<'v, N> {
        let passing = flows.passing();
        passing.filter(move |(nozzle, _)| nozzle.nozzle.section == self.section)
    }

    fn mean<N: Number>(self, flows: &Flows<'v, N>) -> N {
        N::mean(self.passing(flows).map(|(_, flow)| flow))
    }
}

impl Figure for SectionMeanOff {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = OfSection<'v>;

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A boom of one section has no members: its mean is the boom's.
    ///
    /// Nor has a section of which none was caught, or all are plugged: other figures tell of it.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<OfSection<'v>>> {
        let sections = visit.subject.machine.boom.sections.len();
        if sections < 2 {
            return Vec::new();
        }
        let mut members = Vec::new();
        for (stage, catch) in visit.catch.each() {
            let flows = Flows::<f64>::of(visit, catch);
            if flows.mean().is_none() {
                members.push(flows::no_flows(visit, stage, catch));
                continue;
            }
            members.extend((0_u16..).take(sections).filter_map(|section| {
                let of = OfSection { catch, section };
                let mut passing = of.passing(&flows);
                let (first, _) = passing.next()?;
                let place = first
                    .place
                    .or_else(|| passing.find_map(|(nozzle, _)| nozzle.place));
                let key = visit.key(Step::Catch, Some(stage), Part::Section(section));
                Some(Member::new(key, of, place.unwrap_or(catch.place)))
            }));
        }
        members
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, of: &OfSection<'v>) -> Option<N> {
        let flows = Flows::<N>::of(visit, of.catch);
        Some(of.mean(&flows).off(&flows.mean()?))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, of: &OfSection<'v>) -> Option<Working> {
        let flows = Flows::<f64>::of(visit, of.catch);
        let mean_of = |mean: f64, count: usize| {
            let more = |mean| Fact::phrase("{} (mean of {})", [mean, Fact::whole(count)]);
            Some(of.catch.as_caught(mean)?.shown_as(more))
        };
        let own = mean_of(of.mean(&flows), of.passing(&flows).count())?;
        let all = mean_of(flows.mean()?, flows.passing().count())?;
        Some(Working::deviation(own.off(all)))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &OfSection<'v>) -> Option<Fact> {
        Some(Fact::Words("first of the section"))
    }
}

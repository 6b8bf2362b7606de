//! How many sections a section balance leaves out.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Part, Step};
use crate::record::calibration::SectionBalance;

/// The figure.
pub(crate) struct SectionsNotTested;

static ABOUT: About = About {
    id: "sections-not-tested",
    title: "how many sections of the boom were not turned off by themselves in a section balance",
    formula: "sections of the boom - sections turned off alone",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: Some(Step::Balance),
    cases: &[],
};

/// The names of the sections that were never turned off alone.
type NotTested<'v> = Vec<&'v str>;

fn not_tested<'v>(visit: &Visit<'v>, balance: &SectionBalance) -> NotTested<'v> {
    let alone: Vec<&str> = balance
        .sections_off
        .iter()
        .filter_map(|sections_off| match sections_off.sections.as_slice() {
            [only] => Some(only.value.as_str()),
            _ => None,
        })
        .collect();
    let sections = visit.subject.machine.boom.sections.iter();
    let names = sections.filter_map(|section| section.name.as_ref());
    names
        .map(|name| name.value.as_str())
        .filter(|name| !alone.contains(name))
        .collect()
}

impl Figure for SectionsNotTested {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = NotTested<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[("sections", |_, names| {
        let names = names.iter();
        Some(Fact::list(names.map(|name| Fact::Name((*name).to_owned()))))
    })];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A step absent from a visit is no fault: it only ages. Of one that is not filled in the note of its text tells.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<NotTested<'v>>> {
        if Step::Balance.not_filled_in(visit.calibration).is_some() {
            return Vec::new();
        }
        let balance = visit.calibration.section_balance.iter();
        balance
            .map(|balance| {
                let key = visit.key(Step::Balance, None, Part::Whole);
                Member::new(key, not_tested(visit, balance), visit.place(balance.key))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, names: &NotTested<'v>) -> Option<N> {
        Some(N::whole(u32::try_from(names.len()).unwrap_or(u32::MAX)))
    }
}

//! Who checked a visit: somebody who may sign, and somebody else than who made it.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::Key;
use crate::source::Place;

/// The case of a visit that nobody is said to have checked.
const NOT_CHECKED: &str = "not-checked";

/// A figure of who checked a visit.
pub(crate) struct Signing {
    signed: for<'v> fn(&'v Visit<'v>) -> Option<Signed<'v>>,
    held_against: &'static str,
    about: &'static About,
}

/// Whether somebody who may not sign did.
pub(crate) static MAY_NOT_SIGN: Signing = Signing {
    signed: by_whom_may_not,
    held_against: "declared here",
    about: &About {
        id: "may-not-sign",
        title: "whether whoever checked a visit may not sign",
        formula: "1 where the fleet file declares who may sign, and not this person",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Visit,
        step: None,
        cases: &[],
    },
};

/// Whether nobody else checked a visit.
pub(crate) static NOT_CHECKED_BY_ANOTHER: Signing = Signing {
    signed: not_by_another,
    held_against: "tested by",
    about: &About {
        id: "not-checked-by-another",
        title: "whether a visit was checked by nobody but whoever made it",
        formula: "1 where the fleet file sets second-person-checks, and checked-by is missing or is by",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Visit,
        step: None,
        cases: &[NOT_CHECKED],
    },
};

/// Who signed a visit.
pub(crate) struct Signed<'v> {
    /// Whoever is said to have checked it, or else to have made it.
    person: Option<&'v str>,
    is_wrong: bool,
    is_checked: bool,
    place: Place,
    against: Option<Place>,
}

impl Figure for Signing {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Signed<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("person", |_, signed| {
            Some(Fact::Name(signed.person?.to_owned()))
        }),
        ("may-sign", |visit, signed| {
            Some(Fact::names_like(signed.person?, signers(visit)))
        }),
    ];

    fn about(&self) -> &About {
        self.about
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Signed<'v>>> {
        let member = (self.signed)(visit).map(|signed| {
            let key = Key {
                record: Some(visit.calibration.file),
                ..Key::of_machine(visit.subject.index)
            };
            let case = (!signed.is_checked).then_some(NOT_CHECKED);
            let (place, against) = (signed.place, signed.against);
            let member = Member::new(key, signed, place).in_case(case);
            match against {
                Some(against) => member.against(against),
                None => member,
            }
        });
        member.into_iter().collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, signed: &Signed<'v>) -> Option<N> {
        Some(N::whole(u32::from(signed.is_wrong)))
    }

    fn held_against(&self) -> &'static str {
        self.held_against
    }
}

/// The initials of all who may sign.
fn signers<'v>(visit: &'v Visit<'v>) -> impl Iterator<Item = &'v str> {
    let people = visit
        .subject
        .fleet
        .into_iter()
        .flat_map(|fleet| &fleet.people);
    let may = people.filter(|(_, person)| person.may_sign);
    may.map(|(initials, _)| initials.as_str())
}

/// A group that lets nobody sign is asked nothing; of somebody it does not declare `unknown-person` tells.
fn by_whom_may_not<'v>(visit: &'v Visit<'v>) -> Option<Signed<'v>> {
    signers(visit).next()?;
    let fleet = visit.subject.fleet?;
    let checked_by = visit.calibration.checked_by.as_ref()?;
    let person = fleet.people.get(&checked_by.value)?;
    Some(Signed {
        person: Some(&checked_by.value),
        is_wrong: !person.may_sign,
        is_checked: true,
        place: visit.place(checked_by.span),
        against: Some(Place {
            file: fleet.file,
            span: person.span,
        }),
    })
}

/// A group that does not want a second person is asked nothing.
fn not_by_another<'v>(visit: &'v Visit<'v>) -> Option<Signed<'v>> {
    let calibration = visit.calibration;
    if !visit.subject.fleet?.second_person_checks {
        return None;
    }
    let by = calibration.by.as_ref();
    let checked_by = calibration.checked_by.as_ref();
    let is_alike = by
        .zip(checked_by)
        .is_some_and(|(by, checked_by)| by.value == checked_by.value);
    let told_at = checked_by.or(by);
    Some(Signed {
        person: told_at.map(|name| name.value.as_str()),
        is_wrong: checked_by.is_none() || is_alike,
        is_checked: checked_by.is_some(),
        place: visit.place(told_at.map_or(calibration.span, |name| name.span)),
        against: by
            .filter(|_| checked_by.is_some())
            .map(|by| visit.place(by.span)),
    })
}

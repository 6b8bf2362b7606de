//! How long ago each instrument of a visit was checked itself.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::{Number, days_between};
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Key, Part};
use crate::record::Fleet;
use crate::record::instrument::Instrument;
use crate::source::{Place, Span};
use crate::working::{Expression, Working};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The figure.
pub(crate) struct InstrumentAge;

static ABOUT: About = About {
    id: "instrument-age",
    title: "how long before the visit an instrument used in it was last checked itself",
    formula: "date of the visit, today at the latest - date of the instrument's check",
    source: "counting",
    shown_as: ShownAs::Days,
    family: Family::Visit,
    step: None,
    cases: &[],
};

/// An instrument that was checked and used.
pub(crate) struct InUse<'v> {
    name: &'v str,
    checked: Date,
    used: Date,
}

impl Figure for InstrumentAge {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = InUse<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("instrument", |_, of| Some(Fact::Name(of.name.to_owned()))),
        ("checked", |_, of| Some(Fact::Date(of.checked))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// An instrument without a date of its check has no member, and one checked later is of no age.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<InUse<'v>>> {
        let (Some(date), Some(fleet)) = (visit.calibration.date, visit.subject.fleet) else {
            return Vec::new();
        };
        (0_u16..)
            .zip(declared_in(visit, fleet))
            .filter_map(|(index, (name, (instrument, span)))| {
                let checked = instrument.checked?;
                let key = Key {
                    record: Some(visit.calibration.file),
                    part: Part::Test(index),
                    ..Key::of_machine(visit.subject.index)
                };
                let declared = Place {
                    file: fleet.file,
                    span: checked.span,
                };
                let of = InUse {
                    name,
                    checked: checked.value,
                    // A date that has not come is a slip, which `date-in-future` tells of.
                    used: date.value.min(visit.today),
                };
                let member = Member::new(key, of, visit.place(span));
                Some(member.against(declared).counted_from(checked.value))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, of: &InUse<'v>) -> Option<N> {
        Some(days_between(of.checked, of.used))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, of: &InUse<'v>) -> Option<Working> {
        Some(Working::shown(Expression::Days {
            from: of.checked,
            to: of.used,
        }))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &InUse<'v>) -> Option<Fact> {
        Some(Fact::Words("used here"))
    }

    fn held_against(&self) -> &'static str {
        "last checked"
    }
}

/// The declared instruments a visit names, by name, each with the first place that names it.
fn declared_in<'v>(
    visit: &'v Visit<'v>,
    fleet: &'v Fleet,
) -> BTreeMap<&'v str, (&'v Instrument, Span)> {
    let mut used = BTreeMap::new();
    for (_, name) in visit.calibration.instruments() {
        if let Some(instrument) = fleet.instruments.get(&name.value) {
            let first = (instrument, name.span);
            used.entry(name.value.as_str()).or_insert(first);
        }
    }
    used
}

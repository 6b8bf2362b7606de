//! Whether a record's date is another than its file's name has.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{DatedRecord, Standing, StateStratum};

/// The figure.
pub(crate) struct DateUnlikeName;

static ABOUT: About = About {
    id: "date-unlike-name",
    title: "whether a record's date is another than its file's name begins with",
    formula: "1 where they differ",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for DateUnlikeName {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v DatedRecord<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("date", |_, record| Some(Fact::Date(record.date.value))),
        ("file-name", |_, record| {
            Some(Fact::Path(record.file_stem.to_owned()))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v DatedRecord<'v>>> {
        let records = standing.records.iter();
        records
            .map(|record| Member::new(standing.key_of(record), record, record.dated()))
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, record: &&'v DatedRecord<'v>) -> Option<N> {
        Some(N::whole(u32::from(!is_named_by_date(record))))
    }
}

/// A second visit of a day has `-2` behind the date.
fn is_named_by_date(record: &DatedRecord<'_>) -> bool {
    let date = record.date.value.to_string();
    let behind = record.file_stem.strip_prefix(date.as_str());
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    behind
        .is_some_and(|behind| behind.is_empty() || behind.strip_prefix('-').is_some_and(is_number))
}

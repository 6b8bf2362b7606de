//! Causes as a user reads of them: ours, and those of the group.

use crate::cause::{About, Cause, CauseSet, Mend};
use crate::report::CauseDescription;
use crate::words::slots::filled;

/// Every cause of a set.
pub(super) fn describe(causes: &CauseSet) -> Vec<CauseDescription> {
    let all = causes.causes().iter();
    all.map(|cause| described(cause, causes)).collect()
}

fn described(cause: &Cause, causes: &CauseSet) -> CauseDescription {
    let others = causes.causes().iter();
    let told_apart = others.filter_map(|other| {
        let text = causes.told_apart(&cause.id, &other.id)?;
        Some(format!("{}: {}", other.id, as_written(text)))
    });
    CauseDescription {
        id: cause.id.clone(),
        title: cause.title.clone(),
        is_told: cause.told,
        about: about(cause.about).to_owned(),
        message: as_written(&cause.message),
        mends: cause.mends.iter().map(Mend::in_a_line).collect(),
        gives_way_to: cause.gives_way_to.clone(),
        remedies: cause.next.iter().map(|text| as_written(text)).collect(),
        told_apart: told_apart.collect(),
        why: cause.why.clone(),
        sources: cause.sources.iter().map(ToString::to_string).collect(),
    }
}

const fn about(about: About) -> &'static str {
    match about {
        About::Record => "a value in the record",
        About::Machine => "a part of the machine",
        About::Instrument => "an instrument",
        About::Test => "how the test was done",
        About::Nothing => "nothing: it is never reported, and where it is likeliest no cause is",
    }
}

/// A text as written, slots as those of rules.
fn as_written(text: &str) -> String {
    filled(text, |slot| format!("<{slot}>"))
}

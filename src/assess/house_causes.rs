//! The causes of a group's own. One that is refused explains nothing.

use super::house::{Called, Own, read};
use super::house_rules::name_taken;
use super::texts::Texts;
use crate::cause::{self, CauseSet, unknown_cause};
use crate::rule::RuleSet;
use crate::source::{FileId, Place, Spanned};
use crate::tree::Reader;

const CALLED: Called = Called {
    noun: "cause",
    folder: "house-causes",
    most: 50, // Every one of them is tried on every visit that has a finding.
    too_many: "too-many-causes",
    duplicate: "duplicate-cause",
    do_not: "are not used",
    does_not: "is not used",
    does: "is used",
};

/// Our causes and those of the group that count; what is wrong with the others goes to `texts`. `rules` are those of the
/// run: no cause has the name of one.
pub(super) fn causes(reader: &Reader<'_>, rules: &RuleSet, texts: &mut Texts) -> CauseSet {
    let files = &reader.tree.house_causes[..];
    if files.is_empty() {
        return CauseSet::built_in().clone();
    }
    let mut others: Vec<(FileId, Spanned<String>)> = Vec::new();
    let load = |file, text: &str| {
        let loaded = cause::load(file, text);
        let named = loaded.others.into_iter().map(|other| (file, other));
        others.extend(named);
        Own {
            file,
            id: loaded.id,
            made: loaded.cause,
            problems: loaded.problems,
        }
    };
    let taken = |id: &str, at: Place| {
        let rule = rules.find(id);
        rule.map(|_| name_taken(at, id, ("cause", "rule")))
    };
    let counting = read(reader, texts, (&CALLED, files), load, taken);
    let own = counting.names.iter().map(|(_, id)| id.value.as_str());
    let ours = CauseSet::built_in().causes().iter();
    let known: Vec<&str> = ours.map(|cause| cause.id.as_str()).chain(own).collect();
    for (file, Spanned { value, span }) in others {
        if !known.contains(&value.as_str()) {
            let at = Place { file, span };
            let finding = unknown_cause(at, &value, known.iter().copied());
            texts.findings.push(finding);
        }
    }
    CauseSet::built_in().with(counting.made)
}

//! The rules of a group's own. One that is refused is counted as not run.

use super::house::{Called, Own, read};
use super::texts::Texts;
use crate::cause::CauseSet;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::rule::{self, Rule, guard_overruled, is_guard};
use crate::source::Place;
use crate::tree::Reader;
use crate::words;

const CALLED: Called = Called {
    noun: "rule",
    folder: "house-rules",
    most: 300, // Every one of them is run on every record.
    too_many: "too-many-rules",
    duplicate: "duplicate-rule",
    do_not: "are not run",
    does_not: "does not run",
    does: "runs",
};

/// The rules that run; what is wrong with the others goes to `texts`.
pub(super) fn rules(reader: &Reader<'_>, texts: &mut Texts) -> Vec<Rule> {
    let load = |file, text: &str| {
        let loaded = rule::load(file, text);
        Own {
            file,
            id: loaded.id,
            made: loaded.rule,
            problems: loaded.problems,
        }
    };
    let taken = |id: &str, at: Place| {
        if is_guard(id) {
            return Some(guard_overruled(at, "a house rule cannot replace it", id));
        }
        let cause = CauseSet::built_in().find(id);
        cause.map(|_| name_taken(at, id, ("rule", "cause")))
    };
    let files = (&CALLED, &reader.tree.house_rules[..]);
    let counting = read(reader, texts, files, load, taken);
    texts.rules_not_run += counting.not_counted;
    counting.made
}

/// The finding of a name that is another thing's: a finding with it in brackets would be of two things.
pub(super) fn name_taken(at: Place, id: &str, (of, is): (&str, &str)) -> Diagnostic {
    let id = words::phrases::name(id);
    let message = format!("`{id}` is the name of a {is}, so no {of} can have it");
    Diagnostic::new("name-taken", Severity::Error, message, Label::new(at, ""))
        .help(format!("give the {of} and its file another name"))
}

//! The embedded JSON Schemas: which kind of record a file is, whether it has that kind's shape, and what is wrong where not.
//!
//! The only module that names the schema library. Shape only: which keys there are, and whether a value is a list, keys of
//! its own, one of a few words or a single value. What a number, a quantity, a date or a name says is for the typed record
//! to judge: a scalar whose schema has a `format` is never refused here for what it says.
//!
//! Which scalars are let through: where the schema has a `format`, any text and any number, whatever its `type`; elsewhere
//! the schema's own types. `true` and `false`, a list or a mapping in its place are found here, and an empty value where
//! the schema does not name it: in a calibration it is a reading that is not filled in.

mod declared;
mod document;
mod embedded;
mod fault;
mod instance;
mod kind;
mod meant;
mod place;
mod recognize;
mod renamed;
mod wording;

use crate::diagnostic::Diagnostic;
use crate::source::FileId;
use crate::words::phrases;
use crate::yaml;
use embedded::{Compiled, compiled};
use fault::Findings;
use instance::Instance;

pub use declared::{Declared, Source, declared};
pub use embedded::{CHECK_LINES, named, names, text};
pub use fault::MOST_LISTED;
pub use kind::Kind;
pub use meant::MEANINGS;
pub use recognize::kind_of;
pub use renamed::{OLD_WORD, reword};

/// The names of all faults of a shape, as they stand in brackets behind a message.
pub const FAULTS: [&str; 5] = [
    "not-a-record",
    "unknown-kind",
    "unknown-key",
    "missing-key",
    "wrong-value",
];

/// How many values a file may hold for all its faults to be looked for.
///
/// The largest record of a boom has some hundreds. Above this the first fault is told and no other, because the library
/// collects every fault before it hands out one.
const MOST_VALUES: usize = 5_000;

/// The faults of a file's shape, in order of place; none where it has the shape of its kind.
pub fn check(kind: Kind, file: FileId, root: yaml::Node<'_>) -> Vec<Diagnostic> {
    let Compiled {
        validator,
        document,
    } = compiled(kind);
    if validator.is_valid(Instance::Value(root)) {
        return Vec::new();
    }
    if values_in(root, MOST_VALUES) > MOST_VALUES {
        let first = validator.validate(Instance::Value(root)).err();
        let told = fault::findings(document, file, root, first.into_iter()).told;
        let unsaid =
            format!("with over {MOST_VALUES} values in this file, no more faults were looked for");
        let first = told.into_iter().next().map(|finding| finding.and(&unsaid));
        return first.into_iter().collect();
    }
    let errors = validator.iter_errors(Instance::Value(root));
    listed(fault::findings(document, file, root, errors))
}

/// The first of many findings, the last of them saying how many more there are.
fn listed(findings: Findings) -> Vec<Diagnostic> {
    let Findings { mut told, untold } = findings;
    let more = untold + told.len().saturating_sub(MOST_LISTED);
    told.truncate(MOST_LISTED);
    if more > 0
        && let Some(last) = told.pop()
    {
        let more = phrases::plural(more, "more fault");
        told.push(last.and(&format!("{more} like these in this file")));
    }
    told
}

/// How many values stand under a node; the count ends just above `most`.
fn values_in(node: yaml::Node<'_>, most: usize) -> usize {
    let children = node.items().chain(node.entries().map(|(_, value)| value));
    children.fold(1, |count, child| {
        if count > most {
            count
        } else {
            count + values_in(child, most - count.min(most))
        }
    })
}

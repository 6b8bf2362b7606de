//! Text to a tree in which every key and value has its span and its raw text; faults of the text become findings.
//!
//! The only module that names the YAML library. It knows no record, no schema and no unit: what a key means and whether a
//! value makes sense is for others to say. It reads no file, and nothing in a text makes it fail or panic.
//!
//! ```
//! use swathlint::{source::FileId, yaml};
//!
//! let parsed = yaml::parse(FileId(0), "pressure: 36 psi  # at the gauge\n");
//! let root = parsed.tree.root().unwrap();
//! let pressure = root.get("pressure").unwrap();
//! assert_eq!(pressure.text(), Some("36 psi"));
//! assert_eq!(pressure.span().range(), 10..16);
//! assert!(parsed.problems.is_empty());
//! ```

mod bounds;
mod build;
mod bytes;
mod cause;
mod dialect;
mod fault;
mod foreign;
mod keys;
mod place;
mod portable;
mod scalar;
mod syntax;
mod tag;
mod tree;

use crate::source::FileId;

pub use bounds::{DEEPEST, MOST_ALIASED, MOST_LISTED};
pub use build::Parsed;
pub use bytes::{Decoded, decode};
pub use fault::FAULTS;
pub use portable::{READ_DIFFERENTLY, read_differently};
pub use scalar::Value;
pub use tree::{Entries, Items, Node, Reworded, Role, Shape, Tree};

/// Reads a text as YAML 1.2 with the core schema, the plain dialect of most records without the library.
///
/// Beyond the standard's own faults it refuses what a record has no use for and other readers take differently: merge
/// keys, tags outside the core schema, keys that are lists or mappings, duplicate keys, a second document.
///
/// A document whose meaning a fault leaves open is absent from the tree, so that nothing is judged that was not meant: in
/// every tree, each key is a text. Duplicate keys and tags leave it in place; the first of two keys counts. After a fault
/// the reading goes on with the next document. Of several documents all are read, the first is the root, and one finding
/// stands at the second; documents with nothing in them count for none.
pub fn parse(file: FileId, text: &str) -> Parsed<'_> {
    match read_plain(text) {
        Some(tree) => Parsed {
            tree,
            problems: Vec::new(),
        },
        None => parse_by_library(file, text),
    }
}

/// The tree of a text in the plain dialect, which has no fault; none for any other text.
///
/// Apart from [`parse`] so that it can be held against the library.
pub fn read_plain(text: &str) -> Option<Tree<'_>> {
    dialect::read(text)
}

/// What [`parse`] gives, by the library alone.
pub fn parse_by_library(file: FileId, text: &str) -> Parsed<'_> {
    build::build(file, text)
}

/// Counts the events of the YAML library under the same settings as [`parse`], and does nothing with them.
///
/// The yardstick that benchmarks hold the reading of records against.
pub fn drain_events(text: &str) -> usize {
    build::drain_events(text)
}

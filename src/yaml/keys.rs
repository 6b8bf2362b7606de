//! What a mapping's keys must be: texts, each written once, and none that takes over keys from elsewhere.
//!
//! Knows no key by name, `<<` apart.

use super::fault::{Fault, Found};
use super::tree::{Content, Tree, Written};
use crate::source::Span;

/// Up to this many keys are compared each with each, which is faster than sorting them.
const FEW: usize = 16;

/// The faults of a mapping's keys, each given to `report`.
///
/// `keys` is room to work in, kept between mappings so that none of them allocates.
pub(super) fn check(
    tree: &Tree<'_>,
    mapping: u32,
    keys: &mut Vec<u32>,
    mut report: impl FnMut(Found),
) {
    let Content::Mapping { len, .. } = tree.items[mapping as usize].content else {
        return;
    };
    keys.clear();
    let mut key = mapping + 1;
    for _ in 0..len {
        let value = tree.after(key);
        match fault_of(tree, key, value) {
            Some(fault) => report(Found::new(fault, tree.items[key as usize].span)),
            None => keys.push(key),
        }
        key = tree.after(value);
    }
    duplicates(tree, keys, |first, again| {
        let fault = Fault::DuplicateKey {
            key: text(tree, again).to_owned(),
        };
        let first = tree.items[first as usize].span;
        report(Found {
            related: Some((first, "first written here")),
            ..Found::new(fault, span(tree, again))
        });
    });
}

/// What is wrong with a key by itself.
fn fault_of(tree: &Tree<'_>, key: u32, value: u32) -> Option<Fault> {
    let Some(text) = tree.scalar_text(key) else {
        return Some(Fault::KeyNotText);
    };
    let is_plain = matches!(
        tree.items[key as usize].content,
        Content::Scalar {
            written: Written::Plain,
            ..
        }
    );
    if span(tree, key).is_empty() {
        Some(Fault::KeyAbsent)
    } else if is_plain && text == "<<" {
        Some(Fault::MergeKey)
    } else if is_plain && text.contains(':') && span(tree, value).start == span(tree, key).end {
        // In brackets `{shown:197 ft}` is a key with neither colon nor value behind it.
        Some(Fault::ColonInKey {
            key: text.to_owned(),
        })
    } else {
        None
    }
}

fn duplicates(tree: &Tree<'_>, keys: &mut [u32], mut found: impl FnMut(u32, u32)) {
    if keys.len() <= FEW {
        for (count, &again) in keys.iter().enumerate() {
            if let Some(&first) = keys[..count]
                .iter()
                .find(|&&first| text(tree, first) == text(tree, again))
            {
                found(first, again);
            }
        }
    } else {
        keys.sort_unstable_by_key(|&key| (text(tree, key), key));
        for alike in keys.chunk_by(|&first, &second| text(tree, first) == text(tree, second)) {
            for &again in &alike[1..] {
                found(alike[0], again);
            }
        }
    }
}

fn text<'a>(tree: &'a Tree<'_>, key: u32) -> &'a str {
    tree.scalar_text(key).unwrap_or_default()
}

fn span(tree: &Tree<'_>, item: u32) -> Span {
    tree.items[item as usize].span
}

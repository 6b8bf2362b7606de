//! What a mapping's keys must be: texts, each written once, and none that takes over keys from elsewhere.
//!
//! Knows no key by name, `<<` apart.

use super::bounds::offset;
use super::cause::Cause;
use super::fault::{Fault, Found};
use super::foreign::is_odd_space;
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
            Some(fault) => report(Found::new(fault, visible(tree, span(tree, key)))),
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
    let (key_span, value_span) = (span(tree, key), span(tree, value));
    let odd_space = text.chars().next().filter(|first| is_odd_space(*first));
    if key_span.is_empty() {
        Some(Fault::KeyAbsent)
    } else if let Some(space) = odd_space.filter(|_| is_plain) {
        Some(Fault::Unreadable(Cause::OddSpace(space)))
    } else if is_plain && text == "<<" {
        Some(Fault::MergeKey)
    } else if is_plain && value_span.start == key_span.end && text.contains(':') {
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
        // Most keys differ in length or at an end already, which a bit for each such kind tells without a comparison.
        let mut kinds = 0_u64;
        for (count, &again) in keys.iter().enumerate() {
            let text_again = text(tree, again);
            let kind = 1 << (kind(text_again) % u64::BITS);
            if kinds & kind != 0
                && let Some(&first) = keys[..count]
                    .iter()
                    .find(|&&first| text(tree, first) == text_again)
            {
                found(first, again);
            }
            kinds |= kind;
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

/// A number that is the same for the same texts, and seldom for different ones.
fn kind(text: &str) -> u32 {
    let bytes = text.as_bytes();
    let end = |byte: Option<&u8>| byte.map_or(0, |&byte| u32::from(byte));
    offset(bytes.len()).wrapping_mul(7) ^ end(bytes.first()).wrapping_mul(5) ^ end(bytes.last())
}

/// A span with something in it to point at: of an absent key, the colon.
fn visible(tree: &Tree<'_>, span: Span) -> Span {
    let is_colon = tree.source[span.range().end..].starts_with(':');
    let len = u32::from(span.is_empty() && is_colon);
    Span::new(span.start, span.end + len)
}

fn text<'a>(tree: &'a Tree<'_>, key: u32) -> &'a str {
    tree.scalar_text(key).unwrap_or_default()
}

fn span(tree: &Tree<'_>, item: u32) -> Span {
    tree.items[item as usize].span
}

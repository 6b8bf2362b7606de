//! Plain scalars that other YAML readers take for something else than we do.
//!
//! We read the core schema of YAML 1.2.2 (10.3). Readers of YAML 1.1 take more words for truth
//! values and more digits for numbers (YAML 1.1 type repository, bool, int and float). Plain dates
//! are exempt: every record has one, and no reader takes them for another date.

use super::tree::Node;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span};
use std::cell::OnceCell;
use std::collections::BTreeSet;

/// The name findings go by.
pub const READ_DIFFERENTLY: &str = "read-differently";

/// No more findings of one file are told.
const MOST_LISTED: usize = 20;

/// A finding for each plain scalar, key or value, that other readers take differently, in order of place.
///
/// `our_keys` are exempt where they are keys: what a record must write is not held against it.
pub fn read_differently(file: FileId, root: Node<'_>, our_keys: &[&str]) -> Vec<Diagnostic> {
    let keys = OnceCell::new();
    let is_key = |span: &Span| keys.get_or_init(|| keys_in(root)).contains(span);
    root.plain_scalars()
        .filter(|(span, text)| !(our_keys.contains(text) && is_key(span)))
        .filter_map(|(span, text)| finding(file, span, text))
        .take(MOST_LISTED)
        .collect()
}

/// The spans of all keys.
fn keys_in(root: Node<'_>) -> BTreeSet<Span> {
    let mut keys = BTreeSet::new();
    let mut open = vec![root];
    while let Some(node) = open.pop() {
        open.extend(node.items());
        for (key, value) in node.entries() {
            keys.insert(key.span());
            open.push(value);
        }
    }
    keys
}

fn finding(file: FileId, span: Span, text: &str) -> Option<Diagnostic> {
    let taken_for = taken_for(text)?;
    let place = Place { file, span };
    let message = format!("other readers of YAML take `{text}` for {taken_for}");
    Some(
        Diagnostic::new(
            READ_DIFFERENTLY,
            Severity::Warning,
            message,
            Label::new(place, ""),
        )
        .help(format!("put it in quotes: \"{text}\"")),
    )
}

/// What a reader of YAML 1.1 makes of a plain scalar that we take for text or another number.
fn taken_for(text: &str) -> Option<&'static str> {
    let first = *text.as_bytes().first()?;
    match first {
        b'y' | b'Y' | b'n' | b'N' | b'o' | b'O' => truth_value(text),
        b'0'..=b'9' | b'+' | b'-' | b'.' => number(text),
        _ => None,
    }
}

fn truth_value(text: &str) -> Option<&'static str> {
    match text {
        "y" | "Y" | "yes" | "Yes" | "YES" | "on" | "On" | "ON" => Some("true"),
        "n" | "N" | "no" | "No" | "NO" | "off" | "Off" | "OFF" => Some("false"),
        _ => None,
    }
}

fn number(text: &str) -> Option<&'static str> {
    if text.contains(' ') {
        return None; // A quantity, as most are: no number is written with a space in it.
    }
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    let all = |digits: &str, among: fn(&u8) -> bool| {
        !digits.is_empty() && digits.bytes().all(|byte| among(&byte))
    };
    let is_octal = |byte: &u8| (b'0'..=b'7').contains(byte);
    if let Some(behind) = digits.strip_prefix('0') {
        if all(behind, is_octal) {
            return Some("a number to the base 8");
        }
        if all(behind, u8::is_ascii_digit) {
            return Some("text, or a number without its leading 0");
        }
        if behind.starts_with(['x', 'o', 'b']) && all(&behind[1..], u8::is_ascii_alphanumeric) {
            return Some("a number to another base");
        }
    }
    if digits.contains('_') && all(digits, |byte| byte.is_ascii_digit() || b"_.".contains(byte)) {
        return Some("a number without the underscores");
    }
    if digits.contains(':')
        && digits
            .split(':')
            .all(|part| all(part, |byte| byte.is_ascii_digit() || *byte == b'.'))
    {
        return Some("a number to the base 60");
    }
    if matches!(digits, ".inf" | ".Inf" | ".INF" | ".nan" | ".NaN" | ".NAN") {
        return Some("infinity, or no number");
    }
    let (mantissa, exponent) = digits.split_once(['e', 'E'])?;
    let exponent = exponent.strip_prefix(['+', '-']).unwrap_or(exponent);
    let plain = |byte: &u8| byte.is_ascii_digit() || *byte == b'.';
    (all(mantissa, plain) && all(exponent, u8::is_ascii_digit)).then_some("text, or another number")
}

#[cfg(test)]
mod tests {
    use super::taken_for;

    #[test]
    fn what_readers_of_yaml_1_1_take_differently() {
        for text in [
            "012", "06", "08", "1_000", "NO", "off", "y", "1:30:45", "1:30", "1e3", ".inf", "0x1F",
            "0o17", "-012", "+1.5e-3",
        ] {
            assert!(taken_for(text).is_some(), "{text}");
        }
        for text in [
            "0",
            "12",
            "36.5",
            "-1",
            "2026-03-09",
            "36 psi",
            "nobody",
            "none",
            "0.5",
            "1.6",
            "half",
            "34.2 gal",
            "0.92 gal/1000 ft2",
            "-",
            "+",
            "10%",
            "",
        ] {
            assert!(taken_for(text).is_none(), "{text}");
        }
    }
}

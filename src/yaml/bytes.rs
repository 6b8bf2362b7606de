//! Bytes to text: what is not UTF-8 is found and said, and read as well as it can be.
//!
//! Guesses no encoding: only a byte-order mark says that a text is UTF-16 or UTF-32.

use super::bounds::offset;
use super::fault::{Fault, Found};
use crate::diagnostic::Diagnostic;
use crate::source::{FileId, Span};

/// A text, and what was wrong with its bytes.
#[derive(Debug)]
pub struct Decoded {
    /// The text; what could not be decoded stands in it as U+FFFD.
    pub text: String,
    /// The fault of its encoding, where it has one.
    pub problems: Vec<Diagnostic>,
}

/// Reads bytes as UTF-8, a byte-order mark included.
///
/// A text in UTF-16 or UTF-32, which its byte-order mark gives away, is decoded all the same, so that its own faults can be
/// told in the same run; the finding asks for UTF-8.
pub fn decode(file: FileId, bytes: Vec<u8>) -> Decoded {
    let (text, found) = match String::from_utf8(bytes) {
        Ok(text) => {
            return Decoded {
                text,
                problems: Vec::new(),
            };
        }
        Err(error) => wide(error.as_bytes()).unwrap_or_else(|| lossy(error.as_bytes())),
    };
    Decoded {
        text,
        problems: vec![found.diagnostic(file)],
    }
}

fn wide(bytes: &[u8]) -> Option<(String, Found)> {
    let (encoding, text) = match bytes {
        [0xff, 0xfe, 0, 0, rest @ ..] => ("UTF-32", wide_characters(rest, u32::from_le_bytes)),
        [0, 0, 0xfe, 0xff, rest @ ..] => ("UTF-32", wide_characters(rest, u32::from_be_bytes)),
        [0xff, 0xfe, rest @ ..] => ("UTF-16", utf16(rest, u16::from_le_bytes)),
        [0xfe, 0xff, rest @ ..] => ("UTF-16", utf16(rest, u16::from_be_bytes)),
        _ => return None,
    };
    let first = text.chars().next().map_or(0, char::len_utf8);
    Some((
        text,
        Found::new(Fault::OtherEncoding(encoding), Span::new(0, offset(first))),
    ))
}

fn wide_characters(bytes: &[u8], number: fn([u8; 4]) -> u32) -> String {
    bytes
        .chunks(4)
        .map(|chunk| {
            <[u8; 4]>::try_from(chunk)
                .ok()
                .and_then(|four| char::from_u32(number(four)))
                .unwrap_or('\u{fffd}')
        })
        .collect()
}

fn utf16(bytes: &[u8], number: fn([u8; 2]) -> u16) -> String {
    // Half a unit at the end stands for a character that is lost.
    let units = bytes
        .chunks(2)
        .map(|chunk| <[u8; 2]>::try_from(chunk).map_or(0xd800, number));
    char::decode_utf16(units)
        .map(|unit| unit.unwrap_or('\u{fffd}'))
        .collect()
}

fn lossy(bytes: &[u8]) -> (String, Found) {
    let mut text = String::with_capacity(bytes.len());
    let mut first = None;
    let mut count = 0;
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        if let [byte, ..] = *chunk.invalid() {
            first.get_or_insert((text.len(), byte));
            count += 1;
            text.push('\u{fffd}');
        }
    }
    let (at, byte) = first.unwrap_or_default();
    let span = Span::new(offset(at), offset(at + '\u{fffd}'.len_utf8()));
    (
        text,
        Found {
            fault: Fault::NotUtf8 { byte, count },
            span,
            related: None,
        },
    )
}

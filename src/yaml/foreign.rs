//! Texts that are no record by their looks: what other programs left in the file, named as what it is.
//!
//! None of them is YAML that a record could be, so nothing is lost by not parsing them; the parser would only find that
//! some character is out of place. Of odd indentation it says where that is; whether it matters, the parser knows.

use super::bounds::offset;
use super::cause::Cause;
use super::fault::{Fault, Found};
use crate::source::Span;

/// What the text is instead of a record.
pub(super) fn seen(text: &str) -> Option<Found> {
    pointer(text)
        .or_else(|| web_page(text))
        .or_else(|| conflict(text))
        .or_else(|| lone_carriage_return(text))
        .or_else(|| other_version(text))
}

/// The lines of a text, each with where it begins, without its end.
fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut at = 0;
    text.split_inclusive('\n').map(move |line| {
        let start = at;
        at += line.len();
        (start, line.trim_end_matches(['\n', '\r']))
    })
}

fn found(fault: Fault, start: usize, len: usize) -> Found {
    Found::new(fault, Span::new(offset(start), offset(start + len)))
}

/// Where the text begins behind a byte-order mark and blank space, and what stands there.
fn beginning(text: &str) -> (usize, &str) {
    let rest = text.trim_start_matches('\u{feff}').trim_start();
    (text.len() - rest.len(), rest)
}

fn pointer(text: &str) -> Option<Found> {
    let (at, rest) = beginning(text);
    let (_, line) = lines(rest).next()?;
    let is_pointer = line.starts_with("version https://git-lfs.github.com/spec/");
    is_pointer.then(|| found(Fault::LargeFilePointer, at, line.len()))
}

fn web_page(text: &str) -> Option<Found> {
    let (at, rest) = beginning(text);
    ["<!doctype html", "<html"].into_iter().find_map(|tag| {
        let begun = rest.get(..tag.len())?;
        let is_tag = begun.eq_ignore_ascii_case(tag);
        is_tag.then(|| found(Fault::WebPage, at, tag.len()))
    })
}

/// The first mark of a merge that was not finished; no line of a record begins so.
fn conflict(text: &str) -> Option<Found> {
    let is_mark = |line: &str| {
        line == "======="
            || ["<<<<<<<", "|||||||", ">>>>>>>"].iter().any(|mark| {
                let behind = line.strip_prefix(mark);
                behind.is_some_and(|behind| behind.is_empty() || behind.starts_with(' '))
            })
    };
    let (start, line) = lines(text).find(|(_, line)| is_mark(line))?;
    Some(found(Fault::MergeConflict, start, line.len()))
}

/// A line end that some programs show as none: what follows looks like part of the line, also of a comment.
fn lone_carriage_return(text: &str) -> Option<Found> {
    let mut all = text.match_indices('\r').map(|(at, _)| at);
    let at = all.find(|at| !text[at + 1..].starts_with('\n'))?;
    Some(found(Fault::LoneCarriageReturn, at, 1))
}

/// A directive for another version of YAML 1 than the one that is read; of YAML 2 the parser tells.
fn other_version(text: &str) -> Option<Found> {
    let head = lines(text.trim_start_matches('\u{feff}'))
        .take_while(|(_, line)| line.is_empty() || line.starts_with(['%', '#']));
    let skipped = text.len() - text.trim_start_matches('\u{feff}').len();
    let mut directives = head.filter_map(|(start, line)| {
        let version = line.strip_prefix("%YAML")?.split_whitespace().next()?;
        let is_other = version.starts_with("1.") && version != "1.2";
        is_other.then(|| (skipped + start, line.trim_end(), version.to_owned()))
    });
    let (start, line, version) = directives.next()?;
    Some(found(Fault::OtherVersion { version }, start, line.len()))
}

/// Whether a character looks like a space and is none from the keyboard (Unicode, general category Zs).
pub(super) fn is_odd_space(character: char) -> bool {
    matches!(
        character,
        '\u{a0}' | '\u{1680}' | '\u{2000}'..='\u{200a}' | '\u{202f}' | '\u{205f}' | '\u{3000}'
    )
}

/// The lines that are indented with anything but spaces and tabs from the keyboard, each with its first such character.
pub(super) fn odd_indentations(text: &str) -> impl Iterator<Item = (Span, Found)> {
    lines(text).filter_map(|(start, line)| {
        let is_indentation = |letter| matches!(letter, ' ' | '\t') || is_odd_space(letter);
        let content = line.trim_start_matches(is_indentation);
        let indentation = &line[..line.len() - content.len()];
        let mut characters = indentation.char_indices();
        let (at, space) = characters.find(|(_, space)| is_odd_space(*space))?;
        let fault = Fault::Unreadable(Cause::OddIndentation(space));
        let whole = Span::new(offset(start), offset(start + line.len()));
        let is_blank = content.is_empty();
        (!is_blank).then(|| (whole, found(fault, start + at, space.len_utf8())))
    })
}

//! Where a node stands in the text, in the cases in which the parser names another place.
//!
//! Looks only at characters: which node is meant, and in which collection it stands, the caller says.

/// Where the first dash of a list stands whose place the parser gives as `at`.
///
/// Of a list that is not indented under its key the parser names what follows the first dash, on the same line. `floor`
/// is where the list can begin at the earliest.
pub(super) fn first_dash(source: &str, at: usize, floor: usize) -> usize {
    let dash = line_content(source, at);
    if dash >= floor && source.as_bytes().get(dash) == Some(&b'-') {
        dash
    } else {
        at
    }
}

/// The place behind the dash of an item that is absent; the parser names the end of the dash's line.
pub(super) fn behind_dash(source: &str, at: usize) -> usize {
    at.min(line_content(source, at) + 1)
}

/// The place of a value that is absent; the parser names the colon that announces it, or what follows the key.
///
/// A colon announces a value only before the end of the text or one of `followers`; else it begins a text.
pub(super) fn behind_colon(source: &str, at: usize, followers: &[u8]) -> usize {
    let is_colon = match source.as_bytes()[at..] {
        [b':'] => true,
        [b':', next, ..] => followers.contains(&next),
        _ => false,
    };
    if is_colon { at + 1 } else { at }
}

/// Where the `|` or `>` of a block scalar stands; the parser names the first character of its content.
///
/// The mark stands on the last line before the content that is not blank, behind `floor`, and before any comment there.
pub(super) fn block_mark(source: &str, at: usize, floor: usize) -> usize {
    let before = source[floor.min(at)..at].trim_end();
    let line = before
        .rfind(['\n', '\r'])
        .map_or(0, |line_break| line_break + 1);
    let mut is_separate = true;
    for (position, character) in before[line..].char_indices() {
        match character {
            '|' | '>' if is_separate => return floor + line + position,
            '#' if is_separate => break,
            _ => is_separate = matches!(character, ' ' | '\t' | '\u{feff}'),
        }
    }
    // Without any content the parser names the mark itself.
    at
}

/// The end of a block scalar's last line that is not blank, its line break included.
pub(super) fn block_end(source: &str, start: usize, end: usize) -> usize {
    let text = &source[start..end.max(start)];
    let content = text.trim_end_matches([' ', '\t', '\r', '\n']).len();
    let blank = &text[content..];
    let line_break = match blank.find(['\r', '\n']) {
        Some(at) if blank[at..].starts_with("\r\n") => at + 2,
        Some(at) => at + 1,
        None => blank.len(),
    };
    start + content + line_break
}

/// The `#` of a comment within a text without quotes.
pub(super) fn comment(text: &str) -> Option<usize> {
    text.match_indices('#')
        .map(|(at, _)| at)
        .find(|&at| text[..at].ends_with([' ', '\t', '\r', '\n']))
}

/// How many characters stand before an offset in its line.
pub(super) fn column(source: &str, at: usize) -> usize {
    let start = source[..at]
        .rfind('\n')
        .map_or(0, |line_feed| line_feed + 1);
    source[start..at]
        .trim_start_matches('\u{feff}')
        .chars()
        .count()
}

/// The first character of a line that is no space.
fn line_content(source: &str, at: usize) -> usize {
    let start = source[..at]
        .rfind(['\n', '\r'])
        .map_or(0, |line_break| line_break + 1);
    start
        + source[start..]
            .bytes()
            .take_while(|&byte| byte == b' ')
            .count()
}

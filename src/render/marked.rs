//! Text that did not come from us, within Markdown: nothing in it is markup, a link, a mention, a reference or HTML.
//!
//! Services look for mentions and references in what is rendered, where no escape holds: only code spans do.

use crate::render::clean;

/// What is markup in Markdown as it stands, or takes part in it.
const PUNCTUATION: [char; 13] = [
    '\\', '`', '*', '_', '{', '}', '[', ']', '#', '!', '~', '$', '^',
];

/// What begins a mention, a reference, a formula or an entity where a letter, a digit or a quote follows.
const SIGNS: [char; 9] = ['#', '!', '$', '%', '&', '^', '~', '*', '='];

/// What begins a link where it stands.
const LINKS: [&str; 4] = ["//", "www.", "mailto:", "xmpp:"];

/// So many hexadecimal digits in a row may name a commit.
const SHORTEST_COMMIT: usize = 7;

/// A text in one line, inert in a paragraph, a list or a cell of a table.
///
/// Word by word: what could be a mention, a reference or a link becomes a code span, the rest is escaped.
pub(crate) fn text(raw: &str) -> String {
    let cleaned = clean::text(raw);
    let mut marked = String::with_capacity(cleaned.len() + 16);
    for piece in cleaned.split_inclusive([' ', '|']) {
        let (word, divider) = match piece.strip_suffix('|') {
            Some(word) => (word, "&#124;"),
            None => match piece.strip_suffix(' ') {
                Some(word) => (word, " "),
                None => (piece, ""),
            },
        };
        // A colon behind a reference is the sentence's.
        let named = word.strip_suffix(':').filter(|named| is_reference(named));
        if let Some(named) = named {
            marked.push_str(&code(named));
            marked.push(':');
        } else if is_reference(word) {
            marked.push_str(&code(word));
        } else {
            push_escaped(&mut marked, word);
        }
        marked.push_str(divider);
    }
    marked
}

fn push_escaped(marked: &mut String, word: &str) {
    for letter in word.chars() {
        match letter {
            '<' => marked.push_str("&lt;"),
            '>' => marked.push_str("&gt;"),
            '&' => marked.push_str("&amp;"),
            letter if PUNCTUATION.contains(&letter) => marked.extend(['\\', letter]),
            letter => marked.push(letter),
        }
    }
}

/// Whether a service could take a word, or a part of it, for a mention, a reference, a link, a formula or a picture.
fn is_reference(word: &str) -> bool {
    let lower = word.to_lowercase();
    let has_sign = || {
        let mut pairs = word.chars().zip(word.chars().skip(1));
        pairs.any(|(sign, next)| {
            SIGNS.contains(&sign) && (next.is_alphanumeric() || matches!(next, '"' | '\'' | '$'))
        })
    };
    let is_named_number = || {
        let mut behind = lower.split("gh-").skip(1);
        behind.any(|behind| behind.starts_with(|digit: char| digit.is_ascii_digit()))
    };
    let is_picture = || {
        let mut parts = word.split(':').skip(1).peekable();
        std::iter::from_fn(|| parts.next().filter(|_| parts.peek().is_some()))
            .any(|part| !part.is_empty())
    };
    let has_commit = || {
        word.split(|letter: char| !letter.is_ascii_hexdigit())
            .any(|digits| SHORTEST_COMMIT <= digits.len())
    };
    word.contains('@')
        || LINKS.iter().any(|link| lower.contains(link))
        || has_sign()
        || is_named_number()
        || is_picture()
        || has_commit()
}

/// A text as a code span in one line, shortened where it has more characters than `most`.
///
/// Not for a cell of a table where the text may have `|`: see [`cell_span`].
pub(crate) fn span(raw: &str, most: usize) -> String {
    code(&shortened(raw, most))
}

/// The same for a cell of a table: what stands between `|` is a span each.
pub(crate) fn cell_span(raw: &str, most: usize) -> String {
    let text = shortened(raw, most);
    let parts: Vec<String> = text.split('|').map(code).collect();
    parts.join("&#124;")
}

fn shortened(raw: &str, most: usize) -> String {
    let cleaned = clean::text(raw);
    let mut text: String = cleaned.chars().take(most).collect();
    if text.len() < cleaned.len() {
        text.push('\u{2026}');
    }
    text
}

/// A text between more backticks than it has in a row.
fn code(text: &str) -> String {
    let longest = text
        .split(|letter| letter != '`')
        .map(str::len)
        .max()
        .unwrap_or_default();
    let fence = "`".repeat(longest + 1);
    // One space on either side belongs to the marks, not to the text; a text of nothing would be no span.
    let is_bare = !text.is_empty() && !text.starts_with(['`', ' ']) && !text.ends_with(['`', ' ']);
    let pad = if is_bare { "" } else { " " };
    format!("{fence}{pad}{text}{pad}{fence}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_span_holds_any_text() {
        for (raw, most, marked) in [
            ("heron", 9, "`heron`"),
            ("a`b", 9, "``a`b``"),
            ("``", 9, "``` `` ```"),
            (" a", 9, "`  a `"),
            ("a\nb", 9, r"`a\nb`"),
            ("heron", 3, "`her\u{2026}`"),
            ("", 9, "`  `"),
        ] {
            assert_eq!(span(raw, most), marked);
        }
        assert_eq!(cell_span("a|b", 9), "`a`&#124;`b`");
    }

    #[test]
    fn what_could_be_more_than_text_is_escaped_or_code() {
        for (raw, marked) in [
            (
                "nozzle 9 of 13: output is 15.95 ± 0.95 % below",
                "nozzle 9 of 13: output is 15.95 ± 0.95 % below",
            ),
            ("`35` needs <b>", r"\`35\` needs &lt;b&gt;"),
            ("a|b * [x](y)", r"a&#124;b \* \[x\](y)"),
            ("by @team, #12 or GH-3", "by `@team,` `#12` or `GH-3`"),
            ("by gh-,GH-12 and Gh-gh-3", "by `gh-,GH-12` and `Gh-gh-3`"),
            ("with HEAD~1: 2", "with `HEAD~1`: 2"),
            ("a@b|c@d", "`a@b`&#124;`c@d`"),
            ("see http://x.y www.x.y", "see `http://x.y` `www.x.y`"),
            ("ok :smile: 12:30:45", "ok `:smile:` `12:30:45`"),
            ("since 0123abc", "since `0123abc`"),
            ("R&D, 5 % &amp;", "`R&D,` 5 % `&amp;`"),
            ("$x$ !7 ~bug", "`$x$` `!7` `~bug`"),
        ] {
            assert_eq!(text(raw), marked, "{raw}");
        }
    }
}

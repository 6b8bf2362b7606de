//! Markup made of its parts. Text gets in by [`text`] or as the value of an attribute alone, and is escaped there.
//!
//! The markup is well-formed XML too, so that a test can read it back.

use crate::render::clean;

/// Finished markup.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Html(String);

/// A text, whatever is in it.
pub(super) fn text(raw: &str) -> Html {
    Html(escaped(raw))
}

/// An element with what is in it.
pub(super) fn element(tag: &'static str, inside: impl IntoIterator<Item = Html>) -> Html {
    with(tag, &[], inside)
}

/// An element of a class.
pub(super) fn of_class(
    tag: &'static str,
    class: &str,
    inside: impl IntoIterator<Item = Html>,
) -> Html {
    with(tag, &[("class", class)], inside)
}

/// An element with attributes.
pub(super) fn with(
    tag: &'static str,
    attributes: &[(&'static str, &str)],
    inside: impl IntoIterator<Item = Html>,
) -> Html {
    let mut out = format!("<{tag}");
    for (name, value) in attributes {
        out.extend([format!(" {name}=\"{}\"", escaped(value))]);
    }
    out.push('>');
    for part in inside {
        out.push_str(&part.0);
    }
    out.extend([format!("</{tag}>")]);
    // A row in a line, for whoever reads the source.
    if matches!(
        tag,
        "tr" | "h2" | "p" | "li" | "section" | "table" | "header" | "title"
    ) {
        out.push('\n');
    }
    Html(out)
}

/// An element that never holds anything.
pub(super) fn empty(tag: &'static str, attributes: &[(&'static str, &str)]) -> Html {
    let attributes = attributes.iter();
    let attributes = attributes.map(|(name, value)| format!(" {name}=\"{}\"", escaped(value)));
    Html(format!("<{tag}{}/>\n", attributes.collect::<String>()))
}

/// Style sheets are ours and have nothing to escape but the names in [`style_string`].
pub(super) fn style(sheet: &str) -> Html {
    Html(format!("<style>\n{}</style>\n", sheet.replace('<', "")))
}

/// A text as a string of a style sheet: whatever could end it, or the sheet, is written as a number.
pub(super) fn style_string(raw: &str) -> String {
    let cleaned = clean::text(raw);
    let letters = cleaned.chars().map(|letter| {
        if letter.is_ascii_alphanumeric() || " ,.-_".contains(letter) {
            letter.to_string()
        } else {
            format!("\\{:06x}", u32::from(letter))
        }
    });
    format!("\"{}\"", letters.collect::<String>())
}

impl FromIterator<Html> for Html {
    fn from_iter<I: IntoIterator<Item = Html>>(parts: I) -> Self {
        Self(parts.into_iter().map(|part| part.0).collect())
    }
}

impl Html {
    /// The whole page, behind what says that it is one.
    pub(super) fn page(self) -> String {
        format!("<!DOCTYPE html>\n{}\n", self.0)
    }
}

/// The one place where a text becomes markup.
fn escaped(raw: &str) -> String {
    let mut out = String::with_capacity(raw.len());
    for letter in clean::text(raw).chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            letter => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_becomes_markup() {
        let raw = "</td><script>\"'&amp;\u{1b}";
        let made = with("b", &[("title", raw)], [text(raw)]);
        let escaped = r"&lt;/td&gt;&lt;script&gt;&quot;&#39;&amp;amp;\u{1b}";
        assert_eq!(made.0, format!("<b title=\"{escaped}\">{escaped}</b>"));
        assert_eq!(
            style_string("a\"b\\</style>\n é"),
            "\"a\\000022b\\00005c\\00003c\\00002fstyle\\00003e\\00005cn \\0000e9\""
        );
    }
}

//! A text as a value of a record.

use crate::words::clean::is_invisible;

/// A text as one YAML value on one line, in quotes where a reader could take it for something else.
///
/// # Panics
/// Never: a text can always be written.
pub fn scalar(text: &str) -> String {
    let is_word = |word: &str| {
        let mut bytes = word.bytes();
        !word.is_empty() && bytes.all(|byte| byte.is_ascii_alphanumeric() || b"-_".contains(&byte))
    };
    let is_plain = text.starts_with(|letter: char| letter.is_ascii_alphabetic())
        && text.split(' ').all(is_word)
        && !SPECIAL_WORDS.contains(&text.to_ascii_lowercase().as_str());
    if is_plain {
        return text.to_owned();
    }
    if text.contains(is_invisible) {
        return escaped(text);
    }
    let options = serde_yaml::ser_options! { quote_all: true };
    let written = serde_yaml::to_string_with_options(&text, options);
    let written = written.expect("a text can always be written");
    written.trim_end_matches('\n').to_owned()
}

/// A text in double quotes with every letter written out that does not show, so that what is written is what is meant.
fn escaped(text: &str) -> String {
    let letters = text.chars().map(|letter| match letter {
        '"' | '\\' => format!("\\{letter}"),
        _ if is_invisible(letter) => format!("\\U{:08x}", u32::from(letter)),
        _ => letter.to_string(),
    });
    let letters: String = letters.collect();
    format!("\"{letters}\"")
}

/// What readers of YAML 1.1 take for something else than a text.
const SPECIAL_WORDS: [&str; 9] = ["y", "n", "yes", "no", "on", "off", "true", "false", "null"];

#[cfg(test)]
mod tests {
    use super::scalar;
    use crate::source::FileId;
    use crate::yaml::{self, Value};

    #[test]
    fn any_text_is_read_back_as_itself() {
        for text in [
            "left",
            "far left",
            "on",
            "NO",
            "12",
            "012",
            "1e3",
            "1:30",
            "~",
            "null",
            "",
            "a: b",
            "a #b",
            "#b",
            "it's",
            "a \"b\" \\",
            "-",
            "- a",
            "é",
            "[a",
            "a, b",
            "&a",
            "a\nb",
            "a\tb",
            "\u{7}",
            " a ",
            "a  b",
            "a ",
            "fill meter",
            "no - it",
            "a\u{2028}b",
            "a \u{202e}\"b\\",
            "growth\u{200b} regulator",
        ] {
            let line = format!("key: [{}]", scalar(text));
            assert!(!line.contains('\n'), "{line:?}");
            let parsed = yaml::parse(FileId(0), &line);
            let item = parsed
                .tree
                .root()
                .unwrap()
                .get("key")
                .unwrap()
                .items()
                .next();
            assert_eq!(item.unwrap().value(), Some(Value::Text(text)), "{line}");
        }
        assert_eq!(scalar("far-left_2"), "far-left_2");
    }
}

//! Text from a record made harmless for one line of any output.
//!
//! Escapes for no particular format: a renderer does that on top.

use crate::quantity::invisible::is_invisible;
use std::borrow::Cow;

/// The text with everything that moves, hides or reorders what is printed written out as an escape.
///
/// Control characters, line breaks, bidirectional controls, zero-width and other invisible characters
/// become `\n`, `\t` or `\u{202e}`; all else stays as it is.
pub fn clean(text: &str) -> Cow<'_, str> {
    if !text.contains(is_invisible) {
        return Cow::Borrowed(text);
    }
    let mut cleaned = String::with_capacity(text.len() + 16);
    for letter in text.chars() {
        match letter {
            '\n' => cleaned.push_str("\\n"),
            '\r' => cleaned.push_str("\\r"),
            '\t' => cleaned.push_str("\\t"),
            hostile if is_invisible(hostile) => cleaned.extend(hostile.escape_unicode()),
            harmless => cleaned.push(harmless),
        }
    }
    Cow::Owned(cleaned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_does_not_show_is_written_out() {
        for (text, cleaned) in [
            ("heron", "heron"),
            ("36.5\u{a0}fl oz", "36.5\u{a0}fl oz"),
            ("µ, °, ², 针, \u{1f426}", "µ, °, ², 针, \u{1f426}"),
            ("C:\\new", "C:\\new"),
            ("two\nlines", r"two\nlines"),
            ("a\r\n\tb", r"a\r\n\tb"),
            ("\u{1b}[31mred", r"\u{1b}[31mred"),
            ("\u{9b}31mred", r"\u{9b}31mred"),
            (
                "bell\u{7}, delete\u{7f}, nothing\0",
                r"bell\u{7}, delete\u{7f}, nothing\u{0}",
            ),
            ("ok\u{202e}ko", r"ok\u{202e}ko"),
            ("\u{2066}a\u{2069}", r"\u{2066}a\u{2069}"),
            (
                "ze\u{200b}ro\u{200d}\u{feff}",
                r"ze\u{200b}ro\u{200d}\u{feff}",
            ),
            (
                "next\u{85}line\u{2028}para\u{2029}",
                r"next\u{85}line\u{2028}para\u{2029}",
            ),
            ("soft\u{ad}hyphen", r"soft\u{ad}hyphen"),
            ("tag\u{e0041}", r"tag\u{e0041}"),
            ("filler\u{3164}", r"filler\u{3164}"),
        ] {
            assert_eq!(clean(text), cleaned);
        }
        assert!(matches!(clean("heron"), Cow::Borrowed(_)));
    }

    proptest! {
        #[test]
        fn every_control_and_format_character_is_written_out(text in r"[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]{1,8}") {
            prop_assert!(clean(&text).is_ascii());
        }

        #[test]
        fn characters_that_may_be_ignored_are_written_out(text in r"\p{Default_Ignorable_Code_Point}{1,8}") {
            prop_assert!(clean(&text).is_ascii());
        }

        #[test]
        fn letters_and_signs_stay(text in r"[\p{L}\p{Nd}\p{P}\p{Sc}\p{Sm} ]{0,40}") {
            let shown: String = text.chars().filter(|letter| !is_invisible(*letter)).collect();
            prop_assert_eq!(clean(&shown), &*shown);
        }

        #[test]
        fn cleaned_is_clean(text in any::<String>()) {
            let cleaned = clean(&text).into_owned();
            prop_assert_eq!(clean(&cleaned), &*cleaned);
        }
    }
}

//! Texts with slots in braces: `{nozzle}: output is {found} off`.

/// A piece of a text: words as they are, or the name of a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Piece<'t> {
    /// Words.
    Words(&'t str),
    /// A slot's name.
    Slot(&'t str),
}

/// A brace that opens nothing or closes nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StrayBrace;

/// The pieces of a text, in their order.
///
/// # Errors
/// Where a brace is left over.
pub fn pieces(text: &str) -> Result<Vec<Piece<'_>>, StrayBrace> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some((words, behind)) = rest.split_once('{') {
        let (name, behind) = behind.split_once('}').ok_or(StrayBrace)?;
        if words.contains('}') || name.contains('{') {
            return Err(StrayBrace);
        }
        if !words.is_empty() {
            pieces.push(Piece::Words(words));
        }
        pieces.push(Piece::Slot(name));
        rest = behind;
    }
    if rest.contains('}') {
        return Err(StrayBrace);
    }
    if !rest.is_empty() {
        pieces.push(Piece::Words(rest));
    }
    Ok(pieces)
}

/// A text with its slots filled; one with a stray brace stays as it is.
pub fn filled(text: &str, mut fill: impl FnMut(&str) -> String) -> String {
    let Ok(pieces) = pieces(text) else {
        return text.to_owned();
    };
    pieces
        .into_iter()
        .map(|piece| match piece {
            Piece::Words(words) => words.to_owned(),
            Piece::Slot(name) => fill(name),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slots_stand_between_words() {
        let rows: [(&str, &[Piece<'_>]); 4] = [
            ("", &[]),
            ("no slot", &[Piece::Words("no slot")]),
            ("{a}{b}", &[Piece::Slot("a"), Piece::Slot("b")]),
            (
                "at {a}: {b} high",
                &[
                    Piece::Words("at "),
                    Piece::Slot("a"),
                    Piece::Words(": "),
                    Piece::Slot("b"),
                    Piece::Words(" high"),
                ],
            ),
        ];
        for (text, expected) in rows {
            assert_eq!(pieces(text).as_deref(), Ok(expected), "{text}");
        }
    }

    #[test]
    fn braces_stand_in_pairs() {
        for text in ["{", "}", "{a", "a}", "}a{", "{a{b}", "{a}}"] {
            assert_eq!(pieces(text), Err(StrayBrace), "{text}");
            assert_eq!(filled(text, |_| "x".to_owned()), text);
        }
    }

    #[test]
    fn what_fills_a_slot_is_no_text_with_slots() {
        assert_eq!(filled("{a} b", |name| format!("{{{name}}}")), "{a} b");
    }
}

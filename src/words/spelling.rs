//! Near misses: the word that was probably meant.

use super::phrases;

/// The one candidate that `word` is probably a slip of the pen for; none where two are as near.
///
/// Stands on the same measure as the spellings of units: case, spaces, underscores and hyphens do not
/// count, and longer words may have more slips in them.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    crate::quantity::spelling::nearest(
        word,
        candidates
            .into_iter()
            .map(|candidate| (candidate, candidate)),
    )
}

/// How many letters two words have between the ends they share: a slip of the pen leaves few, and they are fast to count.
fn unlike(word: &str, other: &str) -> usize {
    let longest = word.len().max(other.len());
    let alike = |(one, other): &(u8, u8)| one.eq_ignore_ascii_case(other);
    let at_start = word.bytes().zip(other.bytes()).take_while(alike).count();
    let left = word.len().min(other.len()) - at_start;
    let from_end = word.bytes().rev().zip(other.bytes().rev()).take(left);
    longest - at_start - from_end.take_while(alike).count()
}

/// Known names in the order they are told: a few as they come, of many those first that are spelled most like `word`.
pub fn nearest_first<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let mut known: Vec<&str> = known.into_iter().collect();
    if known.len() > phrases::MOST_NAMED {
        known.sort_by_cached_key(|name| unlike(word, name));
    }
    known
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_many_names_the_nearest_stand_first() {
        assert_eq!(nearest_first("ko", ["rm", "ko-2"]), ["rm", "ko-2"]);
        let names: Vec<String> = (0..12).map(|at| format!("gauge-{at}")).collect();
        let names = names.iter().map(String::as_str).chain(["jug-1", "jug-2"]);
        assert_eq!(
            nearest_first("jug-3", names)[..5],
            ["jug-1", "jug-2", "gauge-3", "gauge-0", "gauge-1"]
        );
    }

    #[test]
    fn near_misses() {
        let keys = [
            "pressure",
            "duration",
            "jug",
            "unit",
            "caught",
            "known-volume",
            "known-by",
            "shown",
            "factor",
            "off",
        ];
        for (word, meant) in [
            ("presure", Some("pressure")),
            ("pressrue", Some("pressure")),
            ("Pressure", Some("pressure")),
            ("presssurre", Some("pressure")),
            ("known_volume", Some("known-volume")),
            ("knownvolume", Some("known-volume")),
            ("caugth", Some("caught")),
            ("jgu", Some("jug")),
            ("jugs", Some("jug")),
            ("units", Some("unit")),
            ("jg", None),
            ("of", None),
            ("speed", None),
            ("", None),
            ("p", None),
        ] {
            assert_eq!(nearest(word, keys), meant, "{word}");
        }
        assert_eq!(nearest("sat", ["set", "sit"]), None, "two are as near");
        assert_eq!(nearest("sat", ["set", "set"]), Some("set"));
        assert_eq!(nearest(&"pressure".repeat(20), keys), None);
        assert_eq!(nearest("pressure", []), None);
    }
}

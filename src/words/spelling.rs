//! Near misses: the word that was probably meant.

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

#[cfg(test)]
mod tests {
    use super::*;

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

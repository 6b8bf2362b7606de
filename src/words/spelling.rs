//! Near misses: the word that was probably meant.

/// The one candidate that `word` is probably a slip of the pen for; none where two are as near.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    crate::quantity::spelling::nearest(
        word,
        candidates
            .into_iter()
            .map(|candidate| (candidate, candidate)),
    )
}

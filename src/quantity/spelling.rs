//! How near two words are: the lowest module that needs it has it.

/// Words longer than this are nobody's slip of the pen, and measuring them would cost.
const LONGEST_WORD: usize = 64;

/// What the one candidate stands for that `word` is probably a slip of the pen for.
///
/// Case, spaces, underscores and hyphens do not count. One slip (a letter wrong, missing, too many, or
/// two swapped) is allowed in a word of three letters, two from six on, three from twelve on. None where
/// candidates that stand for different things are as near.
pub(crate) fn nearest<'a, T: PartialEq>(
    word: &str,
    candidates: impl IntoIterator<Item = (&'a str, T)>,
) -> Option<T> {
    let word = plain(word);
    let slips = match word.chars().count() {
        0..=2 => 0,
        3..=5 => 1,
        6..=11 => 2,
        12..=LONGEST_WORD => 3,
        _ => return None,
    };
    let mut best: Option<(usize, T)> = None;
    let mut is_unique = true;
    for (candidate, meaning) in candidates {
        if candidate.len() > 4 * LONGEST_WORD {
            continue;
        }
        let distance = strsim::osa_distance(&word, &plain(candidate));
        match &best {
            Some((least, _)) if *least < distance => {}
            Some((least, other)) if *least == distance => is_unique &= *other == meaning,
            Some(_) | None => (best, is_unique) = (Some((distance, meaning)), true),
        }
    }
    best.filter(|(distance, _)| is_unique && *distance <= slips)
        .map(|(_, meaning)| meaning)
}

fn plain(word: &str) -> String {
    let hyphenated = word.chars().map(|letter| {
        if matches!(letter, '_' | ' ') {
            '-'
        } else {
            letter
        }
    });
    hyphenated.flat_map(char::to_lowercase).collect()
}

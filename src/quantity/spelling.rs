//! How near two words are: the lowest module that needs it has it.

/// Words longer than this are nobody's slip of the pen, and measuring them would cost.
const LONGEST_WORD: usize = 64;

/// The one candidate that `word` is probably a slip of the pen for; none where two are as near.
///
/// Case, spaces, underscores and hyphens do not count. One slip (a letter wrong, missing, too many, or
/// two swapped) is allowed in a word of three letters, two from six on, three from twelve on.
pub(crate) fn nearest<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let word = plain(word);
    let slips = match word.chars().count() {
        0..=2 => 0,
        3..=5 => 1,
        6..=11 => 2,
        12..=LONGEST_WORD => 3,
        _ => return None,
    };
    let mut best: Option<(usize, &str)> = None;
    let mut is_unique = false;
    for candidate in candidates {
        let distance = strsim::osa_distance(&word, &plain(candidate));
        match best {
            Some((least, _)) if least < distance => {}
            Some((least, name)) if least == distance => is_unique &= name == candidate,
            Some(_) | None => (best, is_unique) = (Some((distance, candidate)), true),
        }
    }
    best.filter(|&(distance, _)| is_unique && distance <= slips)
        .map(|(_, candidate)| candidate)
}

fn plain(word: &str) -> String {
    word.chars()
        .map(|letter| {
            if matches!(letter, '_' | ' ') {
                '-'
            } else {
                letter
            }
        })
        .flat_map(char::to_lowercase)
        .collect()
}

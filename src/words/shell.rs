//! A text as one word of a shell.

/// A word as a shell takes it: as it is where it is plain, else in quotes.
///
/// ```
/// # use swathlint::words::shell::quoted;
/// assert_eq!(quoted("heron"), "heron");
/// assert_eq!(quoted("our records"), "'our records'");
/// ```
pub fn quoted(word: &str) -> String {
    let is_plain = |letter: char| letter.is_ascii_alphanumeric() || "/._-".contains(letter);
    if !word.is_empty() && word.chars().all(is_plain) {
        word.to_owned()
    } else {
        format!("'{}'", word.replace('\'', r"'\''"))
    }
}

//! Characters that do not show: the lowest module that meets them knows them.

/// Whether a character moves, hides or reorders what is printed, or shows as nothing.
///
/// Controls, format characters (bidirectional controls, zero-width ones, tags, soft hyphens), line and
/// paragraph separators, fillers and variation selectors. Spaces of any width are not among them.
pub(crate) fn is_invisible(letter: char) -> bool {
    letter.is_control()
        || RANGES
            .binary_search_by(|range| {
                if range.1 < letter {
                    std::cmp::Ordering::Less
                } else if letter < range.0 {
                    std::cmp::Ordering::Greater
                } else {
                    std::cmp::Ordering::Equal
                }
            })
            .is_ok()
}

/// First and last of each run, in order: general categories Cf, Zl and Zp of Unicode 16, and the other
/// characters with its property `Default_Ignorable_Code_Point`.
static RANGES: [(char, char); 25] = [
    ('\u{ad}', '\u{ad}'),
    ('\u{34f}', '\u{34f}'),
    ('\u{600}', '\u{605}'),
    ('\u{61c}', '\u{61c}'),
    ('\u{6dd}', '\u{6dd}'),
    ('\u{70f}', '\u{70f}'),
    ('\u{890}', '\u{891}'),
    ('\u{8e2}', '\u{8e2}'),
    ('\u{115f}', '\u{1160}'),
    ('\u{17b4}', '\u{17b5}'),
    ('\u{180b}', '\u{180f}'),
    ('\u{200b}', '\u{200f}'),
    ('\u{2028}', '\u{202e}'),
    ('\u{2060}', '\u{206f}'),
    ('\u{3164}', '\u{3164}'),
    ('\u{fe00}', '\u{fe0f}'),
    ('\u{feff}', '\u{feff}'),
    ('\u{ffa0}', '\u{ffa0}'),
    ('\u{fff0}', '\u{fffb}'),
    ('\u{110bd}', '\u{110bd}'),
    ('\u{110cd}', '\u{110cd}'),
    ('\u{13430}', '\u{1343f}'),
    ('\u{1bca0}', '\u{1bca3}'),
    ('\u{1d173}', '\u{1d17a}'),
    ('\u{e0000}', '\u{e0fff}'),
];

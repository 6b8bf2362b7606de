//! The key that a person meant by another word: by its meaning first, then by its spelling.

use crate::words::spelling;

/// What people write for a key, and the keys it may mean, likeliest first: common practice, no source.
///
/// No word of it is a key itself (`tests/fast/schemas.rs`).
pub const MEANINGS: [(&str, &[&str]); 60] = [
    ("acreage", &["area"]),
    ("acres", &["area"]),
    ("actual", &["known-volume"]),
    ("applicator", &["by"]),
    ("bottle", &["jug"]),
    ("catches", &["caught"]),
    ("collected", &["caught"]),
    ("comment", &["notes"]),
    ("comments", &["notes"]),
    ("container", &["jug"]),
    ("cup", &["jug"]),
    ("cylinder", &["jug"]),
    ("day", &["date"]),
    ("description", &["notes"]),
    ("display", &["shown"]),
    ("displayed", &["shown"]),
    ("done-by", &["by"]),
    ("end", &["until", "to", "after"]),
    ("engine-hours", &["hours"]),
    ("equipment", &["machine"]),
    ("expires", &["until"]),
    ("gallons", &["known-volume", "water", "volume"]),
    ("gpa", &["rate"]),
    ("gpm", &["flow"]),
    ("hourmeter", &["hours"]),
    ("indicated", &["shown"]),
    ("initials", &["by"]),
    ("length", &["distance"]),
    ("meter", &["hours"]),
    ("meter-hours", &["hours"]),
    ("mph", &["speed", "entered-speed"]),
    ("new", &["after", "to"]),
    ("nozzle-size", &["size"]),
    ("nozzle-spacing", &["spacing"]),
    ("old", &["before", "from"]),
    ("operator", &["by"]),
    ("ounces", &["caught"]),
    ("outputs", &["caught"]),
    ("person", &["by"]),
    ("psi", &["pressure", "boom-end-pressure"]),
    ("quantity", &["amount"]),
    ("reading", &["caught", "shown"]),
    ("readings", &["caught"]),
    ("remarks", &["notes"]),
    ("rig", &["machine"]),
    ("seconds", &["duration", "elapsed"]),
    ("sprayed", &["volume"]),
    ("sprayer", &["machine"]),
    ("start", &["from", "before"]),
    ("stop", &["until", "to", "after"]),
    ("tank-size", &["tank"]),
    ("tank-volume", &["volume", "tank"]),
    ("technician", &["by"]),
    ("time", &["duration", "elapsed"]),
    ("timer", &["watch", "stopwatch"]),
    ("tip", &["nozzle", "size"]),
    ("tip-size", &["size"]),
    ("uom", &["unit"]),
    ("values", &["caught"]),
    ("width", &["entered-width", "spacing"]),
];

/// The one of `keys` that is probably meant by a word.
pub(super) fn meant<'k>(word: &str, keys: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let keys: Vec<&str> = keys.into_iter().collect();
    let plain = word.trim().to_lowercase().replace(['_', ' '], "-");
    let mut rows = MEANINGS.iter();
    let means = rows.find(|(written, _)| *written == plain);
    let means = means.into_iter().flat_map(|(_, means)| means.iter());
    let mut by_meaning = means.filter_map(|key| keys.iter().find(|known| *known == key));
    match by_meaning.next() {
        Some(key) => Some(key),
        None => spelling::nearest(word, keys),
    }
}

//! A factor of the console worked out on paper: what was shown against what was true.

use super::lines::{lines, shares};
use super::piece::{Piece, blank, boxes, named, paragraph};
use crate::draft::{Entry, FactorMeaning, Part};
use crate::procedure::FactorTimes;
use crate::quantity::Quantity;
use crate::words::phrases::shortened;

/// What a factor is worked out from, in words.
pub(super) struct Compared {
    /// What the console shows.
    pub(super) shown: &'static str,
    /// What it should show.
    pub(super) known: &'static str,
    /// What a factor of pulses is.
    pub(super) pulses_per: &'static str,
    /// What its inverse is.
    pub(super) per_pulse: &'static str,
}

/// From where to where the console must show: in shares of what is known and, where one is known beforehand, for that value.
pub(super) fn limit(part: &Part, compared: &Compared, before: Option<Quantity>) -> Option<Piece> {
    let ratios = part.ratios?;
    let (low, high) = shares(ratios)?;
    let Compared { shown, known, .. } = compared;
    let mut words = format!("Right: {shown} {low} to {high} × {known}");
    if let Some(before) = before
        && let Some((low, high)) = lines(before.decimal.to_f64(), ratios)
    {
        words.extend([format!("; {before}: {low} to {high}")]);
    }
    Some(paragraph("target", &(words + ".")))
}

/// The boxes in which the new factor is worked out, with the old one filled in.
pub(super) fn working(
    meaning: &FactorMeaning,
    [before, after]: [Option<&Entry>; 2],
    compared: &Compared,
) -> Piece {
    let Compared {
        shown,
        known,
        pulses_per,
        per_pulse,
    } = compared;
    let old = before.and_then(|entry| entry.usual.clone());
    let old = old.or_else(|| meaning.last.clone()).unwrap_or_default();
    let (first, second) = match meaning.change {
        Some(FactorTimes::ShownOverKnown) => (format!("× {shown}"), format!("÷ {known}")),
        Some(FactorTimes::KnownOverShown) => (format!("× {known}"), format!("÷ {shown}")),
        // The machine file does not say: the console does.
        None => (
            format!("{pulses_per}: old × {shown} ÷ {known}"),
            format!("{per_pulse}: old × {known} ÷ {shown}"),
        ),
    };
    let unit = meaning.unit.as_deref();
    let label = unit.map_or_else(|| "old factor".to_owned(), |unit| format!("old, {unit}"));
    let box_of = |entry: Option<&Entry>, label: &str, known: &str| match entry {
        Some(entry) => named(entry, label, known),
        None => blank(label, known),
    };
    let working = vec![
        box_of(before, &label, &shortened(&old, 16)),
        blank(&first, ""),
        blank(&second, ""),
        box_of(after, "= new factor, entered", ""),
    ];
    boxes(working, 4)
}

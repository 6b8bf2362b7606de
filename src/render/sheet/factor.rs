//! A factor of the console worked out on paper: what was shown against what was true.

use super::lines::{lines, shares};
use super::piece::{Piece, blank, boxes, named, paragraph, to_do};
use crate::draft::{Entry, FactorMeaning, Part, ROUNDS};
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
    /// What to do where it shows something else.
    pub(super) off: &'static str,
    /// What to do where it did so twice, without what is entered.
    pub(super) off_twice: [&'static str; 2],
}

/// How much is on the sheet of a test that leads to a factor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Extent {
    /// Three tests, and boxes in which the factor is worked out.
    Whole,
    /// Three tests, and how the factor is worked out in words.
    NoBoxes,
    /// The first test.
    First,
}

impl Extent {
    /// How the tests are called that have room.
    pub(super) fn tests(self) -> &'static [&'static str] {
        const TESTS: [&str; ROUNDS] = ["as found", "again", "corrected"];
        match self {
            Self::Whole | Self::NoBoxes => &TESTS,
            Self::First => &TESTS[..1],
        }
    }
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

/// What to do where the console shows something else: what to check, when to correct the factor, and how it is worked out.
///
/// The factor is that of the second test: only two tests that agree correct one.
pub(super) fn put_right(
    meaning: &FactorMeaning,
    entries: [Option<&Entry>; 2],
    compared: &Compared,
    extent: Extent,
) -> Option<Piece> {
    let [before_it, behind_it] = compared.off_twice;
    let to_do = |entered: &str| {
        let corrected = format!("{before_it} enter {entered}, {behind_it}.");
        to_do(&[compared.off.to_owned(), corrected])
    };
    match extent {
        Extent::Whole => {
            let working = working(meaning, entries, compared);
            Some([working, to_do("the new factor")].into_iter().collect())
        }
        Extent::NoBoxes => Some(to_do(&in_words(meaning, compared))),
        Extent::First => None,
    }
}

/// What the factor is multiplied by and divided by.
fn change(times: FactorTimes, compared: &Compared) -> [&'static str; 2] {
    match times {
        FactorTimes::ShownOverKnown => [compared.shown, compared.known],
        FactorTimes::KnownOverShown => [compared.known, compared.shown],
    }
}

/// How the new factor is worked out from the old one; in two ways where the machine file does not say what it means.
fn sums(compared: &Compared, old: &str) -> [(&'static str, String); 2] {
    let both = [
        (compared.pulses_per, FactorTimes::ShownOverKnown),
        (compared.per_pulse, FactorTimes::KnownOverShown),
    ];
    both.map(|(kind, times)| {
        let [times, over] = change(times, compared);
        (kind, format!("{old} × {times} ÷ {over}"))
    })
}

fn in_words(meaning: &FactorMeaning, compared: &Compared) -> String {
    if let Some(times) = meaning.change {
        let [times, over] = change(times, compared);
        return format!("factor × {times} ÷ {over}");
    }
    let both = sums(compared, "factor").map(|(kind, sum)| format!("{sum} {kind}"));
    both.join(", ")
}

/// The boxes in which the new factor is worked out, with the old one filled in.
fn working(
    meaning: &FactorMeaning,
    [before, after]: [Option<&Entry>; 2],
    compared: &Compared,
) -> Piece {
    let old = meaning.last.clone().unwrap_or_default();
    let [first, second] = match meaning.change.map(|times| change(times, compared)) {
        Some([times, over]) => [format!("× {times}"), format!("÷ {over}")],
        // The machine file does not say: the console does.
        None => sums(compared, "old").map(|(kind, sum)| format!("{kind}: {sum}")),
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

//! A piece of the sheet: its markup, and how much room it takes at most.

use super::html::{Html, element, of_class, text, with};
use crate::draft::Entry;
use crate::draft::Kind;
use crate::words::phrases;

/// Lengths on paper, in tenths of a millimeter.
pub(super) type Tenths = usize;

/// A line of small text.
pub(super) const LINE: Tenths = 32;

/// So many letters of small text are sure to fit into a line of a column.
pub(super) const LETTERS: usize = 64;

/// So many fit across the page.
pub(super) const LETTERS_ACROSS: usize = 122;

/// Boxes with their labels stand in one row.
pub(super) const BOXES: Tenths = 97;

/// Words to circle stand in one line.
pub(super) const CIRCLES: Tenths = 52;

/// The head of a table.
pub(super) const TABLE_HEAD: Tenths = 72;

/// Markup, and how much room it takes: what is fixed, and rows to write in, of which each is as high as the page allows.
#[derive(Debug, Clone, Default)]
pub(super) struct Piece {
    pub(super) html: Html,
    pub(super) fixed: Tenths,
    pub(super) rows: usize,
}

impl Piece {
    pub(super) fn new(html: Html, fixed: Tenths, rows: usize) -> Self {
        Self { html, fixed, rows }
    }
}

impl FromIterator<Piece> for Piece {
    fn from_iter<I: IntoIterator<Item = Self>>(pieces: I) -> Self {
        let mut all = Self::default();
        let mut parts = Vec::new();
        for piece in pieces {
            parts.push(piece.html);
            all.fixed += piece.fixed;
            all.rows += piece.rows;
        }
        all.html = parts.into_iter().collect();
        all
    }
}

/// A text in small letters, which runs over as many lines as it needs.
pub(super) fn paragraph(class: &str, words: &str) -> Piece {
    let height = high(words.chars().count());
    Piece::new(of_class("p", class, [text(words)]), height, 0)
}

/// How high so many small letters are.
pub(super) const fn high(letters: usize) -> Tenths {
    letters.div_ceil(LETTERS) * LINE + 3
}

/// What to do, one thing after another.
pub(super) fn to_do(things: &[String]) -> Piece {
    let lines = things
        .iter()
        .map(|thing| (thing.chars().count() + 4).div_ceil(LETTERS));
    let height = lines.sum::<usize>() * LINE + 3;
    let items = things.iter().map(|thing| element("li", [text(thing)]));
    Piece::new(of_class("ul", "do", items), height, 0)
}

/// Boxes beside each other, in as many rows as it takes.
pub(super) fn boxes(boxes: Vec<Html>, in_a_row: usize) -> Piece {
    let rows = boxes.len().div_ceil(in_a_row);
    let class = format!("boxes n{in_a_row}");
    Piece::new(of_class("div", &class, boxes), rows * BOXES, 0)
}

/// A box with what it is for, and what is known of it beforehand.
pub(super) fn blank(label: &str, known: &str) -> Html {
    of_class("div", "box", labels(label, known))
}

/// The box of a value under a label of its own.
pub(super) fn named(entry: &Entry, label: &str, known: &str) -> Html {
    let attributes = [("class", "box"), ("data-value", entry.key.as_str())];
    with("div", &attributes, labels(label, known))
}

/// A box as wide as two of a row, with words beside its label.
pub(super) fn wide(entry: Option<&Entry>, label: &str) -> Html {
    let key = entry.map_or("", |entry| entry.key.as_str());
    let known = entry.map_or_else(String::new, known);
    let attributes = [("class", "box two"), ("data-value", key)];
    with("div", &attributes, labels(label, &known))
}

fn labels(label: &str, known: &str) -> Vec<Html> {
    let known = (!known.is_empty()).then(|| of_class("small", "known", [text(known)]));
    let label = of_class("span", "label", [text(label)]);
    std::iter::once(label).chain(known).collect()
}

/// The box of a value.
pub(super) fn value(entry: &Entry) -> Html {
    named(entry, &labeled(entry, &entry.label), &known(entry))
}

/// A label with the unit behind it.
pub(super) fn labeled(entry: &Entry, label: &str) -> String {
    match entry.kind.unit_behind_label() {
        unit if unit.is_empty() => label.to_owned(),
        unit => format!("{label}, {unit}"),
    }
}

/// What is known of a value beforehand: its target, what is usual, words to circle, and what was read last.
pub(super) fn known(entry: &Entry) -> String {
    let mut known = Vec::new();
    if let Some(aim) = &entry.aim {
        known.push(format!("target {}", aim.target_shown()));
    }
    if let Some(usual) = &entry.usual {
        known.push(format!("usual {}", phrases::shortened(usual, 16)));
    } else if let Kind::OneOf(words) = entry.kind {
        known.push(words.join(" / "));
    }
    known.extend(last(entry));
    known.join("; ")
}

/// What was read last, as it stands beside a box.
pub(super) fn last(entry: &Entry) -> Option<String> {
    let last = entry.last.as_ref()?;
    // The unit stands in the label, or in the head of the column.
    let unit = format!(" {}", entry.kind.unit());
    let last = last.strip_suffix(&unit).unwrap_or(last);
    Some(format!("last {}", phrases::shortened(last, 16)))
}

/// The cell of a value in a table: empty, with what was read last in its corner.
pub(super) fn cell(entry: Option<&Entry>) -> Html {
    let is_first = |entry: &&Entry| entry.field.round().unwrap_or(0) == 0;
    let last = entry.filter(is_first).and_then(last);
    let last = last.map(|last| of_class("small", "known", [text(&last)]));
    match entry {
        Some(entry) => {
            let attributes = [("class", "box"), ("data-value", entry.key.as_str())];
            with("td", &attributes, last)
        }
        None => of_class("td", "box", last),
    }
}

/// The head of a column.
pub(super) fn column(words: &str) -> Html {
    with("th", &[("scope", "col")], [text(words)])
}

/// The head of a row.
pub(super) fn row(words: &str) -> Html {
    with("th", &[("scope", "row")], [text(words)])
}

/// A table with its head; what it is called is for whoever hears it.
pub(super) fn table(class: &str, caption: &str, columns: Vec<Html>, rows: Vec<Html>) -> Piece {
    let count = rows.len();
    let inside = [
        of_class("caption", "heard", [text(caption)]),
        element("thead", [element("tr", columns)]),
        element("tbody", rows),
    ];
    let html = of_class("table", class, inside);
    Piece::new(html, TABLE_HEAD, count)
}

/// Words to circle, in a line.
pub(super) fn circle(entry: &Entry) -> Piece {
    circles(std::iter::once(entry))
}

/// Words to circle, several values in a line; room to write where there may be others.
pub(super) fn circles<'e>(entries: impl Iterator<Item = &'e Entry>) -> Piece {
    let html = of_class("div", "circle", entries.flat_map(choices));
    Piece::new(html, CIRCLES, 0)
}

/// So many words to circle have room in a line.
const MOST_CHOICES: usize = 4;

fn choices(entry: &Entry) -> Vec<Html> {
    if entry.kind == Kind::YesNo {
        let attributes = [("class", "choice"), ("data-value", entry.key.as_str())];
        let words = text(&format!("□ {}", entry.label));
        return vec![with("span", &attributes, [words])];
    }
    let attributes = [("class", "what"), ("data-value", entry.key.as_str())];
    let label = text(&format!("{}:", entry.label));
    let mut words = vec![with("span", &attributes, [label])];
    words.extend(
        entry
            .kind
            .choices()
            .iter()
            .take(MOST_CHOICES)
            .map(|choice| of_class("span", "choice", [text(&phrases::shortened(choice, 20))])),
    );
    if matches!(entry.kind, Kind::Named(_) | Kind::List(_)) {
        words.push(of_class("span", "other", []));
    }
    words
}

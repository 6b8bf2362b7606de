//! Where a place stands in the sense of its record: the keys it lies under, with the items of lists by their own names.
//!
//! It stays the same where lines are added before it, and where another reading is edited.

use super::reader::renamed_words;
use crate::source::{FileId, Span};
use crate::yaml::{self, Node, Shape};

/// The keys by which items of lists name themselves; the first group whose first key an item has counts.
const NAMES: [&[&str]; 5] = [
    &["name"],
    &["rule", "machine", "record"],
    &["file"],
    &["from"],
    &["on"],
];

/// So many items of a list may name themselves; those behind go by their number. No list of a real record has as many.
const MOST_NAMED: usize = 1_000;

/// For each span of a text the keys and items it lies in, from the root inward: `/catch-tests/1/caught/right/3`.
///
/// Items that do not name themselves go by their number. Empty where no document can be read.
pub fn spots(file: FileId, text: &str, spans: &[Span]) -> Vec<String> {
    let mut parsed = yaml::parse(file, text);
    renamed_words(file, &mut parsed.tree);
    let root = parsed.tree.root();
    let spot = |span: &Span| {
        let mut spot = String::new();
        if let Some(root) = root {
            descend(root, *span, &mut spot);
        }
        spot
    };
    spans.iter().map(spot).collect()
}

fn descend(mut node: Node<'_>, span: Span, spot: &mut String) {
    loop {
        let (part, inner) = match node.shape() {
            Shape::Scalar => return,
            Shape::Mapping => {
                let mut entries = node.entries();
                let around = |(key, value): &(Node<'_>, Node<'_>)| {
                    key.span().contains(span) || value.span().contains(span)
                };
                let Some((key, value)) = entries.find(around) else {
                    return;
                };
                (key.text().unwrap_or_default().to_owned(), value)
            }
            Shape::Sequence => {
                let mut items = node.items().enumerate();
                let Some((at, item)) = items.find(|(_, item)| item.span().contains(span)) else {
                    return;
                };
                (name_of(node, at, item), item)
            }
        };
        spot.push('/');
        spot.push_str(&part.replace('~', "~0").replace('/', "~1"));
        node = inner;
    }
}

/// What an item of a list is called: by its own name, counted where others have it before; else by its number, from 1.
fn name_of(list: Node<'_>, at: usize, item: Node<'_>) -> String {
    let Some(name) = own_name(item).filter(|_| at < MOST_NAMED) else {
        return (at + 1).to_string();
    };
    let before = list.items().take(at);
    match before
        .filter(|other| own_name(*other).as_ref() == Some(&name))
        .count()
    {
        0 => name,
        n => format!("{name}#{}", n + 1),
    }
}

fn own_name(item: Node<'_>) -> Option<String> {
    let text = |key: &&str| item.get(key).and_then(Node::text);
    let group = NAMES
        .iter()
        .find(|group| group.first().and_then(text).is_some())?;
    let parts: Vec<&str> = group.iter().filter_map(text).collect();
    Some(parts.join(","))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spot_stays_where_lines_come_before_it() {
        let text =
            "record: calibration\ncatch-tests:\n  - unit: ml\n    caught: {right: [1.5, 2.5]}\n";
        let spot = |text: &str, of: &str| {
            let start = u32::try_from(text.find(of).unwrap()).unwrap();
            let end = start + u32::try_from(of.len()).unwrap();
            spots(FileId(0), text, &[Span::new(start, end)]).remove(0)
        };
        assert_eq!(spot(text, "2.5"), "/catch-tests/1/caught/right/2");
        assert_eq!(spot(text, "right"), "/catch-tests/1/caught/right");
        let moved = text.replace("catch-tests", "# a note\n\nby: rm\ncatch-tests");
        assert_eq!(spot(&moved, "2.5"), spot(text, "2.5"));
        let products = "tanks:\n  - products: [{name: a/b, amount: 7 gal}, {name: a/b, amount: 8 gal}, {amount: 9 gal}]\n";
        for (of, wanted) in [("7 gal", "a~1b"), ("8 gal", "a~1b#2"), ("9 gal", "3")] {
            assert_eq!(
                spot(products, of),
                format!("/tanks/1/products/{wanted}/amount")
            );
        }
        let waivers = "waivers: [{reason: x, rule: meter-off, machine: heron}]";
        assert_eq!(spot(waivers, "x"), "/waivers/meter-off,heron/reason");
        assert_eq!(spot("a: [\n", "["), "");
    }
}

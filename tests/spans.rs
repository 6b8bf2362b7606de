//! The tree and its spans: exact places, and properties that hold for any text.
#![cfg(test)]

use swathlint::source::FileId;
use swathlint::yaml::{self, Node};

/// Name, place (`document:pointer`, with `@key` for the key instead of the value), text with the expected span in «».
const CASES: &[(&str, &str, &str)] = &[
    ("plain", "1:/a", "a: «12.5»\nb: 1\n"),
    ("plain+comment", "1:/a", "a: «12.5»   # note\nb: 1\n"),
    ("plain with spaces", "1:/a", "a: «12.5 gal/ac»  \nb: 1\n"),
    ("plain at EOF no nl", "1:/a", "a: «12.5»"),
    ("multibyte key before", "1:/größe", "größe: «12.5»\n"),
    (
        "multibyte comment line before",
        "1:/b",
        "# °C µ 漢字 🚜\nb: «7»\n",
    ),
    ("multibyte value", "1:/a", "a: «14.5 °C»\nb: 1\n"),
    (
        "multibyte same flow",
        "1:/w/rh",
        "w: {temp: 14 °C, op: Ö, rh: «61»}\n",
    ),
    ("single quoted", "1:/a", "a: «'it''s'»\n"),
    ("double quoted esc", "1:/a", "a: «\"x\\u00e9\\ty\"» # c\n"),
    ("double quoted mb", "1:/a", "a: «\"J. Müller\"»\nb: 1\n"),
    (
        "double quoted multi-line",
        "1:/a",
        "a: «\"one\n  two\"»\nb: 1\n",
    ),
    ("plain multi-line", "1:/a", "a: «one\n  two»\nb: 1\n"),
    ("flow seq element", "1:/s/1", "s: [1.0, «2.0», 3.0]\n"),
    ("flow seq itself", "1:/s", "s: «[1.0, 2.0]»  # c\nb: 1\n"),
    ("flow map itself", "1:/m", "m: «{x: 1, y: 2}»\nb: 1\n"),
    (
        "flow seq multi-line",
        "1:/s",
        "s: «[1.0,\n  2.0,\n]»\nb: 1\n",
    ),
    (
        "flow map in block seq",
        "1:/n/0",
        "n:\n  - «{pos: 1, c: [1, 2]}»  # x\n  - {pos: 2}\n",
    ),
    ("block seq itself", "1:/s", "s:\n  «- 1\n  - 2»\nb: 1\n"),
    ("block map itself", "1:/m", "m:\n  «x: 1\n  y: 2»\nb: 1\n"),
    (
        "block map, comment after",
        "1:/m",
        "m:\n  «x: 1\n  y: 2»  # c\n# d\nb: 1\n",
    ),
    (
        "nested block map",
        "1:/m/k",
        "m:\n  k:\n    «x: 1\n    y: 2»\nb: 1\n",
    ),
    ("indentless seq", "1:/s", "s:\n«- 1\n- 2»\nb: 1\n"),
    ("block literal", "1:/t", "t: «|\n  one\n  two\n»b: 1\n"),
    (
        "block folded strip",
        "1:/t",
        "t: «>-\n  one\n  two\n»b: 1\n",
    ),
    (
        "block literal mb + comment",
        "1:/t",
        "t: «| # ü\n  °C\n»b: 1\n",
    ),
    ("key span", "1:/a@key", "«a»: 1\nb: 1\n"),
    ("key quoted", "1:/a b@key", "«\"a b\"»: 1\n"),
    ("after tab sep", "1:/a", "a:\t«1»\nb: 1\n"),
    ("tab before comment", "1:/a", "a: «1»\t# c\n"),
    ("CRLF plain", "1:/b", "a: 1\r\nb: «12.5»\r\nc: 1\r\n"),
    ("CRLF comment", "1:/b", "# c\r\nb: «12.5» # ü\r\nc: 1\r\n"),
    (
        "CRLF block literal",
        "1:/t",
        "t: «|\r\n  one\r\n  two\r\n»b: 1\r\n",
    ),
    (
        "CRLF after block literal",
        "1:/b",
        "t: |\r\n  one\r\n  two\r\nb: «1»\r\n",
    ),
    (
        "CRLF block map",
        "1:/m",
        "m:\r\n  «x: 1\r\n  y: 2»\r\nb: 1\r\n",
    ),
    ("BOM", "1:/a", "\u{feff}a: «12.5»\n"),
    ("BOM+comment", "1:/a", "\u{feff}# x\na: «12.5»\n"),
    ("empty value", "1:/a", "a:«»\nb: 1\n"),
    ("empty value + comment", "1:/a", "a:«» # none\nb: 1\n"),
    ("empty value last", "1:/b", "a: 1\nb:«»\n"),
    ("empty seq item", "1:/s/1", "s:\n  - 1\n  -«»\n  - 3\n"),
    ("empty flow val", "1:/m/x", "m: {x:«», y: 1}\n"),
    ("multi doc 2nd", "2:/b", "---\na: 1\n---\nb: «2»\n"),
    ("multi doc after ...", "2:/b", "a: 1\n...\n---\nb: «2»\n"),
    ("anchor", "1:/a", "a: &x «12.5»\nb: *x\n"),
    ("alias", "1:/b", "a: &x 12.5\nb: «*x»\n"),
    ("tag", "1:/a", "a: !!str «12.5»\n"),
    ("emoji before in flow", "1:/s/1", "s: [🚜🚜, «2.0»]\n"),
    ("combining chars", "1:/s/1", "s: [e\u{301}, «2.0»]\n"),
    ("NEL/LS inside", "1:/b", "a: \"x\u{2028}y\"\nb: «2»\n"),
    ("document root flow", "1:", "«[1, 2]»\n"),
    ("explicit key", "1:/a", "? a\n: «1»\n"),
    ("date", "1:/a", "a: «2026-03-14»\n"),
    ("url with # ", "1:/a", "a: «x#y»\n"),
];

fn node_at<'a>(tree: &'a yaml::Tree<'_>, place: &str) -> Node<'a> {
    let (document, pointer) = place.split_once(':').unwrap();
    let root = tree
        .documents()
        .nth(document.parse::<usize>().unwrap() - 1)
        .unwrap();
    match pointer.strip_suffix("@key") {
        None => root.at_pointer(pointer).unwrap(),
        Some(pointer) => {
            let (parent, key) = pointer.rsplit_once('/').unwrap();
            root.at_pointer(parent).unwrap().key(key).unwrap()
        }
    }
}

#[test]
fn spans_are_exact() {
    for (name, place, marked) in CASES {
        let start = marked.find('«').unwrap();
        let end = marked.find('»').unwrap() - '«'.len_utf8();
        let text = marked.replace(['«', '»'], "");
        let parsed = yaml::parse(FileId(0), &text);
        let span = node_at(&parsed.tree, place).span();
        assert_eq!(span.range(), start..end, "{name}: {text:?}");
    }
}

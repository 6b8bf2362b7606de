//! The tree and its spans: exact places, properties that hold for any text, and agreement with an independent reader.

use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::RngSeed;
use std::fmt::Write;
use swathlint::source::{FileId, Line, SourceFile, Span};
use swathlint::yaml::{self, Node, Parsed, Shape, Tree, Value};

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

#[test]
fn spans_are_exact() {
    for (name, place, marked) in CASES {
        let start = marked.find('«').unwrap();
        let end = marked.find('»').unwrap() - '«'.len_utf8();
        let text = marked.replace(['«', '»'], "");
        let parsed = parse(&text);
        let span = node_at(&parsed.tree, place).span();
        assert_eq!(span.range(), start..end, "{name}: {text:?}");
    }
}

/// Places beside the ordinary that the cases above leave out, in the same form.
const FURTHER_CASES: &[(&str, &str, &str)] = &[
    (
        "block scalar whose text begins like its mark",
        "1:/t",
        "t: «|\n  | x\n  > y\n»",
    ),
    (
        "block scalar behind an anchor with its mark in it",
        "1:/t",
        "t: &a|b «>-\n  x\n»",
    ),
    (
        "block scalar behind a comment with its mark in it",
        "1:/t",
        "t: !!str # a | b\n  «|\n  x\n»",
    ),
    (
        "block scalar with its mark in its comment",
        "1:/t",
        "t: «| # a | b\n  x\n»",
    ),
    (
        "block scalar with blank lines about",
        "1:/t",
        "t: «|\n\n  x\n»\n\nb: 1\n",
    ),
    ("block scalar without a text", "1:/t", "t: «|\n»b: 1\n"),
    (
        "block scalar without a text at the end",
        "1:/t",
        "a: x | y\nt: «|»",
    ),
    (
        "block scalar at the end without a line feed",
        "1:/t",
        "t: «|\n  x»",
    ),
    (
        "mapping that ends with a block scalar",
        "1:/m",
        "m:\n  «t: |\n    x\n»b: 1\n",
    ),
    (
        "list beside its key after a comment with a dash",
        "1:/s",
        "s: # - x\n«- 1»\n",
    ),
    (
        "list beside its key, a list first",
        "1:/s",
        "s:\n«- - 1\n  - 2\n- 3»\n",
    ),
    (
        "list beside its key, a list further down first",
        "1:/s",
        "s:\n«-\n  - 1»\n",
    ),
    (
        "list beside its key, an anchor first",
        "1:/s",
        "s:\n«- &a 1»\n",
    ),
    ("list in a list", "1:/0", "- «- 1\n  - 2»\n- 3\n"),
    (
        "list as the value of a pair with question mark",
        "1:/k",
        "? k\n: «- 1\n  - 2»\n",
    ),
    ("list behind an anchor", "1:/s", "s: &a\n  «- 1»\n"),
    ("absent first item beside a key", "1:/s/0", "s:\n-«»\n- 2\n"),
    (
        "absent item before a comment",
        "1:/s/1",
        "s:\n  - 1\n  -«» # none\n",
    ),
    (
        "absent item before blanks",
        "1:/s/1",
        "s:\n  - 1\n  -«»   \n",
    ),
    ("absent value behind an anchor", "1:/a", "a: &x«»\nb: 1\n"),
    (
        "absent value of a key in brackets",
        "1:/m/x",
        "m: {x«», y: 1}\n",
    ),
    (
        "absent value before a key that begins with a colon",
        "1:/a",
        "? a\n«»:, x: 1\n",
    ),
    (
        "absent value of a quoted key in brackets",
        "1:/m/x",
        "m: {\"x\":«», y: 1}\n",
    ),
    ("pair in a list in brackets", "1:/s/0", "s: [«x: 1» , 2]\n"),
    (
        "value of a pair in a list in brackets",
        "1:/s/0/x",
        "s: [x: «1» , 2]\n",
    ),
    ("mapping with a tag", "1:/m", "m: !!map\n  «x: 1»\n"),
    ("alias as a key", "1:/m/k@key", "a: &x k\nm: {«*x» : 1}\n"),
    ("alias of a list", "1:/b", "a: &x [1, 2]\nb: «*x»  # c\n"),
    ("root after a mark", "1:/a", "--- # - |\na: «1»\n"),
    ("root behind directives", "1:/a", "%YAML 1.2\n---\na: «1»\n"),
    ("NEL inside", "1:/b", "a: x\u{85}y\nb: «2»\n"),
];

#[test]
fn spans_beside_the_ordinary_are_exact() {
    for (name, place, marked) in FURTHER_CASES {
        let start = marked.find('«').unwrap();
        let end = marked.find('»').unwrap() - '«'.len_utf8();
        let text = marked.replace(['«', '»'], "");
        let parsed = parse(&text);
        let span = node_at(&parsed.tree, place).span();
        assert_eq!(span.range(), start..end, "{name}: {text:?}");
    }
}

#[test]
fn an_alias_has_its_own_place_and_the_content_of_its_target() {
    let parsed = parse("a: &x {k: [1, 2]}\nb: *x\n");
    let root = parsed.tree.root().unwrap();
    let (a, b) = (root.get("a").unwrap(), root.get("b").unwrap());
    assert_eq!(b.raw(), "*x");
    assert_eq!(b.shape(), Shape::Mapping);
    assert_eq!(b.at_pointer("/k/1").unwrap().value(), Some(Value::Int(2)));
    assert_eq!(b.identity(), a.identity());
    assert_ne!(b.identity(), root.identity());
}

#[test]
fn pointers_follow_rfc_6901() {
    // The keys are those of RFC 6901, section 5.
    let text = "foo: [bar, baz]\n'': 0\na/b: 1\nc%d: 2\n' ': 7\nm~n: 8\n";
    let parsed = parse(text);
    let root = parsed.tree.root().unwrap();
    for (pointer, raw) in [
        ("/foo/0", "bar"),
        ("/", "0"),
        ("/a~1b", "1"),
        ("/c%d", "2"),
        ("/ ", "7"),
        ("/m~0n", "8"),
    ] {
        assert_eq!(root.at_pointer(pointer).unwrap().raw(), raw, "{pointer}");
    }
    assert_eq!(root.at_pointer("").unwrap().identity(), root.identity());
    for pointer in [
        "/foo/2", "/foo/x", "/foo/-1", "/foo/+1", "/foo/00", "/nothing", "foo", "/foo/0/x",
    ] {
        assert!(root.at_pointer(pointer).is_none(), "{pointer}");
    }
}

#[test]
fn tags_of_the_core_schema_say_how_a_scalar_reads() {
    let rows = [
        ("!!str 12", Value::Text("12")),
        ("!!str", Value::Text("")),
        ("!!int '12'", Value::Int(12)),
        ("!!float 12", Value::Int(12)),
        ("!!bool \"true\"", Value::Bool(true)),
        ("!!null ''", Value::Null),
        ("!<tag:yaml.org,2002:int> 3", Value::Int(3)),
        ("'12'", Value::Text("12")),
        ("12", Value::Int(12)),
    ];
    for (written, value) in rows {
        let text = format!("a: {written}\n");
        let parsed = parse(&text);
        assert!(parsed.problems.is_empty(), "{written}");
        assert_eq!(
            parsed.tree.root().unwrap().get("a").unwrap().value(),
            Some(value),
            "{written}"
        );
    }
}

/// Documents of many forms, on which an independent reader must see the same.
const DOCUMENTS: &[&str] = &[
    "a: 1\nb: [x, 2.5, true, ~, null, '1', \"x\\ty\"]\nc: {d: e, f: }\n",
    "- a\n-\n- - b\n  - c: d\n    e: f\n- {}\n- []\n",
    "s:\n- 1\n- 2\nt: |\n  one\n   two\n\n  three\nu: >\n  folded\n  lines\n\n  here\nv: >-\n  x\nw: |+\n  y\n\nz: 1\n",
    "plain: one two\n  three\n\n  four\nquoted: \"one\n  two\\\n  three\"\nsingle: 'it''s\n  so'\n",
    "a: &x [1, 2]\nb: *x\nc: {d: *x}\n",
    "? a\n: 1\n? b\n: - c\n  - d\n",
    "yes: no\non: off\ny: n\n",
    "octal: 0777\nnew: 0o14\nhex: 0xFF\nsexagesimal: 1:30\ngrouped: 1_000\nexp: 1e3\ndot: .5\nend: 5.\n",
    "date: 2026-03-14\ntime: 10:30\nversion: 1.2.3\nrange: 1-2\nneg: -5\nplus: +5\ntilde: ~x\nnan: .nan\ninf: -.inf\n",
    "url: https://example.org/#x\nhash: a#b\ncolon: a:b\nquote: 5'6\"\n",
    "[a: 1, b, {c: d}, [e]]\n",
    "{a: 1, b: [1, 2,], 'c': \"d\",}\n",
    "\u{feff}a: °C µ 漢字\n",
    "a: 1\r\nb:\r\n  - x\r\n  - |\r\n    y\r\n    z\r\n",
    "# only\n# comments, then\na: b # c\n# d\n",
    "--- # marked\na: b\n...\n",
    "%YAML 1.2\n---\na: b\n",
    "just a text\n",
    "\"\\u00e9\\x41\\n\\N\"\n",
    "a: !!str 1\nb: !!int '1'\nc: !!float 1.5\n",
    "a: x\u{85}y\nb: \"p\u{2028}q\"\n",
    "a:\n    b:\n     c: 1\n     d:\n      - e\n      -   f\n",
    "'': empty\n' ': blank\n\"a b\": c\n",
    "long: 18446744073709551615\nlonger: 99999999999999999999\nmin: -9223372036854775808\n",
];

#[test]
fn an_independent_reader_sees_the_same() {
    for text in DOCUMENTS {
        assert_reads_alike(text);
    }
}

/// Compares with the independent reader's own tree, its core schema being the default.
fn assert_reads_alike(text: &str) {
    let parsed = parse(text);
    assert!(
        parsed.problems.is_empty(),
        "{text:?}: {:?}",
        parsed.problems
    );
    let theirs: oneyaml::Value =
        oneyaml::from_str(text).unwrap_or_else(|error| panic!("{text:?}: {error}"));
    assert_alike(parsed.tree.root().unwrap(), &theirs, text);
}

fn assert_alike(ours: Node<'_>, theirs: &oneyaml::Value, text: &str) {
    match theirs {
        oneyaml::Value::Sequence(sequence) => {
            assert_eq!(
                (ours.shape(), ours.items().len()),
                (Shape::Sequence, sequence.len()),
                "{text:?}"
            );
            for (ours, theirs) in ours.items().zip(sequence.iter()) {
                assert_alike(ours, theirs, text);
            }
        }
        oneyaml::Value::Mapping(mapping) => {
            assert_eq!(
                (ours.shape(), ours.entries().len()),
                (Shape::Mapping, mapping.len()),
                "{text:?}"
            );
            for ((our_key, our_value), (their_key, their_value)) in
                ours.entries().zip(mapping.iter())
            {
                assert_alike(our_key, their_key, text);
                assert_alike(our_value, their_value, text);
            }
        }
        oneyaml::Value::Null => assert_eq!(ours.value(), Some(Value::Null), "{text:?}"),
        oneyaml::Value::Bool(theirs) => {
            assert_eq!(ours.value(), Some(Value::Bool(*theirs)), "{text:?}");
        }
        oneyaml::Value::String(theirs) => {
            assert_eq!(ours.value(), Some(Value::Text(theirs)), "{text:?}");
        }
        oneyaml::Value::Number(theirs) => match ours.value() {
            Some(Value::Int(ours)) => assert_eq!(theirs.as_i64(), Some(ours), "{text:?}"),
            Some(Value::UInt(ours)) => assert_eq!(theirs.as_u64(), Some(ours), "{text:?}"),
            Some(Value::Float(ours)) => {
                let theirs = theirs.as_f64().unwrap();
                assert!(
                    ours.to_bits() == theirs.to_bits() || ours.is_nan() && theirs.is_nan(),
                    "{text:?}"
                );
            }
            ours => panic!("{text:?}: {ours:?} for {theirs:?}"),
        },
        theirs @ (oneyaml::Value::Tagged(_) | _) => panic!("{text:?}: {theirs:?}"),
    }
}

/// The same texts in every run, so that nobody meets another's failure.
fn config() -> ProptestConfig {
    ProptestConfig {
        cases: 1000,
        failure_persistence: None,
        max_global_rejects: 100_000,
        rng_seed: RngSeed::Fixed(1),
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn any_bytes_are_read(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let decoded = yaml::decode(FileId(0), bytes);
        assert_sound(&decoded.text);
    }

    #[test]
    fn any_run_of_what_yaml_is_made_of_is_read(pieces in prop::collection::vec(prop::sample::select(PIECES), 0..40)) {
        assert_sound(&pieces.concat());
    }

    #[test]
    fn any_cut_of_a_document_is_read(document in prop::sample::select(DOCUMENTS), from in any::<Index>(), to in any::<Index>()) {
        let at = |index: Index| document.floor_char_boundary(index.index(document.len() + 1));
        let (from, to) = (at(from), at(to));
        assert_sound(&document[from.min(to)..from.max(to)]);
        assert_sound(&[&document[..from], &document[to..]].concat());
    }

    #[test]
    fn generated_documents_read_alike(document in document()) {
        let text = document.text();
        assert_sound(&text);
        assert_reads_alike(&text);
    }

    #[test]
    fn line_breaks_of_either_kind_read_alike(document in document()) {
        let unix = document.text();
        let dos = unix.replace('\n', "\r\n");
        let (unix_file, dos_file) = (SourceFile::new("a", unix.as_str()), SourceFile::new("a", dos.as_str()));
        let (unix, dos) = (parse(&unix), parse(&dos));
        let outline = |parsed: &Parsed<'_>, file: &SourceFile| {
            let mut lines = Vec::new();
            for_each(parsed.tree.root().unwrap(), &mut |node| {
                lines.push((file.position(node.span().start), node.shape(), node.text().map(str::to_owned), node.is_plain()));
            });
            lines
        };
        prop_assert_eq!(outline(&unix, &unix_file), outline(&dos, &dos_file));
    }

    #[test]
    fn an_added_line_shifts_what_follows_and_changes_nothing_else(
        document in document(),
        line in any::<Index>(),
        added in prop::sample::select(&["\n", "# note: - [x\n", "      # ° | x\n"]),
    ) {
        let text = document.text();
        let starts: Vec<usize> = text.match_indices('\n').map(|(at, _)| at + 1).collect();
        let at = starts[line.index(starts.len())];
        let before = parse(&text);
        let is_inside_a_scalar = |node: Node<'_>| {
            let span = node.span().range();
            node.shape() == Shape::Scalar && span.start < at && (at < span.end || at == span.end && added.starts_with(' '))
        };
        prop_assume!(!any_node(before.tree.root().unwrap(), &mut |node| is_inside_a_scalar(node)));
        let longer = [&text[..at], added, &text[at..]].concat();
        let after = parse(&longer);
        prop_assert!(after.problems.is_empty(), "{:?}", after.problems);
        let added_len = u32::try_from(added.len()).unwrap();
        let shifted = |offset: u32| if offset as usize >= at { offset + added_len } else { offset };
        let spans = |parsed: &Parsed<'_>| {
            let mut spans = Vec::new();
            for_each(parsed.tree.root().unwrap(), &mut |node| spans.push((node.span(), node.text().map(str::to_owned))));
            spans
        };
        let expected: Vec<_> = spans(&before)
            .into_iter()
            // A node that ends exactly where the line is added ends there still.
            .map(|(span, text)| (Span::new(shifted(span.start), if span.end as usize == at { span.end } else { shifted(span.end) }), text))
            .collect();
        prop_assert_eq!(spans(&after), expected);
    }

    #[test]
    fn offsets_and_positions_lead_to_each_other(pieces in prop::collection::vec(prop::sample::select(PIECES), 0..40)) {
        let text = pieces.concat();
        let file = SourceFile::new("a", text.as_str());
        for (offset, _) in text.char_indices().chain([(text.len(), ' ')]) {
            let (line, column) = file.position(u32::try_from(offset).unwrap());
            let span = file.line_span(line).unwrap();
            let content = &text[span.range()];
            let mark = if content.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
            if offset - (span.start as usize) < mark {
                continue;
            }
            let counted = content[mark..].char_indices().map(|(at, _)| at).chain([content.len() - mark]).nth(column.0 as usize - 1);
            prop_assert_eq!(counted.map(|at| at + mark + span.start as usize), Some(offset));
        }
        prop_assert!(file.line_span(Line(u32::try_from(text.matches('\n').count()).unwrap() + 2)).is_none());
    }
}

/// What the texts of properties are put together from: all marks of YAML, and characters that are easily miscounted.
const PIECES: &[&str] = &[
    "a",
    "b: ",
    "c:",
    "- ",
    "-",
    "? ",
    ": ",
    ":",
    ", ",
    "[",
    "]",
    "{",
    "}",
    "\n",
    "\n",
    "\n  ",
    "\n    ",
    "\r\n",
    "\r",
    " ",
    "\t",
    "\"",
    "'",
    "''",
    "\\",
    "\\x41",
    "|",
    "| ",
    ">-\n",
    "|+\n  ",
    "# ",
    "#",
    "&x ",
    "*x",
    "*x ",
    "!!str ",
    "!t ",
    "!",
    "---",
    "\n--- ",
    "\n...\n",
    "%",
    "\n%YAML 1.2\n",
    "<<: ",
    "<<",
    "@",
    "`",
    "12.5",
    "36 psi",
    "true",
    "~",
    "null",
    ".inf",
    "°",
    "µ",
    "漢字",
    "🚜",
    "e\u{301}",
    "\u{feff}",
    "\u{85}",
    "\u{2028}",
    "\u{a0}",
    "\0",
    "\u{7}",
    "\u{1b}[31m",
    "a: 1\n",
    "- x\n",
    "a:\n- b\n",
];

fn parse(text: &str) -> Parsed<'_> {
    yaml::parse(FileId(0), text)
}

fn node_at<'a>(tree: &'a Tree<'_>, place: &str) -> Node<'a> {
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

/// An alias, whose children stand elsewhere.
fn is_alias(node: Node<'_>) -> bool {
    node.raw().starts_with('*') && !node.raw().contains([' ', '\t', '\n', '\r'])
}

/// Visits a node and all below it, keys before values, without following aliases.
fn for_each<'a>(node: Node<'a>, visit: &mut impl FnMut(Node<'a>)) {
    visit(node);
    if is_alias(node) {
        return;
    }
    for item in node.items() {
        for_each(item, visit);
    }
    for (key, value) in node.entries() {
        for_each(key, visit);
        for_each(value, visit);
    }
}

fn any_node<'a>(node: Node<'a>, is_wanted: &mut impl FnMut(Node<'a>) -> bool) -> bool {
    let mut found = false;
    for_each(node, &mut |node| found |= is_wanted(node));
    found
}

/// What must hold of any text.
fn assert_sound(text: &str) {
    let parsed = parse(text);
    for problem in &parsed.problems {
        for label in problem.related().iter().chain([problem.primary()]) {
            assert!(
                text.get(label.place.span.range()).is_some(),
                "{text:?}: {problem:?}"
            );
        }
    }
    assert!(
        parsed.tree.root().is_some() || !parsed.problems.is_empty(),
        "{text:?}"
    );
    assert!(parsed.tree.documents().count() <= parsed.tree.document_count());
    for root in parsed.tree.documents() {
        assert_nested(root, text);
        for_each(root, &mut |node| assert_reads_alone(node, text));
    }
    assert!(yaml::drain_events(text) > 0);
}

/// Spans lie in the text on character boundaries, children within their parents, one after another.
fn assert_nested(node: Node<'_>, text: &str) {
    let span = node.span();
    assert!(
        span.start <= span.end && text.get(span.range()).is_some(),
        "{text:?}: {node:?}"
    );
    if is_alias(node) {
        return;
    }
    let children: Vec<Node<'_>> = node
        .items()
        .chain(node.entries().flat_map(|(key, value)| [key, value]))
        .collect();
    for pair in children.windows(2) {
        assert!(
            pair[0].span().end <= pair[1].span().start,
            "{text:?}: {pair:?}"
        );
    }
    for child in children {
        assert!(
            span.contains(child.span()),
            "{text:?}: {child:?} in {node:?}"
        );
        assert_nested(child, text);
    }
}

/// A plain or quoted scalar, cut out and read alone, is the same scalar.
fn assert_reads_alone(node: Node<'_>, text: &str) {
    let raw = node.raw();
    // Alone, a line that begins like a mark between documents is one, and so is a colon or a dash with nothing behind it.
    let is_mark = raw.ends_with([':', '-', '?'])
        || raw
            .lines()
            .any(|line| line.starts_with("---") || line.starts_with("..."));
    if node.shape() != Shape::Scalar
        || raw.is_empty()
        || raw.starts_with(['|', '>', '*'])
        || is_mark
    {
        return;
    }
    let alone = parse(raw);
    assert!(
        alone.problems.is_empty(),
        "{text:?}: {raw:?}: {:?}",
        alone.problems
    );
    let root = alone.tree.root().unwrap();
    assert_eq!(
        (root.text(), root.is_plain()),
        (node.text(), node.is_plain()),
        "{text:?}: {raw:?}"
    );
    assert_eq!(root.raw(), raw, "{text:?}");
}

/// A document that is written out in a form drawn at random.
#[derive(Clone, Debug)]
enum Form {
    /// Scalars as written, `|` apart.
    Scalar(&'static str),
    Literal,
    Alias,
    List {
        items: Vec<Form>,
        layout: Layout,
    },
    Mapping {
        values: Vec<Form>,
        layout: Layout,
    },
}

#[derive(Clone, Copy, Debug)]
enum Layout {
    Brackets,
    Indented,
    BesideKey,
}

/// The text of a document, which is a mapping.
#[derive(Clone, Debug)]
struct Document(Vec<Form>);

fn document() -> impl Strategy<Value = Document> {
    let scalar = prop::sample::select(
        &[
            "1",
            "12.50",
            "36 psi",
            "-0.5e3",
            "true",
            "~",
            "",
            "2026-03-14",
            "0777",
            "a:b",
            "x#y",
            "14 °C",
            "漢字 🚜",
            "e\u{301}",
            "''",
            "'it''s'",
            "\"\"",
            "\"x\\u00e9\\ty\"",
            "\"a # b\"",
            "'- [x'",
            ".inf",
            "yes",
            "1_000",
            "1:30",
        ][..],
    )
    .prop_map(Form::Scalar);
    let leaf = prop_oneof![8 => scalar, 1 => Just(Form::Literal), 1 => Just(Form::Alias)];
    let layout = prop::sample::select(&[Layout::Brackets, Layout::Indented, Layout::BesideKey][..]);
    let form = leaf.prop_recursive(4, 40, 5, move |inner| {
        let forms = prop::collection::vec(inner, 0..5);
        prop_oneof![
            (forms.clone(), layout.clone())
                .prop_map(|(items, layout)| Form::List { items, layout }),
            (forms, layout.clone()).prop_map(|(values, layout)| Form::Mapping { values, layout }),
        ]
    });
    prop::collection::vec(form, 1..6).prop_map(Document)
}

const KEYS: &[&str] = &["record", "größe", "\"a b\"", "'it''s'", "x-y", "12"];

impl Document {
    fn text(&self) -> String {
        let mut text = "anchored: &x 12.5 # of aliases\n".to_owned();
        block_mapping(&self.0, 0, &mut text);
        text
    }
}

fn block_mapping(values: &[Form], indent: usize, text: &mut String) {
    for (value, key) in values.iter().zip(KEYS) {
        write!(text, "{:indent$}{key}:", "").unwrap();
        block_value(value, indent, true, text);
    }
}

/// A value behind the colon of its key or the dash of its item, which stands at `indent`.
fn block_value(form: &Form, indent: usize, is_behind_key: bool, text: &mut String) {
    match form {
        Form::Literal => {
            write!(text, " |\n{0:1$}one # two\n{0:1$}  three\n", "", indent + 2).unwrap();
        }
        Form::List {
            items,
            layout: Layout::Indented | Layout::BesideKey,
        } if !items.is_empty() => {
            let is_beside = is_behind_key
                && matches!(
                    form,
                    Form::List {
                        layout: Layout::BesideKey,
                        ..
                    }
                );
            let indent = if is_beside { indent } else { indent + 3 };
            text.push_str("  # - items\n");
            for item in items {
                write!(text, "{:indent$}-", "").unwrap();
                block_value(item, indent, false, text);
            }
        }
        Form::Mapping {
            values,
            layout: Layout::Indented | Layout::BesideKey,
        } if !values.is_empty() => {
            text.push('\n');
            block_mapping(values, indent + 2, text);
        }
        Form::Scalar(_) | Form::Alias | Form::List { .. } | Form::Mapping { .. } => {
            text.push(' ');
            in_brackets(form, text);
            text.push_str(" # °\n");
        }
    }
}

fn in_brackets(form: &Form, text: &mut String) {
    match form {
        Form::Scalar(written) => text.push_str(written),
        Form::Literal => text.push_str("\"one\\n  two\""),
        Form::Alias => text.push_str("*x"),
        Form::List { items, .. } => {
            text.push('[');
            for item in items
                .iter()
                .filter(|item| !matches!(item, Form::Scalar("")))
            {
                in_brackets(item, text);
                text.push_str(" , ");
            }
            text.push(']');
        }
        Form::Mapping { values, .. } => {
            text.push('{');
            for (value, key) in values.iter().zip(KEYS) {
                write!(text, "{key}: ").unwrap();
                in_brackets(value, text);
                text.push_str(", ");
            }
            text.push('}');
        }
    }
}

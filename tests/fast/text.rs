//! What is said of texts that are no good record: each slip in plain words at its place.
#![expect(clippy::disallowed_methods, reason = "fixtures are files")]
#![expect(clippy::use_debug, reason = "accounts show characters escaped")]

use std::fmt::Write;
use swathlint::diagnostic::{Diagnostic, Label, Severity};
use swathlint::source::{FileId, LARGEST_TEXT, SourceFile};
use swathlint::yaml::{self, Node, Shape};

/// A text with the place of its slip in «», what follows "the text stops being readable here:", and the help.
const SLIPS: &[(&str, &str, &str)] = &[
    (
        "a: 1\n«\t»b: 2\n",
        "a tab is used where only spaces are allowed",
        "indent with spaces",
    ),
    (
        "a:\n«\t»b: 2\n",
        "a tab is used where only spaces are allowed",
        "indent with spaces",
    ),
    (
        "a: |\n«\t»x\n",
        "a tab is used where only spaces are allowed",
        "indent with spaces",
    ),
    (
        "a: [\n«\t»1,\n]\n",
        "a tab is used where only spaces are allowed",
        "indent with spaces",
    ),
    (
        "a:\t1\n«\t»b: 1\n",
        "a tab is used where only spaces are allowed",
        "indent with spaces",
    ),
    (
        "a: «\"»unclosed\nb: 2\nc: \"x\"\n",
        "the quote \" is opened and not closed on its line",
        "close the quote where the text ends",
    ),
    (
        "a: «\"»abc\n---\nb: 1\n",
        "the quote \" is opened and not closed on its line",
        "close the quote where the text ends",
    ),
    (
        "a: 1\nb: «\"»x\n",
        "the quote \" is opened and not closed on its line",
        "close the quote where the text ends",
    ),
    (
        "a: \"x\"\nb: «\"»y\nc: \"z\"\n",
        "the quote \" is opened and not closed on its line",
        "close the quote where the text ends",
    ),
    (
        "a: «'»unclosed\nb: 2\n",
        "the quote ' is opened and not closed on its line",
        "close the quote, and double an apostrophe that belongs to the text",
    ),
    (
        "a: [1, 2\n«b»: 2\nc: 3\n",
        "a comma or the closing ] is missing before this",
        "put a comma between two entries, or close the bracket before this",
    ),
    (
        "a: [{x: 1} «{»y: 2}]\n",
        "a comma or the closing ] is missing before this",
        "put a comma between two entries, or close the bracket before this",
    ),
    (
        "a: {x: 1, y: 2\n«b»: 2\n",
        "a comma or the closing } is missing before this",
        "put a comma between two entries, or close the bracket before this",
    ),
    (
        "a: {x: 1\n  «y»: 2}\n",
        "a comma or the closing } is missing before this",
        "put a comma between two entries, or close the bracket before this",
    ),
    (
        "a: { \"x\" : 1 \"y\"«:» 2 }\n",
        "a comma or the closing } is missing before this",
        "put a comma between two entries, or close the bracket before this",
    ),
    (
        "a: «{»x: 1, y: 2]\n",
        "the bracket { is closed by a ]",
        "close the bracket where its list ends",
    ),
    (
        "a: [1 2, 3: 4, «{»]\n",
        "the bracket { is closed by a ]",
        "close the bracket where its list ends",
    ),
    (
        "- a: [1, 2]\n- b: [1, «{»x: 2]\n",
        "the bracket { is closed by a ]",
        "close the bracket where its list ends",
    ),
    (
        "a«:»1\nb: 2\n",
        "a colon without a space after it does not end a key",
        "put a space after the colon",
    ),
    (
        "a: 1\nb«:»2\nc: 3\n",
        "a colon without a space after it does not end a key",
        "put a space after the colon",
    ),
    (
        "record: calibration\nmachine: heron\ndate«:»2026-03-09\nby: rm\n",
        "a colon without a space after it does not end a key",
        "put a space after the colon",
    ),
    (
        "record«:»calibration\nmachine: heron\n",
        "a colon without a space after it does not end a key",
        "put a space after the colon",
    ),
    (
        "a: b«:» c\n",
        "a second colon in one line",
        "put quotes around the text that has the colon in it",
    ),
    (
        "a: { b: 1, c }«:» 2\n",
        "a second colon in one line",
        "put quotes around the text that has the colon in it",
    ),
    (
        "jug: 64 fl oz«:» 1\n",
        "a second colon in one line",
        "put quotes around the text that has the colon in it",
    ),
    (
        "note: see«:» this\n",
        "a second colon in one line",
        "put quotes around the text that has the colon in it",
    ),
    (
        "note: [see: this]«:» x\n",
        "a second colon in one line",
        "put quotes around the text that has the colon in it",
    ),
    (
        "a: \"x\"«:» 1\n",
        "a second colon in one line",
        "put quotes around the text that has the colon in it",
    ),
    (
        "a: «%»x\n",
        "a text without quotes cannot begin with %",
        "put quotes around the text",
    ),
    (
        "«%»x: 1\n",
        "a text without quotes cannot begin with %",
        "put quotes around the text",
    ),
    (
        "a: 50% \nb: «%»5\n",
        "a text without quotes cannot begin with %",
        "put quotes around the text",
    ),
    (
        "«%»YAML 2.0\n---\na: 1\n",
        "a text without quotes cannot begin with %",
        "put quotes around the text",
    ),
    (
        "a: 1\n«%»b: 2\n",
        "a text without quotes cannot begin with %",
        "put quotes around the text",
    ),
    (
        "a: «@»x\n",
        "a text without quotes cannot begin with @",
        "put quotes around the text",
    ),
    (
        "a: «`»x`\n",
        "a text without quotes cannot begin with `",
        "put quotes around the text",
    ),
    (
        "a: 1\n  «b: 2»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a:\n    b: 1\n  «c: 2»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a:\n  - 1\n «- 2»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "- 1\n«a: 2»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a: 1\n«- 2»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a: b\n «c: d»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a: >\n  x\n «y»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a: 1\n # c\n   «b: 2»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "  a: 1\n«b: 2»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "- a: 1\n «b: 2»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "- a: 1\n  b: 2\n   «c: 3»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a: \"x\" # c\n «\"y\"»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a: b\n# c\n «d»\ne: f\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a:\n    b: 36\n   «c: 1»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "a:\n b: 36\n  «c: 1»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "record: calibration\nmachine : heron\ncatch-tests:\n- pressure: 36 psi\n «duration: 30 s»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "catch-tests:\n  - pressure: 36 psi\n    duration: 30 s\n   «jug: x»\n",
        "the line is not indented like the lines it belongs with",
        "indent it as far as the lines it belongs with",
    ),
    (
        "flow: [a,\n«b,»\nc]\n",
        "a line within quotes or brackets is not indented under its key",
        "indent the line further than its key",
    ),
    (
        "---\nquoted: \"a\n«b»\nc\"\n",
        "a line within quotes or brackets is not indented under its key",
        "indent the line further than its key",
    ),
    (
        "quoted: 'a\n«b'»\n",
        "a line within quotes or brackets is not indented under its key",
        "indent the line further than its key",
    ),
    (
        "boom:\n  sections: [1,\n  «2]»\n",
        "a line within quotes or brackets is not indented under its key",
        "indent the line further than its key",
    ),
    (
        "- - [1,\n  «2]»\n",
        "a line within quotes or brackets is not indented under its key",
        "indent the line further than its key",
    ),
    (
        "caught: {left: \"x\n«y\"»}\n",
        "a line within quotes or brackets is not indented under its key",
        "indent the line further than its key",
    ),
    (
        "foo: \"bar\n«\t»baz\"\n",
        "a tab is used where only spaces are allowed",
        "indent with spaces",
    ),
    (
        "boom:\n«\u{a0}»\u{a0}spacing: 20 in\n\u{a0}\u{a0}nozzles: 5\n",
        "the line is indented with U+00A0, which YAML takes for a letter",
        "indent with spaces from the keyboard",
    ),
    (
        "a: «*nope»\n",
        "nothing above is marked with this name",
        "put quotes around a text that begins with *",
    ),
    (
        "a: \"x\" «y»\n",
        "something follows the closing quote \"",
        "end the text with the quote, or put a comma between two entries",
    ),
    (
        "a: \"x\"«b»\n",
        "something follows the closing quote \"",
        "end the text with the quote, or put a comma between two entries",
    ),
    (
        "\"a\" «b»: 1\n",
        "something follows the closing quote \"",
        "end the text with the quote, or put a comma between two entries",
    ),
    (
        "a: \"5\" «p»si\n",
        "something follows the closing quote \"",
        "end the text with the quote, or put a comma between two entries",
    ),
    (
        "a: [ \"x\" «\"»y\" ]\n",
        "something follows the closing quote \"",
        "end the text with the quote, or put a comma between two entries",
    ),
    (
        "a: [\"x\" «3»6.5]\n",
        "something follows the closing quote \"",
        "end the text with the quote, or put a comma between two entries",
    ),
    (
        "a: \"x«\\»y\"\nb: 1\n",
        "the backslash has no meaning in double quotes here",
        "use single quotes, in which a backslash stands for itself",
    ),
    (
        "a: \"C:«\\»path\"\n",
        "the backslash has no meaning in double quotes here",
        "use single quotes, in which a backslash stands for itself",
    ),
    (
        "a: \"x\\\n  y\"\nb: \"«\\»u12\"\n",
        "the backslash has no meaning in double quotes here",
        "use single quotes, in which a backslash stands for itself",
    ),
    (
        "a: -1\n«b»\nc: 1\n",
        "the line has no colon, so it is neither a key nor a list item",
        "write it as `key: value`, or indent it as part of the text above",
    ),
    (
        "«foo»\nb: 2\n",
        "the line has no colon, so it is neither a key nor a list item",
        "write it as `key: value`, or indent it as part of the text above",
    ),
    (
        "a: 1\n«foo»\n",
        "the line has no colon, so it is neither a key nor a list item",
        "write it as `key: value`, or indent it as part of the text above",
    ),
    (
        "a: [1, 2]«]»\n",
        "a bracket is closed that was never opened",
        "delete the bracket, or put quotes around the text it belongs to",
    ),
    (
        "a: «]»\n",
        "a bracket is closed that was never opened",
        "delete the bracket, or put quotes around the text it belongs to",
    ),
    (
        "a: «-» 1\n",
        "a list item stands on the line of its key",
        "begin the list on the next line, or put quotes around the text",
    ),
    (
        "a: «-»\nb: 1\n",
        "a list item stands on the line of its key",
        "begin the list on the next line, or put quotes around the text",
    ),
    (
        "«{»a: 1\n",
        "the bracket { is opened and not closed",
        "close the bracket where its list ends",
    ),
    (
        "a: 1 #c\nb: 1# d\nc: \"x\"«#» e\n",
        "a comment begins without a space before it",
        "put a space before the #, or quotes around the text",
    ),
    (
        "key: «|»x\n a\n",
        "a text marked with | or > begins on the next line",
        "begin the text on the next line, or put quotes around it",
    ),
    (
        "a: «>»5 psi\n",
        "a text marked with | or > begins on the next line",
        "begin the text on the next line, or put quotes around it",
    ),
    (
        "a: «|»x\n",
        "a text marked with | or > begins on the next line",
        "begin the text on the next line, or put quotes around it",
    ),
    (
        "a: «&»\n",
        "a text without quotes cannot begin with &",
        "put quotes around the text",
    ),
    (
        "a: «,»\n",
        "a text without quotes cannot begin with ,",
        "put quotes around the text",
    ),
    (
        "a: 5'6\"\nb: '5'«6»'\n",
        "something follows the closing quote '",
        "end the text with the quote, and double an apostrophe that belongs to it",
    ),
    (
        "a: it's\nb: 'it'«s»'\n",
        "something follows the closing quote '",
        "end the text with the quote, and double an apostrophe that belongs to it",
    ),
    (
        "a: 'x'«y»: 1\n",
        "something follows the closing quote '",
        "end the text with the quote, and double an apostrophe that belongs to it",
    ),
    (
        "a: 'don'«t»'\n",
        "something follows the closing quote '",
        "end the text with the quote, and double an apostrophe that belongs to it",
    ),
    (
        "a: 1\n«\u{feff}»b: 2\n",
        "a character that cannot be seen, U+FEFF",
        "delete the character",
    ),
    (
        "a: «[»abc\n---\nb: 1\n",
        "the bracket [ is opened and not closed",
        "close the bracket where its list ends",
    ),
    (
        "a: «[»1\n  2, 3\n",
        "the bracket [ is opened and not closed",
        "close the bracket where its list ends",
    ),
    (
        "a: [1, «,» 2]\n",
        "nothing stands before the comma",
        "write what is missing, or delete the comma",
    ),
    (
        "a: {«,» b: 1}\n",
        "nothing stands before the comma",
        "write what is missing, or delete the comma",
    ),
    (
        "[1] «x»\n",
        "something follows the end of a value",
        "begin a new line, or put quotes around the whole text",
    ),
    (
        "{a: 1} «x»: 2\n",
        "something follows the end of a value",
        "begin a new line, or put quotes around the whole text",
    ),
    (
        "a: [1] «[»2]\n",
        "something follows the end of a value",
        "begin a new line, or put quotes around the whole text",
    ),
    (
        "a: {b: 1} «c»\n",
        "something follows the end of a value",
        "begin a new line, or put quotes around the whole text",
    ),
    (
        "a: &x y\nb: *x «z»\n",
        "something follows the end of a value",
        "begin a new line, or put quotes around the whole text",
    ),
    (
        "a: [1,2]«x»\n",
        "something follows the end of a value",
        "begin a new line, or put quotes around the whole text",
    ),
    (
        "a: {x: 1, y}\nb: [«-» 1, 2]\n",
        "an item with a dash stands in brackets",
        "put commas between the entries and leave out the dashes; for a reading that was not taken write missed",
    ),
    (
        "a: «[»1, 2}\n",
        "the bracket [ is closed by a }",
        "close the bracket where its list ends",
    ),
    (
        "- 1\n«-»2\n- 3\n",
        "a dash without a space after it does not begin a list item",
        "put a space after the dash",
    ),
    (
        "catch:\n  - 1\n  «-»2\n",
        "a dash without a space after it does not begin a list item",
        "put a space after the dash",
    ),
    (
        "a: «?»\nb: ? c\n",
        "a text without quotes cannot begin with ?",
        "put quotes around the text",
    ),
    (
        "a: «!»e!x 1\n",
        "a text without quotes cannot begin with !",
        "put quotes around the text",
    ),
    (
        "a: x\n\t«#» c\n  y\n",
        "a comment stands between the lines of one text",
        "move the comment above the text",
    ),
    (
        "a: «\u{7}»x\n",
        "a character that cannot be seen, U+0007",
        "delete the character",
    ),
    (
        "a: x«\0»y\n",
        "a character that cannot be seen, U+0000",
        "save the file as UTF-8",
    ),
    (
        "a: \"x«\u{1b}»[31m\"\n",
        "a character that cannot be seen, U+001B",
        "delete the character",
    ),
    (
        "a: 1\nb:«\u{a0}»2\n",
        "the space here is U+00A0, which YAML takes for a letter",
        "put a space from the keyboard in its place",
    ),
    (
        "- 1\n-«\u{2003}»2\n",
        "the space here is U+2003, which YAML takes for a letter",
        "put a space from the keyboard in its place",
    ),
];

#[test]
fn slips_are_named_at_their_places() {
    for (marked, words, help) in SLIPS {
        let start = marked.find('«').unwrap();
        let end = marked.find('»').unwrap() - '«'.len_utf8();
        let text = marked.replace(['«', '»'], "");
        let parsed = yaml::parse(FileId(0), &text);
        let slip = parsed
            .problems
            .iter()
            .find(|problem| problem.rule() == "unreadable-yaml")
            .unwrap_or_else(|| panic!("{text:?}: {:?}", parsed.problems));
        assert_keeps_to_form(slip);
        let said = slip
            .message()
            .strip_prefix("the text stops being readable here: ");
        let place = slip.primary().place.span.range();
        assert_eq!(
            (said, slip.help_text(), place),
            (Some(*words), Some(*help), start..end),
            "{text:?}"
        );
        assert!(parsed.tree.root().is_none(), "{text:?}");
    }
}

/// What goes on over several lines and is indented, or can belong to nothing else.
#[test]
fn further_lines_of_quotes_and_brackets_are_read_where_they_are_indented() {
    for text in [
        "flow: [a,\n b,\n c]\n",
        "left: [\n  36.5,\n  36.0,\n]\n",
        "left: {\n  x: 1,\n\n# second\n  y: 2 }\n",
        "left: \"one\n\n  two\"\n",
        "foo: \"bar\n  \tbaz\"\n",
        "- [1,\n  2]\n",
        "- a: 'x\n    y'\n  b: 1\n",
        "a:\n- \"x\n  y\"\n",
        "\"x\ny\"\n",
        "--- [1,\n2]\n",
        "{\nunquoted : \"separate\",\nomitted value:,\n}\n",
        "{\r\na: 'x\r\n\r\ny'\r\n}\r\n",
    ] {
        let parsed = yaml::parse(FileId(0), text);
        assert_eq!(parsed.problems, [], "{text:?}");
    }
    // An entry that looks like a key and is none: the colon of an address is not one, and we take it for a slip.
    let parsed = yaml::parse(FileId(0), "{\nhttp://foo.com,\n}\n");
    assert_eq!(parsed.problems.len(), 1);
    assert!(
        parsed.problems[0]
            .message()
            .contains("is one key without a value")
    );
}

/// The snapshot of a text stands beside it; a new one is made by `INSTA_UPDATE=always cargo test --test fast text`.
#[test]
fn fixtures_give_what_stands_beside_them() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/text");
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter_map(|name| name.strip_suffix(".yaml").map(str::to_owned))
        .collect();
    names.sort();
    assert!(!names.is_empty());
    for name in names {
        let bytes = std::fs::read(format!("{folder}/{name}.yaml")).unwrap();
        insta::with_settings!({
            snapshot_path => folder,
            prepend_module_to_snapshot => false,
            omit_expression => true,
        }, {
            insta::assert_snapshot!(name.as_str(), account(bytes));
        });
    }
}

#[test]
fn every_fault_has_a_fixture_and_keeps_to_the_form_of_messages() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/text");
    let mut missing: Vec<&str> = yaml::FAULTS.to_vec();
    // A text too large for the repository.
    missing.retain(|fault| *fault != "file-too-large");
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "yaml") {
            continue;
        }
        let decoded = yaml::decode(FileId(0), std::fs::read(&path).unwrap());
        let parsed = yaml::parse(FileId(0), &decoded.text);
        for problem in decoded.problems.iter().chain(&parsed.problems) {
            missing.retain(|fault| *fault != problem.rule());
            assert_keeps_to_form(problem);
        }
    }
    assert!(missing.is_empty(), "{missing:?}");
}

fn assert_keeps_to_form(problem: &Diagnostic) {
    let message = problem.message();
    assert!(yaml::FAULTS.contains(&problem.rule()), "{problem:?}");
    assert_eq!(problem.severity(), Severity::Error);
    assert!(
        message.chars().count() <= 100 && !message.ends_with('.') && !message.contains('\n'),
        "{message}"
    );
    assert!(
        !message.starts_with(|first: char| first.is_uppercase()),
        "{message}"
    );
    let verbs = [
        "begin", "close", "correct", "delete", "double", "end", "indent", "keep", "mend", "move",
        "put", "save", "shorten", "use", "write",
    ];
    let help = problem.help_text().unwrap();
    assert!(verbs.contains(&help.split(' ').next().unwrap()), "{help}");
}

#[test]
fn a_text_that_is_too_large_is_refused() {
    let text = "#".repeat(LARGEST_TEXT + 1);
    let parsed = yaml::parse(FileId(0), &text);
    assert!(parsed.tree.root().is_none());
    let [problem] = &parsed.problems[..] else {
        panic!("{:?}", parsed.problems);
    };
    assert_eq!(
        problem.message(),
        "the file is larger than the limit of 1 MB"
    );
    assert_keeps_to_form(problem);
}

/// All that is made of a file: its faults with their places, then every scalar with its pointer, meaning and place.
fn account(bytes: Vec<u8>) -> String {
    let decoded = yaml::decode(FileId(0), bytes);
    let file = SourceFile::new("", decoded.text.as_str());
    let parsed = yaml::parse(FileId(0), &decoded.text);
    let mut account = String::new();
    for problem in decoded.problems.iter().chain(&parsed.problems) {
        write_problem(problem, &file, &mut account);
    }
    writeln!(account, "documents: {}", parsed.tree.document_count()).unwrap();
    match parsed.tree.root() {
        Some(root) => write_node("", root, &file, &mut account),
        None => account.push_str("not to be judged\n"),
    }
    account
}

fn write_problem(problem: &Diagnostic, file: &SourceFile, account: &mut String) {
    writeln!(
        account,
        "{} {} [{}]",
        place(problem.primary(), file),
        problem.message(),
        problem.rule()
    )
    .unwrap();
    for label in [problem.primary()]
        .into_iter()
        .chain(problem.related())
        .filter(|label| !label.text.is_empty())
    {
        writeln!(account, "  {} {}", place(label, file), label.text).unwrap();
    }
    writeln!(account, "  help: {}", problem.help_text().unwrap()).unwrap();
}

fn place(label: &Label, file: &SourceFile) -> String {
    let span = label.place.span;
    let (line, column) = file.position(span.start);
    format!("{}:{} {:?}", line.0, column.0, shortened(file.slice(span)))
}

fn write_node(pointer: &str, node: Node<'_>, file: &SourceFile, account: &mut String) {
    match node.shape() {
        Shape::Scalar => {
            let (line, column) = file.position(node.span().start);
            let value = shortened(&format!("{:?}", node.value().unwrap()));
            let quoted = if node.is_plain() { "" } else { " in quotes" };
            writeln!(
                account,
                "{pointer} {value}{quoted} at {}:{}",
                line.0, column.0
            )
            .unwrap();
        }
        Shape::Sequence | Shape::Mapping if node.items().len() + node.entries().len() == 0 => {
            writeln!(account, "{pointer} {:?}", node.raw()).unwrap();
        }
        Shape::Sequence => {
            for (position, item) in node.items().enumerate() {
                write_node(&format!("{pointer}/{position}"), item, file, account);
            }
        }
        Shape::Mapping => {
            for (key, value) in node.entries() {
                write_node(
                    &format!("{pointer}/{}", key.text().unwrap()),
                    value,
                    file,
                    account,
                );
            }
        }
    }
}

fn shortened(text: &str) -> String {
    if text.chars().count() <= 60 {
        text.to_owned()
    } else {
        text.chars().take(60).collect::<String>() + "…"
    }
}

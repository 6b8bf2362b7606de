//! Large texts cost no more than their length, whatever is in them.

use std::fmt::Write;
use swathlint::source::FileId;
use swathlint::yaml;

/// Texts that would cost without end if anything in them cost more than its length; each of about a megabyte.
#[test]
fn large_texts_cost_no_more_than_their_length() {
    const SIZE: usize = 1_000_000;
    let repeated = |piece: &str| piece.repeat(SIZE / piece.len());
    let bomb = format!(
        "- &a [x, x]\n{}",
        repeated("- &b [*a, *a]\n- &a [*b, *b]\n")
    );
    let rows: &[(&str, String, &str)] = &[
        ("brackets", repeated("["), "nested-too-deep"),
        ("braces", repeated("{"), "nested-too-deep"),
        ("pairs in brackets", repeated("[a: "), "nested-too-deep"),
        ("dashes on one line", repeated("- "), "nested-too-deep"),
        ("keys on one line", repeated("a: "), "unreadable-yaml"),
        ("question marks", repeated("? "), "nested-too-deep"),
        ("alias bomb", bomb, "alias-too-large"),
        (
            "aliases in a list",
            format!("- &a [x]\n{}", repeated("- *a\n")),
            "alias-too-large",
        ),
        ("the same key", repeated("a: 1\n"), "duplicate-key"),
        (
            "many documents",
            repeated("---\na: 1\n"),
            "several-documents",
        ),
        (
            "many broken documents",
            repeated("---\na: [\n"),
            "unreadable-yaml",
        ),
        (
            "many documents with an open quote",
            repeated("--- 'a' b\n"),
            "unreadable-yaml",
        ),
        ("merge keys", repeated("<<: 1\n"), "merge-key"),
        ("tags", repeated("- !a 1\n"), "unknown-tag"),
        (
            "open quote",
            format!("a: \"{}", repeated("x \\\" ' ")),
            "unreadable-yaml",
        ),
        ("comments", repeated("# x\n"), "empty-file"),
        ("blank", repeated(" \n"), "empty-file"),
    ];
    for (name, text, rule) in rows {
        let parsed = yaml::parse(FileId(0), text);
        assert!(
            parsed
                .problems
                .iter()
                .any(|problem| problem.rule() == *rule),
            "{name}: {:?}",
            parsed.problems
        );
        assert!(parsed.problems.len() <= yaml::MOST_LISTED + 2, "{name}");
    }
}

#[test]
fn large_texts_without_fault_are_read() {
    let items = 40_000;
    let list = parsed_root_len(&"- x\n".repeat(items));
    let anchored = parsed_root_len(&"- &a x\n".repeat(items));
    let keys: String = (0..items).fold(String::new(), |mut text, key| {
        writeln!(text, "k{key}: {{a: 1}}").unwrap();
        text
    });
    assert_eq!(
        (list, anchored, parsed_root_len(&keys)),
        (items, items, items)
    );
    let scalar = format!(
        "a: {}\nb: |\n{}",
        "long ".repeat(items),
        "  line\n".repeat(items)
    );
    assert_eq!(parsed_root_len(&scalar), 2);
    // Far apart duplicates are found among many keys.
    let parsed = yaml::parse(FileId(0), &keys);
    assert!(parsed.problems.is_empty());
    let twice = keys + "k0: again\n";
    let parsed = yaml::parse(FileId(0), &twice);
    assert_eq!(parsed.problems.len(), 1);
    assert_eq!(parsed.problems[0].related()[0].place.span.range(), 0..2);
}

fn parsed_root_len(text: &str) -> usize {
    let parsed = yaml::parse(FileId(0), text);
    assert!(parsed.problems.is_empty(), "{:?}", parsed.problems);
    let root = parsed.tree.root().unwrap();
    root.items().len() + root.entries().len()
}

//! Words of records that were renamed: the old ones are read as the new ones, and a note says what to write.

use crate::fixture::{self, Files, checked};
use crate::told;
use crate::versioned::Repository;
use std::collections::BTreeSet;

/// Old and new words as they stand in files, with the kind of record whose files have them.
const WORDS: &[(&str, &str)] = &[
    ("speed-source: satellite", "speed-source: gps"),
    ("{to: satellite", "{to: gps"),
    ("neutralised: ", "neutralized: "),
    ("known-by: refill meter", "known-by: fill meter"),
    ("volume-by: refill meter", "volume-by: fill meter"),
    ("{type: refill meter", "{type: fill meter"),
    ("refill-meter: ", "fill-meter: "),
    ("  shut:", "  sections-off:"),
    ("- tyres: ", "- tires: "),
    ("rule: runs-few", "rule: too-few-runs"),
    ("  catch-short: ", "  short-catch: "),
    ("  course-short: ", "  short-speed-course: "),
    ("  surface-hard: ", "  hard-surface: "),
    ("  step-to-re-check: ", "  step-to-recheck: "),
];

/// The demo fleet, with limits and a waiver of renamed rules beside its own.
fn demo() -> Files {
    let mut files = fixture::tree(&fixture::folder().join("saltmere"));
    let fleet = files.get_mut("fleet.yaml").unwrap();
    assert!(fleet.contains("\nlimits:\n"));
    *fleet = fleet.replace(
        "\nlimits:\n",
        "\nlimits:\n  short-catch: {weakens: at least 10 s, because: \"ours\"}\n  hard-surface: {weakens: any, because: \"ours\"}\n  step-to-recheck: {note: any, because: \"ours\"}\n  short-speed-course: {warning: at least 90 ft, because: \"ours\"}\n",
    );
    files
}

fn in_old_words(files: &Files) -> Files {
    let old = |text: &String| {
        let each = WORDS.iter();
        each.fold(text.clone(), |text, (old, new)| text.replace(new, old))
    };
    files
        .iter()
        .map(|(path, text)| (path.clone(), old(text)))
        .collect()
}

#[test]
fn a_fleet_in_old_words_has_the_findings_of_one_in_new_words_and_a_note_for_each_word() {
    let now = demo();
    let old = in_old_words(&now);
    for (word, _) in WORDS
        .iter()
        .filter(|(word, _)| !word.contains("to: ") && !word.contains("runs-few"))
    {
        assert!(
            old.values().any(|text| text.contains(word)),
            "no record has {word}"
        );
    }
    let (now, old) = (checked(&now, "2026-06-01"), checked(&old, "2026-06-01"));
    let of = |report: &swathlint::Report| -> BTreeSet<String> {
        let findings = report
            .findings
            .iter()
            .filter(|finding| finding.rule() != "old-word");
        findings
            .map(|finding| {
                let place = told::place(report, finding.primary());
                format!(
                    "{} {}:{} {}",
                    finding.rule(),
                    place.path,
                    place.line,
                    finding.message()
                )
            })
            .collect()
    };
    assert_eq!(of(&now), of(&old));
    assert!(
        now.findings
            .iter()
            .all(|finding| finding.rule() != "old-word")
    );
    let notes = old
        .findings
        .iter()
        .filter(|finding| finding.rule() == "old-word");
    let said: BTreeSet<&str> = notes.map(|finding| finding.message()).collect();
    for note in [
        "`tyres` is now written `tires`",
        "`neutralised` is now written `neutralized`",
        "`shut` is now written `sections-off`",
        "`satellite` is now written `gps`",
        "`refill meter` is now written `fill meter`",
        "`refill-meter` is now written `fill-meter`",
        "`catch-short` is now written `short-catch`",
        "`course-short` is now written `short-speed-course`",
        "`surface-hard` is now written `hard-surface`",
        "`step-to-re-check` is now written `step-to-recheck`",
    ] {
        assert!(said.contains(note), "{note}: {said:?}");
    }
}

/// A test whose readings are under both words would lose one of the lists.
#[test]
fn an_old_key_beside_the_new_one_is_not_taken_for_it() {
    let mut files = demo();
    let (path, text) = files
        .iter()
        .find(|(_, text)| text.contains("  sections-off:\n"))
        .map(|(path, text)| (path.clone(), text.clone()))
        .unwrap();
    let both = text.replace(
        "  sections-off:\n",
        "  shut: [{sections: [left], as-found: 1 gal/acre}]\n  sections-off:\n",
    );
    files.insert(path.clone(), both);
    let report = checked(&files, "2026-06-01");
    let at =
        |finding: &&swathlint::report::Told| told::place(&report, finding.primary()).path == path;
    let rules: Vec<&str> = report
        .findings
        .iter()
        .filter(at)
        .map(|finding| finding.rule())
        .collect();
    assert!(rules.contains(&"unknown-key"), "{rules:?}");
    assert!(!rules.contains(&"old-word"), "{rules:?}");
}

#[test]
fn writing_the_new_word_into_a_merged_record_does_not_alter_it() {
    let repository = Repository::new();
    let visit = crate::versioned::VISIT;
    let now = repository.read(visit);
    let old = WORDS
        .iter()
        .fold(now.clone(), |text, (old, new)| text.replace(new, old));
    assert_ne!(old, now, "the visit has none of the words");
    repository.write(visit, &old);
    repository.land("old words");
    repository.branch("new-words");
    repository.write(visit, &now);
    repository.land("new words");
    let ran = repository.compared_with("main");
    assert_eq!(ran.code, 0, "{}{}", ran.printed, ran.errors);
    assert_eq!(
        crate::versioned::rules(&ran),
        Vec::<&str>::new(),
        "{}",
        ran.printed
    );
}

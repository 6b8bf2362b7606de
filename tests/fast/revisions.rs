//! `check --compared-with` on real repositories: what it tells, what it holds back, and where it must refuse.

use crate::versioned::{
    Ran, Repository, VISIT, compared_in, copy, faulty_visit, findings, git_in, program, ran,
    refused, rules,
};
use std::fs;
use std::path::Path;

#[test]
fn nothing_changed_is_nothing_told() {
    let repository = Repository::new();
    let ran = repository.compared_with("main");
    assert_eq!((ran.code, findings(&ran).len()), (0, 0), "{}", ran.printed);
}

#[test]
fn a_finding_that_was_there_before_is_held_back_and_counted() {
    let repository = Repository::new();
    faulty_visit(&repository, "calibrations/heron/2026-04-20.yaml");
    repository.land("a fault lands");
    repository.branch("work");
    faulty_visit(&repository, "calibrations/heron/2026-05-20.yaml");
    repository.land("a second fault");
    let ran = repository.compared_with("main");
    assert_eq!(ran.code, 1, "{}", ran.printed);
    assert!(
        findings(&ran)
            .iter()
            .all(|line| line.starts_with("calibrations/heron/2026-05-20"))
    );
    assert!(ran.printed.contains("nozzle-off-mean"), "{}", ran.printed);
    let totals = ran.printed.lines().last().unwrap();
    assert!(
        totals.contains("before") || totals.contains("main"),
        "{totals}"
    );
    // Against itself nothing is new.
    assert_eq!(repository.compared_with("work").code, 0);
}

#[test]
fn what_counts_is_the_working_tree_dirty_or_not() {
    let repository = Repository::new();
    faulty_visit(&repository, "calibrations/heron/2026-05-20.yaml");
    let untracked = repository.compared_with("main");
    assert!(
        untracked.printed.contains("nozzle-off-mean"),
        "{}",
        untracked.printed
    );
    repository.git(&["add", "--all"]);
    let staged = repository.compared_with("main");
    assert_eq!(staged.printed, untracked.printed);
}

#[test]
fn a_detached_head_and_a_folder_of_records_below_the_top() {
    let repository = Repository::with_records_in("the courses/Übung");
    repository.git(&["checkout", "--quiet", "--detach"]);
    faulty_visit(&repository, "calibrations/heron/2026-05-20.yaml");
    let ran = repository.compared_with("main");
    assert!(ran.printed.contains("nozzle-off-mean"), "{}", ran.printed);
    assert!(findings(&ran)[0].starts_with("calibrations/heron/2026-05-20"));
}

#[test]
fn the_base_is_where_both_came_from() {
    let repository = Repository::new();
    repository.branch("work");
    faulty_visit(&repository, "calibrations/heron/2026-05-20.yaml");
    repository.land("a fault on the branch");
    repository.git(&["checkout", "--quiet", "main"]);
    repository.change("fleet.yaml", "Saltmere Links Group", "Saltmere Links");
    repository.land("main goes on");
    repository.git(&["checkout", "--quiet", "work"]);
    let ran = repository.compared_with("main");
    assert!(ran.printed.contains("nozzle-off-mean"), "{}", ran.printed);
    // Once main is merged in, the fault is still what the branch brings.
    repository.git(&["merge", "--quiet", "--no-edit", "main"]);
    let merged = repository.compared_with("main");
    assert!(
        merged.printed.contains("nozzle-off-mean"),
        "{}",
        merged.printed
    );
}

#[test]
fn a_merged_record_that_is_altered_needs_a_note() {
    let repository = Repository::new();
    let old = "by: rm";
    repository.change(VISIT, old, "by: ko");
    let ran = repository.compared_with("main");
    assert_eq!(ran.code, 1);
    assert_eq!(rules(&ran), ["landed-record-altered"], "{}", ran.printed);
    assert!(
        findings(&ran)[0].contains("by: rm became ko"),
        "{}",
        ran.printed
    );
    let text = repository.read(VISIT);
    repository.write(
        VISIT,
        &format!(
            "{text}amends: [{{on: 2026-03-10, by: ko, why: entered under the wrong initials}}]\n"
        ),
    );
    let noted = repository.compared_with("main");
    assert_eq!(
        (noted.code, rules(&noted)),
        (0, vec!["landed-record-amended"]),
        "{}",
        noted.printed
    );
    // The note has merged; altering the record once more takes another one.
    repository.land("noted");
    repository.change(VISIT, "by: ko", "by: rm");
    assert_eq!(
        rules(&repository.compared_with("main")),
        ["landed-record-altered"]
    );
}

#[test]
fn comments_spacing_and_the_order_of_keys_are_no_alteration() {
    let repository = Repository::new();
    let text = repository.read(VISIT);
    let moved = text.replacen("by: rm\n", "", 1);
    repository.write(
        VISIT,
        &format!("# looked over\n{moved}by:   rm   # who read it\n"),
    );
    let ran = repository.compared_with("main");
    assert_eq!((ran.code, rules(&ran).len()), (0, 0), "{}", ran.printed);
}

#[test]
fn a_merged_record_that_is_deleted_needs_a_note() {
    let repository = Repository::new();
    fs::remove_file(repository.records.join(VISIT)).unwrap();
    let ran = repository.compared_with("main");
    assert_eq!(rules(&ran), ["landed-record-deleted"], "{}", ran.printed);
    assert!(findings(&ran)[0].contains(VISIT), "{}", ran.printed);
    repository.write(
        "waivers.yaml",
        &format!("record: waivers\ndeleted:\n  - {{file: {VISIT}, reason: entered twice, by: ko, on: 2026-03-12}}\n"),
    );
    let noted = repository.compared_with("main");
    assert_eq!(
        (noted.code, rules(&noted)),
        (0, vec!["landed-record-amended"]),
        "{}",
        noted.printed
    );
}

#[test]
fn a_renamed_record_is_the_same_record() {
    let repository = Repository::new();
    repository.git(&["mv", VISIT, "calibrations/heron/2026-03-09-2.yaml"]);
    let ran = repository.compared_with("main");
    assert!(
        !rules(&ran).iter().any(|rule| rule.starts_with("merged")),
        "{}",
        ran.printed
    );
}

#[test]
fn a_users_settings_of_git_change_nothing() {
    let plain = Repository::new();
    faulty_visit(&plain, "calibrations/heron/2026-05-20.yaml");
    plain.change(VISIT, "by: rm", "by: ko");
    let wanted = plain.compared_with("main").printed;
    for (key, value) in [
        ("diff.noprefix", "true"),
        ("diff.mnemonicPrefix", "true"),
        ("diff.external", "false"),
        ("diff.renames", "copies"),
        ("core.quotePath", "true"),
        ("core.pager", "false"),
        ("diff.relative", "false"),
        ("diff.orderFile", "nowhere"),
        ("diff.autoRefreshIndex", "false"),
        ("core.autocrlf", "input"),
        ("status.showUntrackedFiles", "no"),
        ("color.ui", "always"),
    ] {
        plain.git(&["config", key, value]);
        assert_eq!(plain.compared_with("main").printed, wanted, "{key}");
        plain.git(&["config", "--unset", key]);
    }
}

#[test]
fn names_of_any_letters_are_read() {
    let repository = Repository::new();
    let machine_file = repository.read("machines/heron.yaml");
    for name in ["grå hejre", "鷺", "a'b"] {
        let text = machine_file.replace("id: heron", &format!("id: \"{name}\""));
        repository.write(&format!("machines/{name}.yaml"), &text);
        let visit = repository
            .read(VISIT)
            .replace("machine: heron", &format!("machine: \"{name}\""));
        repository.write(&format!("calibrations/{name}/2026-03-09.yaml"), &visit);
    }
    repository.land("more machines");
    repository.change("calibrations/鷺/2026-03-09.yaml", "by: rm", "by: ko");
    let ran = repository.compared_with("main");
    assert_eq!(rules(&ran), ["landed-record-altered"], "{}", ran.printed);
    assert!(findings(&ran)[0].starts_with("calibrations/鷺/2026-03-09.yaml:"));
}

#[test]
fn a_change_of_the_fleet_file_is_looked_at_for_every_machine() {
    let repository = Repository::new();
    repository.change(
        "fleet.yaml",
        "usual:",
        "limits: {nozzle-off-mean: {error: 0.01%, because: a trial}}\nusual:",
    );
    let ran = repository.compared_with("main");
    assert_eq!(ran.code, 1, "{}", ran.printed);
    assert!(ran.printed.contains("nozzle-off-mean"), "{}", ran.printed);
}

#[test]
fn a_revision_nobody_knows_is_refused_and_none_is_an_option() {
    let repository = Repository::new();
    for revision in ["nowhere", "--upload-pack=touch x", "-h", "main..work", ""] {
        let ran = repository.compared_with(revision);
        assert_eq!(ran.code, 2, "{revision}: {}{}", ran.printed, ran.errors);
        assert!(!ran.errors.is_empty());
    }
    refused(&repository.compared_with("nowhere"), "nowhere", "git fetch");
}

#[test]
fn a_shallow_clone_is_refused_with_what_to_fetch() {
    let origin = Repository::new();
    origin.branch("work");
    origin.change("fleet.yaml", "Saltmere Links Group", "Saltmere Links");
    origin.land("one");
    origin.git(&["checkout", "--quiet", "main"]);
    origin.write("notes.txt", "main goes on");
    origin.land("two");
    let clone = tempfile::tempdir().unwrap();
    let url = format!("file://{}", origin.folder.path().display());
    let output = git_in(
        clone.path(),
        &[
            "clone",
            "--quiet",
            "--depth",
            "1",
            "--no-single-branch",
            &url,
            "records",
        ],
    );
    assert!(output.status.success(), "{output:?}");
    let records = clone.path().join("records");
    assert!(
        git_in(&records, &["checkout", "--quiet", "work"])
            .status
            .success()
    );
    refused(
        &compared_in(&records, "origin/main"),
        "history",
        "git fetch --unshallow",
    );
    // With the history there it works.
    assert!(
        git_in(&records, &["fetch", "--quiet", "--unshallow"])
            .status
            .success()
    );
    assert_eq!(compared_in(&records, "origin/main").code, 0);
}

#[test]
fn histories_with_nothing_in_common_are_refused() {
    let repository = Repository::new();
    repository.git(&["checkout", "--quiet", "--orphan", "other"]);
    repository.land("of its own");
    let ran = repository.compared_with("main");
    assert_eq!(ran.code, 2, "{}", ran.printed);
    assert!(ran.errors.contains("main"), "{}", ran.errors);
}

#[test]
fn outside_a_repository_only_the_comparison_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    copy(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/base"),
        folder.path(),
    );
    let mut compared = program(folder.path());
    compared
        .arg("--compared-with=main")
        .env("GIT_CEILING_DIRECTORIES", folder.path().parent().unwrap());
    refused(&ran(&mut compared), "no git repository", "--compared-with");
    assert_eq!(ran(&mut program(folder.path())).code, 0);
}

#[test]
fn without_git_only_the_comparison_is_refused() {
    let repository = Repository::new();
    let nowhere = tempfile::tempdir().unwrap();
    let mut compared = program(&repository.records);
    compared
        .arg("--compared-with=main")
        .env("PATH", nowhere.path());
    refused(&ran(&mut compared), "git", "install git");
    assert_eq!(
        ran(program(&repository.records).env("PATH", nowhere.path())).code,
        0
    );
}

/// What git was told to take for unchanged is looked at all the same.
#[test]
fn a_file_flagged_as_unchanged_is_looked_at() {
    for flag in ["--assume-unchanged", "--skip-worktree"] {
        let repository = Repository::new();
        repository.git(&["update-index", flag, VISIT]);
        repository.change(VISIT, "by: rm", "by: ko");
        let ran = repository.compared_with("main");
        assert!(
            rules(&ran).contains(&"landed-record-altered"),
            "{flag}: {}",
            ran.printed
        );
    }
}

#[test]
fn records_that_are_not_checked_out_are_not_taken_for_deleted() {
    let repository = Repository::new();
    repository.git(&["update-index", "--skip-worktree", VISIT]);
    fs::remove_file(repository.records.join(VISIT)).unwrap();
    refused(
        &repository.compared_with("main"),
        VISIT,
        "git sparse-checkout disable",
    );
}

/// A file git no longer follows still lies there, and is what it was.
#[test]
fn a_record_taken_out_of_version_control_and_left_in_the_folder_is_the_same() {
    let repository = Repository::new();
    repository.git(&["rm", "--quiet", "--cached", VISIT]);
    let ran = repository.compared_with("main");
    assert_eq!((ran.code, rules(&ran).len()), (0, 0), "{}", ran.printed);
    repository.change(VISIT, "by: rm", "by: ko");
    let altered = repository.compared_with("main");
    assert_eq!(rules(&altered), ["landed-record-altered"]);
}

#[test]
fn records_kept_in_a_repository_of_their_own_are_refused() {
    let inner = Repository::new();
    let repository = Repository::new();
    let url = inner.folder.path().to_str().unwrap().to_owned();
    repository.git(&["submodule", "--quiet", "add", &url, "calibrations/dunlin"]);
    repository.land("a repository within");
    refused(
        &repository.compared_with("main"),
        "calibrations/dunlin was a repository of its own",
        "go to its own folder",
    );
}

#[test]
fn a_machine_that_is_gone_with_its_records_is_told() {
    let repository = Repository::new();
    let turnstone = |path: &str| repository.read(path).replace("heron", "turnstone");
    let (machine_file, visit) = (turnstone("machines/heron.yaml"), turnstone(VISIT));
    let turnstone_visit = VISIT.replace("heron", "turnstone");
    repository.write("machines/turnstone.yaml", &machine_file);
    repository.write(&turnstone_visit, &visit);
    repository.land("a second machine");
    fs::remove_file(repository.records.join("machines/turnstone.yaml")).unwrap();
    fs::remove_dir_all(repository.records.join("calibrations/turnstone")).unwrap();
    let ran = repository.compared_with("main");
    assert_eq!(
        rules(&ran),
        ["merged-without-machine-file", "requirement-relaxed"],
        "{}",
        ran.printed
    );
    assert!(findings(&ran)[0].starts_with("fleet.yaml"));
    assert!(findings(&ran)[0].contains(&turnstone_visit));
    repository.write(
        "waivers.yaml",
        &format!("record: waivers\ndeleted:\n  - {{file: {turnstone_visit}, reason: sold, by: ko, on: 2026-05-12}}\n"),
    );
    let noted = repository.compared_with("main");
    assert_eq!(
        (noted.code, rules(&noted)),
        (0, vec!["requirement-relaxed"]),
        "{}",
        noted.printed
    );
}

/// What is wrong with the machine on both sides does not hide what was altered since.
#[test]
fn an_alteration_is_told_where_the_machine_never_had_a_machine_file() {
    let repository = Repository::new();
    let visit = repository.read(VISIT).replace("heron", "turnstone");
    let path = VISIT.replace("heron", "turnstone");
    repository.write(&path, &visit);
    repository.land("a visit of nobody knows what");
    repository.change(&path, "by: rm", "by: ko");
    let ran = repository.compared_with("main");
    assert_eq!(
        rules(&ran),
        ["merged-without-machine-file"],
        "{}",
        ran.printed
    );
    assert_eq!(ran.code, 1);
}

/// Merged on both sides of a shallow end, a nearer base may lie behind it.
#[test]
fn a_base_that_may_not_be_the_nearest_is_refused() {
    let origin = Repository::new();
    let commit = |name: &str| {
        origin.write("notes.txt", name);
        origin.land(name);
    };
    // work comes from `two` by a long way, and from `one` by a short one.
    commit("one");
    origin.git(&["tag", "one"]);
    commit("two");
    commit("three");
    origin.git(&["checkout", "--quiet", "-b", "long", "main~1"]);
    for name in ["a", "b", "c", "d"] {
        origin.write(&format!("{name}.txt"), name);
        origin.land(name);
    }
    origin.git(&["checkout", "--quiet", "-b", "work", "one"]);
    origin.git(&["merge", "--quiet", "--no-ff", "--no-edit", "long"]);
    let clone = tempfile::tempdir().unwrap();
    let url = format!("file://{}", origin.folder.path().display());
    let cloned = git_in(
        clone.path(),
        &[
            "clone",
            "--quiet",
            "--depth",
            "3",
            "--no-single-branch",
            "--branch",
            "work",
            &url,
            "records",
        ],
    );
    assert!(cloned.status.success(), "{cloned:?}");
    let records = clone.path().join("records");
    let base = git_in(&records, &["merge-base", "origin/main", "HEAD"]);
    let one = git_in(&records, &["rev-parse", "one^{commit}"]);
    assert_eq!(base.stdout, one.stdout, "git takes the farther one here");
    refused(
        &compared_in(&records, "origin/main"),
        "history",
        "git fetch --unshallow",
    );
}

/// It would be another file than the one that was merged.
#[cfg(unix)]
#[test]
fn a_linked_record_is_not_read_on_either_side() {
    let repository = Repository::new();
    let text = repository.read(VISIT);
    repository.write("kept/visit.txt", &text);
    fs::remove_file(repository.records.join(VISIT)).unwrap();
    std::os::unix::fs::symlink("../../kept/visit.txt", repository.records.join(VISIT)).unwrap();
    repository.git(&["add", "--all"]);
    for more in ["--compared-with=HEAD", "--staged"] {
        let ran = ran(program(&repository.records).arg(more));
        assert_eq!(ran.code, 2, "{more}: {}{}", ran.printed, ran.errors);
        assert!(
            ran.printed.contains("a link is not followed"),
            "{}",
            ran.printed
        );
    }
}

/// A part that is asked for is no place to hide the rest.
#[test]
fn what_guards_merged_records_is_told_whatever_is_asked_for() {
    let repository = Repository::new();
    repository.change(VISIT, "by: rm", "by: ko");
    let asked = ran(program(&repository.records).args(["--compared-with=main", "fleet.yaml"]));
    assert_eq!(asked.code, 1, "{}", asked.printed);
    assert_eq!(
        rules(&asked),
        ["landed-record-altered"],
        "{}",
        asked.printed
    );
    fs::remove_file(repository.records.join(VISIT)).unwrap();
    let asked = ran(program(&repository.records).args(["--compared-with=main", "machines"]));
    assert_eq!(
        rules(&asked),
        ["landed-record-deleted"],
        "{}",
        asked.printed
    );
}

/// A cause may be ruled out after the record merged, which alters nothing that was recorded; what was said stays.
#[test]
fn a_cause_may_be_ruled_out_of_a_merged_record_and_stays_so() {
    let repository = Repository::new();
    let text = repository.read(VISIT);
    let ruled_out = "confirmed:\n  - {what: time-misread, by: rm, why: watch checked}\n";
    let with_one = format!("{text}{ruled_out}");
    repository.write(VISIT, &with_one);
    let ran = repository.compared_with("main");
    assert_eq!(
        (ran.code, rules(&ran)),
        (0, vec!["cause-confirmed"]),
        "{}",
        ran.printed
    );
    repository.land("ruled out");
    let more = "  - {what: jug-wrong, by: ko, why: jug weighed}\n";
    repository.write(VISIT, &format!("{with_one}{more}"));
    let ran = repository.compared_with("main");
    assert_eq!(rules(&ran), ["cause-confirmed"], "{}", ran.printed);
    for (what, text) in [
        ("reworded", with_one.replace("watch", "clock")),
        (
            "said by another",
            with_one.replace("by: rm, why", "by: ko, why"),
        ),
        (
            "of another cause",
            with_one.replace("time-misread", "set-worn"),
        ),
        ("erased", text.clone()),
    ] {
        repository.write(VISIT, &text);
        let ran = repository.compared_with("main");
        let altered = rules(&ran).contains(&"landed-record-altered");
        assert!(altered && ran.code == 1, "{what}: {}", ran.printed);
    }
    // A note excuses it, as any other alteration.
    let note = "amends:\n  - {on: 2026-03-20, by: ko, why: the watch was wrong after all}\n";
    repository.write(VISIT, &format!("{text}{note}"));
    let ran = repository.compared_with("main");
    assert_eq!(rules(&ran), ["landed-record-amended"], "{}", ran.printed);
}

/// Notes are added to; what is reworded, repeated or erased is no note, and is told itself.
#[test]
fn a_note_that_was_there_is_no_note_of_an_alteration() {
    let repository = Repository::new();
    let text = repository.read(VISIT);
    let note = "amends:\n  - {on: 2026-03-20, by: ko, why: hours misread}\n";
    let noted = format!("{text}{note}");
    repository.write(VISIT, &noted);
    repository.land("noted");
    let altered = |text: &str| text.replacen("by: rm", "by: ko", 1);
    let again = format!("{noted}  - {{on: 2026-03-20, by: ko, why: hours misread}}\n");
    for (what, text) in [
        (
            "reworded",
            altered(&noted).replace("misread", "misread by one"),
        ),
        ("repeated", altered(&again)),
        ("erased with it", altered(&text)),
        ("erased alone", text.clone()),
        (
            "reworded alone",
            noted.replace("by: ko, why", "by: rm, why"),
        ),
    ] {
        repository.write(VISIT, &text);
        let ran = repository.compared_with("main");
        assert_eq!(
            rules(&ran),
            ["landed-record-altered"],
            "{what}: {}",
            ran.printed
        );
    }
    let added = "  - {on: 2026-03-21, by: ko, why: entered under the wrong initials}\n";
    repository.write(VISIT, &format!("{}{added}", altered(&noted)));
    let ran = repository.compared_with("main");
    assert_eq!(rules(&ran), ["landed-record-amended"], "{}", ran.printed);
}

#[test]
fn a_deletion_noted_before_the_record_went_is_not_noted() {
    let repository = Repository::new();
    let note = format!(
        "record: waivers\ndeleted:\n  - {{file: {VISIT}, reason: entered twice, by: ko, on: 2026-03-12}}\n"
    );
    repository.write("waivers.yaml", &note);
    repository.land("noted beforehand");
    fs::remove_file(repository.records.join(VISIT)).unwrap();
    let told = repository.compared_with("main");
    assert!(
        rules(&told).contains(&"landed-record-deleted"),
        "{}",
        told.printed
    );
    let again = format!(
        "{note}  - {{file: {VISIT}, reason: entered twice indeed, by: ko, on: 2026-05-12}}\n"
    );
    repository.write("waivers.yaml", &again);
    let told = repository.compared_with("main");
    assert!(
        !rules(&told).contains(&"landed-record-deleted"),
        "{}",
        told.printed
    );
}

/// Its file, its folders and its name in them are changed together: one change, and what is altered beside it is found.
#[test]
fn a_machine_that_is_renamed_is_the_same_machine() {
    let repository = Repository::new();
    faulty_visit(&repository, "calibrations/heron/2026-04-20.yaml");
    repository.change(
        "fleet.yaml",
        "usual:",
        "limits: {at-machine: {heron: {short-catch: {weakens: at least 21 s, because: a trial}}}}\nusual:",
    );
    repository.land("a fault lands");
    repository.branch("work");
    let rename = |path: &str| {
        let text = repository.read(path).replace(": heron", ": \"avocet\"");
        fs::remove_file(repository.records.join(path)).unwrap();
        repository.write(&path.replace("heron", "avocet"), &text);
    };
    rename("machines/heron.yaml");
    rename(VISIT);
    rename("calibrations/heron/2026-04-20.yaml");
    repository.change("fleet.yaml", "{heron:", "{avocet:");
    let ran = repository.compared_with("main");
    assert_eq!(
        (ran.code, rules(&ran)),
        (0, vec!["machine-renamed"]),
        "{}",
        ran.printed
    );
    assert!(
        findings(&ran)[0]
            .contains("heron is renamed to avocet, with its machine file and 2 records"),
        "{}",
        ran.printed
    );
    let renamed = VISIT.replace("heron", "avocet");
    repository.change(&renamed, "by: rm", "by: ko");
    let altered = repository.compared_with("main");
    assert_eq!(
        rules(&altered),
        ["landed-record-altered", "machine-renamed"],
        "{}",
        altered.printed
    );
    fs::remove_file(repository.records.join(&renamed)).unwrap();
    let deleted = repository.compared_with("main");
    assert!(
        rules(&deleted).contains(&"landed-record-deleted"),
        "{}",
        deleted.printed
    );
    // Another machine is not the same one renamed.
    repository.change("machines/avocet.yaml", "size: \"06\"", "size: \"08\"");
    let other = repository.compared_with("main");
    assert!(
        rules(&other).contains(&"merged-without-machine-file"),
        "{}",
        other.printed
    );
}

/// Whoever opens a change decides neither what it is judged by, nor how much that weighs.
#[test]
fn how_much_a_relaxed_requirement_weighs_is_set_in_the_base() {
    let repository = Repository::new();
    let relax = |text: &str| repository.change("fleet.yaml", "usual:", &format!("{text}\nusual:"));
    relax("coverage-factor: 3");
    let by_default = repository.compared_with("main");
    assert_eq!(
        (by_default.code, rules(&by_default)),
        (0, vec!["requirement-relaxed"]),
        "{}",
        by_default.printed
    );
    let strict =
        ran(program(&repository.records).args(["--compared-with=main", "--fail-from=warning"]));
    assert_eq!(strict.code, 1, "{}", strict.printed);
    repository.change("fleet.yaml", "coverage-factor: 3\n", "");
    relax("limits: {requirement-relaxed: {error: any, because: ko decides}}");
    repository.land("the group sets it to fail");
    repository.branch("work");
    repository.change("fleet.yaml", "error: any", "error: none");
    relax("enforce-from: 2026-05-01");
    let ran = ran(program(&repository.records).args(["--compared-with=main", "machines"]));
    assert_eq!(
        (ran.code, rules(&ran)),
        (1, vec!["requirement-relaxed", "requirement-relaxed"]),
        "{}",
        ran.printed
    );
    assert!(
        findings(&ran)
            .iter()
            .all(|line| line.contains(": error: relaxes a requirement: ")),
        "{}",
        ran.printed
    );
}

/// What was found and is found no more is told where the requirements are what changed.
#[test]
fn a_finding_that_only_a_relaxed_requirement_takes_away_is_told() {
    let repository = Repository::new();
    faulty_visit(&repository, "calibrations/heron/2026-04-20.yaml");
    repository.land("a fault lands");
    repository.branch("work");
    let limit =
        "limits: {nozzle-off-mean: {error: 40%, warning: none, because: tips are on order}}";
    repository.change("fleet.yaml", "usual:", &format!("{limit}\nusual:"));
    let ran = repository.compared_with("main");
    let told = findings(&ran);
    let told: Vec<&&str> = told
        .iter()
        .filter(|line| line.contains("requirement-relaxed"))
        .collect();
    assert_eq!(told.len(), 3, "{}", ran.printed);
    assert!(
        told[0].starts_with("calibrations/heron/2026-04-20.yaml:15:")
            && told[0].contains("nozzle-off-mean would be an error here"),
        "{}",
        ran.printed
    );
    // Put right in the record itself, nothing was relaxed.
    repository.git(&["checkout", "--quiet", "--", "fleet.yaml"]);
    repository.change("calibrations/heron/2026-04-20.yaml", "42.5", "36.5");
    let mended = repository.compared_with("main");
    assert_eq!(
        rules(&mended),
        ["landed-record-altered"],
        "{}",
        mended.printed
    );
}

/// Before a first commit nothing could be altered, and all that is staged is new; any other history must be compared.
#[test]
fn a_first_commit_is_checked_as_a_whole() {
    let repository = Repository::new();
    faulty_visit(&repository, "calibrations/heron/2026-05-20.yaml");
    repository.git(&["add", "--all"]);
    repository.git(&["update-ref", "-d", "HEAD"]);
    let check = |more: &[&str]| ran(program(&repository.records).args(more));
    let first = check(&["--staged", "--compared-with=HEAD"]);
    assert_eq!(first.code, 1, "{}{}", first.printed, first.errors);
    assert_eq!(first.printed, check(&["--staged"]).printed);
    let nothing = |ran: &Ran| refused(ran, "nothing is committed here yet", "commit the records");
    nothing(&check(&["--staged", "--compared-with=main"]));
    nothing(&check(&["--compared-with=HEAD"]));
    repository.git(&["commit", "--quiet", "--message", "merged"]);
    repository.git(&["checkout", "--quiet", "--orphan", "another"]);
    nothing(&check(&["--staged", "--compared-with=HEAD"]));
}

//! Links and repositories among the records, and what is swapped for a link while they are read: nothing outside is ever read or told.
#![cfg(unix)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test of what is read makes files and links as somebody else would"
)]

use crate::versioned::{PROGRAM, TODAY, VISIT, copy, git_in};
use std::collections::BTreeSet;
use std::fs;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use swathlint::cli::files::{self, Records};
use tempfile::TempDir;

/// What no run may print. It is no record: whatever read it would show the line.
const CANARY: &str = "key: [canary-5b1f";

/// A folder with the clean records in `records/`, and a canary beside them, hidden in them, and outside.
struct Place {
    root: PathBuf,
    /// Is gone with all that is in it when nobody holds it any more.
    _folder: TempDir,
}

impl Place {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let root = fs::canonicalize(folder.path()).unwrap().join("records");
        let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/base");
        copy(&base, &root);
        let place = Self {
            root,
            _folder: folder,
        };
        place.write("../outside.yaml", CANARY);
        place.write("../outside/2026-03-09.yaml", CANARY);
        place.write(".env", CANARY);
        place.write(".hidden/x.yaml", CANARY);
        place
    }

    /// The same under version control, all but what is hidden committed.
    fn tracked() -> Self {
        let place = Self::new();
        place.git(&["init", "--quiet"]);
        place.git(&["add", "--", "*.yaml", ":!.hidden"]);
        place
    }

    fn at(&self, path: &str) -> PathBuf {
        self.root.join(path)
    }

    fn write(&self, path: &str, text: &str) {
        let path = self.at(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    fn link(&self, target: impl AsRef<Path>, path: &str) {
        let path = self.at(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        symlink(target, path).unwrap();
    }

    fn git(&self, arguments: &[&str]) {
        let done = git_in(&self.root, arguments);
        assert!(done.status.success(), "git {arguments:?}: {done:?}");
    }

    fn found(&self) -> Records {
        files::find(&self.root)
    }

    fn ran(&self, arguments: &[&str]) -> (String, i32) {
        ran(&self.root, arguments)
    }

    /// Asserts that no command reads a link, that all say so, and that none shows a canary.
    fn assert_not_read(&self, path: &str, why: &str) {
        let line = format!("could not read {path}: {why}");
        for command in ["check --width 500", "due --width 500", "figures", "rules"] {
            let (printed, code) = self.ran(&command.split(' ').collect::<Vec<_>>());
            assert!(!printed.contains("canary"), "{command}: {printed}");
            if command == "rules" {
                assert!(printed.contains("may change these rules"), "{printed}");
            } else {
                assert_eq!(code, 2, "{command}: {printed}");
                assert!(printed.contains(&line), "{line} is not in:\n{printed}");
            }
        }
    }
}

/// What a command prints in a folder on the first of June 2026, to its output and its errors, and its exit code.
fn ran(folder: &Path, arguments: &[&str]) -> (String, i32) {
    let output = assert_cmd::Command::new(PROGRAM)
        .current_dir(folder)
        .args(arguments)
        .args(["--today", TODAY])
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .env("NO_COLOR", "1")
        // A hang ends by it.
        .timeout(Duration::from_secs(20))
        .output()
        .unwrap();
    let printed = [output.stdout, output.stderr].concat();
    let code = output.status.code().expect("the program ends by itself");
    (String::from_utf8(printed).unwrap(), code)
}

/// Why no link is read.
const NO_LINK: &str = "a link is not followed: put what it leads to in its place";

#[test]
fn no_link_in_the_place_of_a_record_is_followed() {
    let place = Place::tracked();
    place.write("shared/c.yaml", "record: [");
    place.git(&["add", "shared"]);
    let outside = place.at("../outside.yaml");
    let rows: [&Path; 12] = [
        Path::new("../../outside.yaml"),
        &outside,
        Path::new("/proc/self/environ"),
        Path::new("/dev/zero"),
        Path::new("/nothing/at/all"),
        Path::new("../.env"),
        Path::new("../.hidden/x.yaml"),
        Path::new("../.git/config"),
        // Not even to another file of the records: what a comparison takes for merged would be another file.
        Path::new("../shared/c.yaml"),
        Path::new("../fleet.yaml"),
        Path::new("../machines"),
        Path::new("c.yaml"),
    ];
    for target in rows {
        place.link(target, "house-rules/c.yaml");
        place.assert_not_read("house-rules/c.yaml", NO_LINK);
        fs::remove_file(place.at("house-rules/c.yaml")).unwrap();
    }
}

#[test]
fn no_link_in_the_place_of_a_folder_is_followed() {
    let place = Place::tracked();
    for (name, target) in [
        ("dunlin", "../../outside"),
        ("stilt", "heron"),
        ("dowitcher", "../.hidden"),
        ("knot", "../nowhere"),
    ] {
        let path = format!("calibrations/{name}");
        place.link(target, &path);
        place.assert_not_read(&path, NO_LINK);
    }
    fs::rename(place.at("machines"), place.at("kept")).unwrap();
    place.link("kept", "machines");
    place.assert_not_read("machines", NO_LINK);
}

#[test]
fn records_may_lie_in_a_hidden_folder_or_behind_a_link_of_the_users_own() {
    let place = Place::tracked();
    let around = place.root.parent().unwrap();
    fs::rename(&place.root, around.join(".config")).unwrap();
    symlink(".config", &place.root).unwrap();
    for folder in ["../.config", "../records", "."] {
        let (printed, code) = place.ran(&["check", folder]);
        assert_eq!(code, 0, "{folder}: {printed}");
    }
}

/// A link that a change brings would choose which records are read, and what they are compared with.
#[test]
fn no_way_leads_through_a_link_under_version_control() {
    let place = Place::new();
    place.git(&["init", "--quiet", ".."]);
    place.link("records", "../planted");
    place.link("records", "../mine");
    place.link("planted", "../through");
    place.git(&["add", "../planted"]);
    let around = place.root.parent().unwrap();
    for (way, is_followed) in [("planted", false), ("mine", true), ("through", false)] {
        for folder in [
            way.to_owned(),
            format!("{way}/machines"),
            format!("./{way}/machines/heron.yaml"),
        ] {
            let (printed, code) = ran(around, &["check", &folder]);
            assert_eq!(code == 0, is_followed, "{folder}: {printed}");
            assert_eq!(
                printed.contains("is a link that is under version control"),
                !is_followed,
                "{printed}"
            );
        }
        // As a shell goes there, which tells the program by which way.
        let script = format!("cd {way} && {PROGRAM} check --today {TODAY}");
        let output = Command::new("sh")
            .args(["-c", &script])
            .current_dir(around)
            .output();
        assert_eq!(output.unwrap().status.success(), is_followed, "{way}");
    }
}

#[test]
fn a_fleet_file_that_is_a_link_is_told_and_leads_nowhere() {
    let place = Place::tracked();
    place.link("../../outside.yaml", "machines/fleet.yaml");
    let (printed, code) = place.ran(&["check", "machines", "--width", "500"]);
    assert_eq!(code, 2, "{printed}");
    assert!(printed.contains(NO_LINK), "{printed}");
    fs::remove_file(place.at("machines/fleet.yaml")).unwrap();
    fs::remove_file(place.at("fleet.yaml")).unwrap();
    place.link("../outside.yaml", "fleet.yaml");
    place.assert_not_read("fleet.yaml", NO_LINK);
}

#[test]
fn a_link_that_is_named_leads_to_no_other_records() {
    let (place, other) = (Place::tracked(), Place::tracked());
    other.write("machines/heron.yaml", CANARY);
    place.link(other.at("machines/heron.yaml"), "machines/out.yaml");
    let (printed, code) = place.ran(&["check", "machines/out.yaml", "--width", "500"]);
    assert_eq!(code, 2, "{printed}");
    assert!(printed.contains(NO_LINK), "{printed}");
    assert!(!printed.contains("canary"), "{printed}");
}

#[test]
fn a_repository_within_the_records_is_told_and_a_hidden_one_passed_over() {
    const WHY: &str = "a git repository within the records: ";
    let place = Place::tracked();
    place.git(&["init", "--quiet", ".ci/sub"]);
    let (printed, code) = place.ran(&["check"]);
    assert_eq!(code, 0, "{printed}");
    place.git(&["init", "--quiet", "vendor/rules"]);
    place.assert_not_read("vendor/rules", WHY);
    place.git(&["init", "--quiet", "--bare", "calibrations/dunlin"]);
    place.assert_not_read("calibrations/dunlin", WHY);
    // The records of a part are judged with all, and so is this.
    let (printed, code) = place.ran(&["check", "machines"]);
    assert_eq!(code, 2, "{printed}");
}

#[test]
fn a_root_that_git_may_take_for_a_repository_is_told() {
    let place = Place::new();
    place.git(&["init", "--quiet", ".."]);
    place.git(&["init", "--quiet", "--bare", "."]);
    place.assert_not_read(".", "git may take it for a repository by its HEAD");
}

/// Puts something in the place of something else.
type Swap = fn(&Place);

#[test]
fn what_becomes_a_link_after_it_was_listed_is_not_read() {
    const IS_LINK: &str = "it is now a link, and a link is not followed";
    let rows: [(&str, Swap, &str); 5] = [
        (
            "a file",
            |place| {
                fs::remove_file(place.at(VISIT)).unwrap();
                place.link("../../../outside.yaml", VISIT);
            },
            IS_LINK,
        ),
        (
            "a file, within the records",
            |place| {
                fs::remove_file(place.at(VISIT)).unwrap();
                place.link("../../.env", VISIT);
            },
            IS_LINK,
        ),
        (
            "the folder of a machine",
            |place| {
                fs::remove_dir_all(place.at("calibrations/heron")).unwrap();
                place.link("../../outside", "calibrations/heron");
            },
            "a part of the path is not a folder",
        ),
        (
            "the folder of all",
            |place| {
                place.write("../outside/heron/2026-03-09.yaml", CANARY);
                fs::remove_dir_all(place.at("calibrations")).unwrap();
                place.link("../outside", "calibrations");
            },
            "a part of the path is not a folder",
        ),
        (
            "a pipe",
            |place| {
                fs::remove_file(place.at(VISIT)).unwrap();
                let made = Command::new("mkfifo").arg(place.at(VISIT)).status();
                assert!(made.unwrap().success());
            },
            "a named pipe, not a file with a record",
        ),
    ];
    for (what, swap, why) in rows {
        let place = Place::new();
        let records = place.found();
        assert!(records.read(VISIT).is_ok());
        swap(&place);
        assert_eq!(records.read(VISIT), Err(why.to_owned()), "{what}");
    }
}

#[test]
fn the_root_is_the_one_that_was_listed() {
    let place = Place::new();
    let records = place.found();
    let expected = records.read("fleet.yaml").unwrap();
    fs::rename(&place.root, place.at("../aside")).unwrap();
    place.write("fleet.yaml", CANARY);
    assert_eq!(records.read("fleet.yaml").unwrap(), expected);
}

/// Reads a visit again and again, as it was listed each time, while somebody swaps it.
fn race(place: &Place, swap: impl Fn() + Sync) {
    const LISTINGS: usize = 100;
    const READINGS: usize = 200;
    let is_over = AtomicBool::new(false);
    let texts = std::thread::scope(|scope| {
        scope.spawn(|| {
            while !is_over.load(Ordering::Relaxed) {
                swap();
            }
        });
        let mut texts = BTreeSet::new();
        for _ in 0..LISTINGS {
            let records = place.found();
            texts.extend((0..READINGS).filter_map(|_| records.read(VISIT).ok()));
        }
        is_over.store(true, Ordering::Relaxed);
        texts
    });
    let record = fs::read(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("fixtures/base")
            .join(VISIT),
    );
    assert_eq!(texts, BTreeSet::from([record.unwrap()]));
}

#[test]
fn a_race_between_listing_and_reading_shows_nothing() {
    let place = Place::new();
    let (record, swapped) = (place.at("../record.yaml"), place.at("../swapped"));
    fs::copy(place.at(VISIT), &record).unwrap();
    race(&place, || {
        // A rename puts each in the place of the other at once, so that there is always one.
        symlink(place.at("../outside.yaml"), &swapped).unwrap();
        fs::rename(&swapped, place.at(VISIT)).unwrap();
        fs::copy(&record, &swapped).unwrap();
        fs::rename(&swapped, place.at(VISIT)).unwrap();
    });
}

#[test]
fn a_race_for_a_folder_shows_nothing() {
    let place = Place::new();
    let (folder, aside, link) = (
        place.at("calibrations/heron"),
        place.at("../aside"),
        place.at("../link"),
    );
    symlink(place.at("../outside"), &link).unwrap();
    race(&place, || {
        fs::rename(&folder, &aside).unwrap();
        fs::rename(&link, &folder).unwrap();
        fs::rename(&folder, &link).unwrap();
        fs::rename(&aside, &folder).unwrap();
    });
}

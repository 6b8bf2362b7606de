//! Changes by somebody who may open a pull request and nothing else: no file of one runs a program, or chooses what it is compared with
#![cfg(unix)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test of the program makes repositories as its user does"
)]

use crate::versioned::{self, Ran, Repository, VISIT, git_in, program, ran, refused, rules};
use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A program that leaves a mark where it ran.
struct Canary {
    folder: TempDir,
}

impl Canary {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let canary = Self { folder };
        let text = format!("#!/bin/sh\ntouch {}\ncat\n", canary.mark().display());
        fs::write(canary.program(), text).unwrap();
        executable(&canary.program());
        canary
    }

    fn mark(&self) -> PathBuf {
        self.folder.path().join("ran")
    }

    fn program(&self) -> PathBuf {
        self.folder.path().join("program")
    }

    fn assert_silent(&self, way: &str) {
        assert!(!self.mark().exists(), "{way}: a program of the change ran");
    }
}

fn executable(file: &Path) {
    fs::set_permissions(file, fs::Permissions::from_mode(0o755)).unwrap();
}

/// The fleet in a folder of the repository, and a change that alters a merged record without a note.
fn altered() -> Repository {
    let repository = Repository::with_records_in("records");
    repository.change(VISIT, "by: rm", "by: ko");
    repository.land("a merged record tidied");
    repository
}

/// As from the records' folder, and with the folder given.
fn both_ways(repository: &Repository, revision: &str) -> [Ran; 2] {
    let compared = format!("--compared-with={revision}");
    [
        ran(program(&repository.records).arg(&compared)),
        ran(program(repository.folder.path()).args([compared.as_str(), "records"])),
    ]
}

fn tells_of_the_alteration(way: &str, ran: &Ran) {
    assert_eq!(ran.code, 1, "{way}: {}{}", ran.printed, ran.errors);
    assert!(
        rules(ran).contains(&"landed-record-altered"),
        "{way}: {}",
        ran.printed
    );
}

/// A bare repository in the records, whose settings name a program, and whose history has the change as its base.
fn embedded_repository(repository: &Repository, canary: &Canary) {
    let bare = repository.records.join("bare");
    let url = repository.folder.path().to_str().unwrap().to_owned();
    repository.git(&["clone", "--quiet", "--bare", &url, bare.to_str().unwrap()]);
    for part in ["HEAD", "objects", "refs", "config", "packed-refs"] {
        if bare.join(part).exists() {
            fs::rename(bare.join(part), repository.records.join(part)).unwrap();
        }
    }
    fs::remove_dir_all(bare).unwrap();
    let program = canary.program();
    let program = program.display();
    fs::write(
        repository.records.join("config"),
        format!(
            "[core]\n\trepositoryformatversion = 0\n\tbare = false\n\tworktree = .\n\tfsmonitor = {program}\n\
             \thooksPath = {folder}\n\tsshCommand = {program}\n[diff]\n\texternal = {program}\n",
            folder = canary.folder.path().display(),
        ),
    )
    .unwrap();
}

#[test]
fn a_repository_embedded_in_the_records_runs_nothing_and_is_no_base() {
    let canary = Canary::new();
    let repository = altered();
    embedded_repository(&repository, &canary);
    repository.land("a repository within");
    for ran in both_ways(&repository, "HEAD^1") {
        canary.assert_silent(&ran.printed);
    }
    for ran in both_ways(&repository, "HEAD~2") {
        canary.assert_silent(&ran.printed);
        assert_eq!(ran.code, 2, "{}", ran.printed);
        let told = ran.printed.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains("landed-record-altered"), "{told}");
        assert!(told.contains("git may take it for a repository"), "{told}");
    }
}

#[test]
fn variables_of_git_move_nothing() {
    let empty = tempfile::tempdir().unwrap();
    git_in(empty.path(), &["init", "--quiet"]);
    let elsewhere = empty.path().join(".git");
    let elsewhere = elsewhere.to_str().unwrap();
    let trace = empty.path().join("trace");
    let canary = Canary::new();
    let canary_program = canary.program();
    let rows: [(&str, &str); 15] = [
        ("GIT_DIR", elsewhere),
        ("GIT_COMMON_DIR", elsewhere),
        ("GIT_WORK_TREE", empty.path().to_str().unwrap()),
        ("GIT_INDEX_FILE", "/nowhere"),
        ("GIT_OBJECT_DIRECTORY", elsewhere),
        ("GIT_ALTERNATE_OBJECT_DIRECTORIES", elsewhere),
        ("GIT_NAMESPACE", "x"),
        ("GIT_CONFIG_PARAMETERS", "'core.bare=true'"),
        ("GIT_CONFIG", elsewhere),
        ("GIT_EXTERNAL_DIFF", canary_program.to_str().unwrap()),
        ("GIT_CEILING_DIRECTORIES", "/"),
        ("GIT_GRAFT_FILE", elsewhere),
        ("GIT_SHALLOW_FILE", elsewhere),
        ("GIT_LITERAL_PATHSPECS", "0"),
        ("GIT_TRACE", trace.to_str().unwrap()),
    ];
    let repository = altered();
    for (name, value) in rows {
        let ran = ran(program(&repository.records)
            .arg("--compared-with=HEAD^1")
            .env(name, value));
        tells_of_the_alteration(name, &ran);
        canary.assert_silent(name);
        assert!(!trace.exists(), "{name}");
    }
}

/// Everything below a folder: contents, and when they were changed.
fn all_in(folder: &Path) -> BTreeMap<PathBuf, (Vec<u8>, std::time::SystemTime)> {
    let mut all = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let changed = fs::symlink_metadata(&path).unwrap().modified().unwrap();
        if path.is_dir() {
            all.extend(all_in(&path));
            all.insert(path, (Vec::new(), changed));
        } else {
            all.insert(path.clone(), (fs::read(&path).unwrap(), changed));
        }
    }
    all
}

#[test]
fn nothing_is_written_into_the_repository() {
    let repository = altered();
    // The same text at another time: git would write that into its index.
    let an_hour_ago = std::time::SystemTime::now() - std::time::Duration::from_hours(1);
    let file = fs::File::options()
        .write(true)
        .open(repository.records.join("fleet.yaml"));
    file.unwrap().set_modified(an_hour_ago).unwrap();
    let git = repository.folder.path().join(".git");
    let before = all_in(&git);
    for arguments in [
        ["--compared-with=HEAD^1", "--fail-from=never"],
        ["--staged", "--compared-with=HEAD^1"],
    ] {
        ran(program(&repository.records).args(arguments));
        assert!(
            all_in(&git) == before,
            "{arguments:?} changed the repository"
        );
    }
}

/// Settings that name a program, in the repository's own settings and attributes.
#[test]
fn no_program_that_settings_name_is_run() {
    let canary = Canary::new();
    let repository = altered();
    let program_named = canary.program();
    let named = program_named.to_str().unwrap();
    let hooks = canary.folder.path().join("hooks");
    fs::create_dir(&hooks).unwrap();
    for hook in [
        "post-index-change",
        "fsmonitor-watchman",
        "post-checkout",
        "reference-transaction",
    ] {
        fs::copy(canary.program(), hooks.join(hook)).unwrap();
    }
    repository.write(
        "../.gitattributes",
        "* filter=x diff=x merge=x\n*.yaml text working-tree-encoding=UTF-8\n",
    );
    repository.land("attributes");
    for (key, value) in [
        ("core.fsmonitor", named),
        ("core.hooksPath", hooks.to_str().unwrap()),
        ("core.pager", named),
        ("pager.diff", named),
        ("pager.ls-tree", named),
        ("core.editor", named),
        ("core.askPass", named),
        ("core.sshCommand", named),
        ("core.gitProxy", named),
        ("core.alternateRefsCommand", named),
        ("credential.helper", named),
        ("diff.external", named),
        ("diff.x.command", named),
        ("diff.x.textconv", named),
        ("filter.x.clean", named),
        ("filter.x.smudge", named),
        ("filter.x.process", named),
        ("filter.x.required", "true"),
        ("merge.x.driver", named),
        ("gpg.program", named),
        ("log.showSignature", "true"),
        ("alias.rev-parse", &format!("!{named}")),
        ("alias.ls-tree", &format!("!{named}")),
        ("uploadpack.packObjectsHook", named),
        ("core.untrackedCache", "true"),
        ("index.skipHash", "true"),
    ] {
        repository.git(&["config", key, value]);
    }
    fs::remove_file(canary.mark()).ok();
    let text = repository.read("fleet.yaml");
    repository.write("fleet.yaml", &text);
    for ran in both_ways(&repository, "HEAD~2") {
        tells_of_the_alteration("settings", &ran);
    }
    let staged = ran(program(&repository.records).args(["--staged", "--compared-with=HEAD~2"]));
    tells_of_the_alteration("settings, staged", &staged);
    canary.assert_silent("settings");
}

#[test]
fn a_missing_object_is_not_fetched() {
    let canary = Canary::new();
    let repository = altered();
    let named = canary.program();
    let url = format!("ext::{}", named.display());
    for (key, value) in [
        ("extensions.partialClone", "origin"),
        ("core.repositoryFormatVersion", "1"),
        ("remote.origin.url", url.as_str()),
        ("remote.origin.promisor", "true"),
        ("protocol.ext.allow", "always"),
    ] {
        repository.git(&["config", key, value]);
    }
    let object = repository.git(&["rev-parse", &format!("HEAD^1:records/{VISIT}")]);
    let object = String::from_utf8(object.stdout).unwrap();
    let (folder, file) = object.trim().split_at(2);
    let kept = repository
        .folder
        .path()
        .join(".git/objects")
        .join(folder)
        .join(file);
    fs::remove_file(kept).unwrap();
    let ran = ran(program(&repository.records).arg("--compared-with=HEAD^1"));
    refused(&ran, "could not be read", "see the report for which");
    let told =
        format!("{VISIT}: could not read: as it was at HEAD^1: git does not have what it was");
    assert!(ran.printed.contains(&told), "{}", ran.printed);
    canary.assert_silent("a missing object");
}

#[test]
fn a_git_that_lies_in_the_repository_is_not_run() {
    let canary = Canary::new();
    let repository = altered();
    fs::copy(canary.program(), repository.folder.path().join("git")).unwrap();
    fs::copy(canary.program(), repository.records.join("git")).unwrap();
    for first in [repository.folder.path().to_str().unwrap(), ".", ""] {
        let path = format!("{first}:{}", std::env::var("PATH").unwrap());
        let ran = ran(program(&repository.records)
            .arg("--compared-with=HEAD^1")
            .env("PATH", path));
        tells_of_the_alteration(first, &ran);
        canary.assert_silent(first);
    }
}

#[test]
fn what_replaces_an_object_replaces_nothing_here() {
    let repository = altered();
    // The commit that is compared with would have the altered record already.
    repository.git(&["replace", "HEAD^1", "HEAD"]);
    tells_of_the_alteration("replaced", &both_ways(&repository, "HEAD^1")[0]);
}

#[test]
fn a_name_of_two_things_is_refused() {
    let repository = Repository::with_records_in("records");
    repository.branch("work");
    repository.change(VISIT, "by: rm", "by: ko");
    repository.land("a merged record tidied");
    tells_of_the_alteration("branch", &both_ways(&repository, "main")[0]);
    repository.git(&["tag", "main", "work"]);
    refused(
        &both_ways(&repository, "main")[0],
        "more than one thing",
        "refs/heads/main",
    );
    tells_of_the_alteration("in full", &both_ways(&repository, "refs/heads/main")[0]);
}

/// The repository of a change, with its own base, at a folder that the outer one had files in.
#[test]
fn a_repository_in_the_place_of_the_records_is_refused() {
    for marker in ["folder", "file", "link"] {
        let repository = altered();
        git_in(&repository.records, &["init", "--quiet"]);
        for message in ["base", "head"] {
            git_in(&repository.records, &["add", "--all"]);
            git_in(
                &repository.records,
                &["commit", "--quiet", "--allow-empty", "-m", message],
            );
        }
        let git = repository.records.join(".git");
        let kept = repository.folder.path().join("kept");
        if marker != "folder" {
            fs::rename(&git, &kept).unwrap();
        }
        match marker {
            "file" => fs::write(&git, "gitdir: ../kept\n").unwrap(),
            "link" => symlink("../kept", &git).unwrap(),
            _ => {}
        }
        let (words, help) = if marker == "link" {
            ("is a link", "put the repository itself there")
        } else {
            ("within the repository", "take the inner repository out")
        };
        for ran in both_ways(&repository, "HEAD^1") {
            refused(&ran, words, help);
        }
    }
}

#[test]
fn a_submodule_that_a_change_puts_in_the_place_of_the_records_is_refused() {
    let other = Repository::new();
    other.land("one more commit");
    let repository = altered();
    let url = other.folder.path().to_str().unwrap().to_owned();
    repository.git(&["rm", "-r", "--quiet", "records"]);
    repository.git(&["submodule", "--quiet", "add", &url, "records"]);
    repository.land("a submodule in its place");
    for ran in both_ways(&repository, "HEAD^1") {
        refused(
            &ran,
            "within the repository",
            "take the inner repository out",
        );
    }
}

#[test]
fn records_that_are_a_submodule_are_compared_in_their_own_repository() {
    let other = Repository::new();
    other.land("one more commit");
    let outer = Repository::with_records_in("elsewhere");
    let url = other.folder.path().to_str().unwrap().to_owned();
    outer.git(&["submodule", "--quiet", "add", &url, "records"]);
    outer.land("records are a submodule");
    let records = outer.folder.path().join("records");
    let visit = fs::read_to_string(records.join(VISIT)).unwrap();
    fs::write(records.join(VISIT), visit.replace("by: rm", "by: ko")).unwrap();
    let compared =
        |revision: &str| ran(program(&records).arg(format!("--compared-with={revision}")));
    tells_of_the_alteration("a submodule", &compared("HEAD"));
    let names = ["HEAD", "HEAD^1"].map(|name| {
        let commit = git_in(&records, &["rev-parse", name]);
        String::from_utf8(commit.stdout).unwrap().trim().to_owned()
    });
    let [base, earlier] = &names;
    // What only the inner one knows is named in full, and lies behind what is checked out.
    git_in(&records, &["tag", "merged"]);
    refused(
        &compared("merged"),
        "does not know",
        "name the commit in full",
    );
    tells_of_the_alteration("in full", &compared(base));
    // A change of the outer repository that moves it on chooses nothing.
    git_in(
        &records,
        &["commit", "--quiet", "--all", "--message", "tidied"],
    );
    git_in(
        &records,
        &[
            "commit",
            "--quiet",
            "--allow-empty",
            "--message",
            "and one more",
        ],
    );
    outer.land("moved on");
    refused(&compared("HEAD^1"), "moves it on", base);
    tells_of_the_alteration("moved on", &compared(base));
    // Nor does one that moves it back.
    git_in(&records, &["checkout", "--quiet", earlier]);
    outer.land("moved back");
    refused(
        &compared(base),
        "within the repository",
        "take the inner repository out",
    );
}

#[test]
fn each_repository_around_the_records_is_held_against_the_next() {
    let innermost = Repository::new();
    innermost.land("one more commit");
    let url = |repository: &Repository| repository.folder.path().to_str().unwrap().to_owned();
    let middle = Repository::with_records_in("elsewhere");
    middle.git(&["submodule", "--quiet", "add", &url(&innermost), "records"]);
    middle.land("records are a submodule");
    let outer = Repository::with_records_in("middle/records");
    outer.change(VISIT, "by: rm", "by: ko");
    outer.git(&["rm", "-r", "--quiet", "--force", "middle"]);
    outer.git(&["submodule", "--quiet", "add", &url(&middle), "middle"]);
    outer.git(&[
        "-c",
        "protocol.file.allow=always",
        "submodule",
        "--quiet",
        "update",
        "--init",
        "--recursive",
    ]);
    outer.land("submodules in its place");
    let records = outer.folder.path().join("middle/records");
    let ran = ran(program(&records).arg("--compared-with=HEAD^1"));
    refused(
        &ran,
        "did not have it as a submodule before",
        "take the inner repository out",
    );
}

#[test]
fn a_repository_that_the_one_around_it_does_not_keep_is_its_own() {
    let outer = tempfile::tempdir().unwrap();
    git_in(outer.path(), &["init", "--quiet"]);
    let inner = altered();
    let moved = outer.path().join("inner");
    fs::rename(inner.folder.path(), &moved).unwrap();
    let ran = ran(program(&moved.join("records")).arg("--compared-with=HEAD^1"));
    fs::create_dir(inner.folder.path()).unwrap();
    tells_of_the_alteration("its own", &ran);
}

/// Where nothing was merged, nothing can have been altered.
#[test]
fn records_that_a_change_moves_to_another_folder_are_refused() {
    let all = ["fleet.yaml", "machines", "calibrations"];
    let moved_up = |parts: &[&str]| {
        let repository = Repository::with_records_in("records");
        repository.change(VISIT, "by: rm", "by: ko");
        for part in parts {
            fs::rename(
                repository.records.join(part),
                repository.folder.path().join(part),
            )
            .unwrap();
        }
        repository.land("one folder up");
        ran(program(&repository.records).arg("--compared-with=HEAD^1"))
    };
    refused(
        &moved_up(&all),
        "the records are in records/",
        "a change of their own",
    );
    // A fleet file above takes no machines over: the records are compared where they are.
    let told = moved_up(&all[..1]);
    tells_of_the_alteration("the fleet file alone", &told);
    assert!(rules(&told).contains(&"requirement-relaxed"));
    // As from the folder they are in now, which had none.
    let repository = Repository::with_records_in("records");
    fs::rename(&repository.records, repository.folder.path().join("moved")).unwrap();
    repository.land("to another folder");
    let moved = repository.folder.path().join("moved");
    let told = ran(program(&moved).arg("--compared-with=HEAD^1"));
    refused(
        &told,
        "the records are in records/",
        "a change of their own",
    );
    // Another group's records beside them are new, and nobody's.
    let repository = Repository::with_records_in("records");
    let others = repository.folder.path().join("others");
    fs::create_dir(&others).unwrap();
    fs::copy(
        repository.records.join("fleet.yaml"),
        others.join("fleet.yaml"),
    )
    .unwrap();
    repository.land("another group");
    assert_eq!(ran(program(&others).arg("--compared-with=HEAD^1")).code, 0);
}

#[test]
fn records_whose_folder_becomes_a_link_are_refused() {
    let repository = altered();
    fs::rename(&repository.records, repository.folder.path().join("other")).unwrap();
    symlink("other", &repository.records).unwrap();
    repository.land("a link in its place");
    for ran in [
        ran(program(repository.folder.path()).args(["--compared-with=HEAD~2", "records"])),
        ran(program(&repository.records)
            .arg("--compared-with=HEAD~2")
            .env("PWD", &repository.records)),
    ] {
        refused(
            &ran,
            "a link that is under version control",
            "name the folder",
        );
    }
}

/// A build runner goes to its folder through a link, and does not tell.
#[test]
fn records_whose_folder_becomes_a_link_to_others_are_refused() {
    let repository = Repository::with_records_in("fleets/north");
    let at = |path: &str| repository.folder.path().join(path);
    versioned::copy(&repository.records, &at("fleets/south"));
    repository.land("another group");
    repository.change(VISIT, "by: rm", "by: ko");
    fs::rename(at("fleets/north"), at("moved")).unwrap();
    symlink("south", at("fleets/north")).unwrap();
    repository.land("a link in its place");
    let told = ran(program(&at("fleets/south")).arg("--compared-with=HEAD^1"));
    refused(
        &told,
        "fleets/north had records",
        "put the folder itself back",
    );
}

#[test]
fn all_records_gone_is_not_nothing_to_check() {
    let repository = Repository::with_records_in("records");
    for part in ["fleet.yaml", "machines/heron.yaml", "calibrations/heron"] {
        repository.git(&["rm", "-r", "--quiet", &format!("records/{part}")]);
    }
    fs::create_dir_all(repository.records.join("machines")).unwrap();
    let ran = ran(program(&repository.records).args(["--compared-with=HEAD", "--allow-empty"]));
    refused(&ran, "all records are gone", "bring the records back");
}

/// What is merged is not what is checked out where an attribute changes it on the way.
#[test]
fn records_that_git_converts_on_the_way_are_refused() {
    let repository = Repository::with_records_in("records");
    let honest = repository.read(VISIT);
    let other = honest.replace("by: rm", "by: ｒm");
    repository.write("../blob", &other);
    let blob = repository.git(&["hash-object", "-w", "--no-filters", "blob"]);
    let blob = String::from_utf8(blob.stdout).unwrap();
    let entry = format!("100644,{},records/{VISIT}", blob.trim());
    fs::remove_file(repository.folder.path().join("blob")).unwrap();
    repository.write(
        "../.gitattributes",
        "*.yaml working-tree-encoding=ASCII//TRANSLIT\n",
    );
    repository.git(&["add", ".gitattributes"]);
    repository.git(&["update-index", "--cacheinfo", &entry]);
    repository.git(&["commit", "--quiet", "--message", "another alphabet"]);
    let ran_in_folder = ran(program(&repository.records).arg("--compared-with=HEAD^1"));
    refused(
        &ran_in_folder,
        "working-tree-encoding",
        "take the attribute off",
    );
    let staged = ran(program(&repository.records).args(["--staged", "--compared-with=HEAD^1"]));
    tells_of_the_alteration("staged", &staged);
}

#[test]
fn line_ends_are_those_that_git_would_make_and_no_others() {
    let repository = Repository::with_records_in("records");
    let text = repository.read(VISIT).replace('\n', "\r\n");
    repository.write(VISIT, &text);
    repository.git(&["config", "core.autocrlf", "false"]);
    repository.land("ends of lines");
    repository.git(&["commit", "--quiet", "--allow-empty", "--message", "x"]);
    repository.write(VISIT, &text.replace("\r\n", "\r\r\n"));
    let ran = ran(program(&repository.records).arg("--compared-with=HEAD"));
    assert_eq!(ran.code, 1, "{}{}", ran.printed, ran.errors);
    assert_eq!(rules(&ran), ["line-end"], "{}", ran.printed);
}

/// Which of several would be taken, whoever makes the commits could choose.
#[test]
fn several_bases_are_refused() {
    let repository = Repository::with_records_in("records");
    for (branch, from) in [("one", "main"), ("two", "main")] {
        repository.git(&["checkout", "--quiet", "-b", branch, from]);
        repository.write(&format!("../{branch}.txt"), branch);
        repository.land(branch);
    }
    repository.git(&["checkout", "--quiet", "-b", "work", "one"]);
    repository.git(&["merge", "--quiet", "--no-edit", "two"]);
    repository.git(&["checkout", "--quiet", "-b", "other", "two"]);
    repository.git(&["merge", "--quiet", "--no-edit", "one"]);
    refused(
        &both_ways(&repository, "work")[0],
        "more than one common commit",
        "git merge work",
    );
}

#[test]
fn an_index_of_another_repository_is_refused() {
    let repository = altered();
    let elsewhere = repository.folder.path().join("elsewhere");
    fs::copy(repository.folder.path().join(".git/index"), &elsewhere).unwrap();
    let ran = ran(program(&repository.records)
        .args(["--staged", "--compared-with=HEAD"])
        .env("GIT_INDEX_FILE", &elsewhere));
    refused(
        &ran,
        "is not the index of this repository",
        "unset GIT_INDEX_FILE",
    );
}

#[test]
fn settings_that_move_the_working_folder_are_refused() {
    let repository = altered();
    let elsewhere = tempfile::tempdir().unwrap();
    repository.git(&[
        "config",
        "core.worktree",
        elsewhere.path().to_str().unwrap(),
    ]);
    for ran in both_ways(&repository, "HEAD^1") {
        refused(
            &ran,
            "lies in no git repository",
            "check without --compared-with",
        );
    }
}

/// A hook that checks what is staged, as git runs it: with variables of its own, in any kind of working folder.
#[test]
fn a_hook_sees_what_is_staged_in_clones_worktrees_and_submodules() {
    let repository = Repository::with_records_in("records");
    let hook = format!(
        "#!/bin/sh\ncd records && {} check --today 2026-06-01 --format plain --staged --compared-with HEAD\n",
        versioned::PROGRAM
    );
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("pre-commit");
    fs::write(&path, hook).unwrap();
    executable(&path);
    let hooks = folder.path().to_str().unwrap();
    let (worktree, clone) = (folder.path().join("worktree"), folder.path().join("clone"));
    let url = repository.folder.path().to_str().unwrap().to_owned();
    repository.git(&[
        "worktree",
        "add",
        "--quiet",
        "-b",
        "side",
        worktree.to_str().unwrap(),
    ]);
    repository.git(&["clone", "--quiet", &url, clone.to_str().unwrap()]);
    let outer = Repository::with_records_in("elsewhere");
    outer.git(&["submodule", "--quiet", "add", &url, "within"]);
    outer.land("a submodule");
    for place in [
        repository.folder.path().to_owned(),
        worktree,
        clone,
        outer.folder.path().join("within"),
    ] {
        let commit = |more: &[&str]| {
            let setting = format!("core.hooksPath={hooks}");
            let arguments = ["-c", &setting, "commit", "--message", "x"];
            git_in(&place, &[&arguments, more].concat())
        };
        let visit = place.join("records").join(VISIT);
        let good = fs::read_to_string(&visit).unwrap();
        let bad = good.replace("by: rm", "by: ko");
        // Staged and put right in the file alone: what would be committed is still bad.
        fs::write(&visit, &bad).unwrap();
        git_in(&place, &["add", "--all"]);
        fs::write(&visit, &good).unwrap();
        let output = commit(&[]);
        let told = String::from_utf8_lossy(&output.stderr).into_owned()
            + &String::from_utf8_lossy(&output.stdout);
        assert!(
            !output.status.success() && told.contains("landed-record-altered"),
            "{place:?}: {told}"
        );
        // Bad in the file alone, and not of this commit.
        git_in(&place, &["add", "--all"]);
        fs::write(&visit, &bad).unwrap();
        let output = commit(&["--allow-empty"]);
        assert!(output.status.success(), "{place:?}: {output:?}");
        // With the files named, git makes an index for the hook alone.
        let output = commit(&["--all"]);
        assert!(!output.status.success(), "{place:?}: {output:?}");
        let output = commit(&["--only", visit.to_str().unwrap()]);
        assert!(!output.status.success(), "{place:?}: {output:?}");
    }
}

#[test]
fn what_is_staged_in_conflict_is_refused() {
    let repository = Repository::new();
    repository.branch("work");
    repository.change(VISIT, "by: rm", "by: ko");
    repository.land("one way");
    repository.git(&["checkout", "--quiet", "main"]);
    repository.change(VISIT, "by: rm", "by: tg");
    repository.land("another way");
    git_in(repository.folder.path(), &["merge", "--quiet", "work"]);
    let ran = ran(program(&repository.records).arg("--staged"));
    refused(&ran, "unresolved merge conflict", "resolve the conflict");
}

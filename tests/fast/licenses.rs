//! What the program is built on may be used under licenses that go with its own.

use serde_json::Value;
use std::process::Command;

/// Licenses that ask for no more than their text and notice to be passed on.
const ALLOWED: [&str; 9] = [
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

fn printed(command: &mut Command) -> String {
    let output = command.output().unwrap();
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{command:?}: {errors}");
    String::from_utf8(output.stdout).unwrap()
}

/// Every package the project and its tests are built on here, as cargo has it at hand.
fn packages() -> Vec<Value> {
    let version = printed(Command::new("rustc").arg("-vV"));
    let host = version
        .lines()
        .find_map(|line| line.strip_prefix("host: "))
        .unwrap();
    let metadata = printed(
        Command::new(env!("CARGO"))
            .args(["metadata", "--locked", "--offline", "--format-version", "1"])
            .args(["--filter-platform", host])
            .current_dir(env!("CARGO_MANIFEST_DIR")),
    );
    let metadata: Value = serde_json::from_str(&metadata).unwrap();
    metadata["packages"].as_array().unwrap().clone()
}

/// Whether each part of a license expression offers one that is allowed.
fn is_allowed(license: &str) -> bool {
    let license = license.replace('/', " OR ");
    license.split(" AND ").all(|part| {
        part.split(" OR ").any(|one| {
            let one = one.trim().trim_start_matches('(').trim_end_matches(')');
            ALLOWED.contains(&one)
        })
    })
}

#[test]
fn every_package_is_under_an_allowed_license() {
    let packages = packages();
    assert!(packages.len() > 50, "only {} were seen", packages.len());
    let wrong: Vec<String> = packages
        .iter()
        .filter(|package| !package["license"].as_str().is_some_and(is_allowed))
        .map(|package| format!("{} {}", package["name"], package["license"]))
        .collect();
    assert!(
        wrong.is_empty(),
        "look at the license, then allow it or do without the package: {wrong:#?}"
    );
}

#[test]
fn expressions_are_read_as_meant() {
    for (license, allowed) in [
        ("MIT", true),
        ("MIT/Apache-2.0", true),
        ("Apache-2.0 / GPL-3.0-only", true),
        ("(MIT OR Apache-2.0) AND Unicode-3.0", true),
        ("GPL-3.0-only OR MIT", true),
        ("GPL-3.0-only", false),
        ("MIT AND GPL-3.0-only", false),
        ("(GPL-3.0-only OR LGPL-3.0-only) AND MIT", false),
        ("", false),
    ] {
        assert_eq!(is_allowed(license), allowed, "{license}");
    }
}

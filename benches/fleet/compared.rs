//! What `check --compared-with` costs beside a full check, with one record changed in a fleet.

use crate::generator::TODAY;
use crate::{median, milliseconds, time};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

/// Lands the fleet, changes one calibration, and measures the command both ways in turn.
pub(crate) fn measure(root: &Path, changed: &str, rounds: u32) {
    let git = |arguments: &[&str]| {
        let status = Command::new("git")
            .args(["-c", "user.name=rm", "-c", "user.email=rm@example.invalid"])
            .args(arguments)
            .env("GIT_CONFIG_GLOBAL", "/dev/null")
            .env("GIT_CONFIG_NOSYSTEM", "1")
            .current_dir(root)
            .stdout(Stdio::null())
            .status();
        assert!(status.is_ok_and(|status| status.success()), "{arguments:?}");
    };
    git(&["init", "--quiet"]);
    git(&["add", "--all"]);
    git(&["commit", "--quiet", "--message", "merged"]);
    let path = root.join(changed);
    let text = fs::read_to_string(&path).expect("the fleet was generated");
    fs::write(&path, format!("{text}boom-end-pressure: 30 psi\n")).expect("the folder is ours");
    let today = TODAY.to_string();
    let run = |more: &[&str]| {
        let status = Command::new(env!("CARGO_BIN_EXE_swathlint"))
            .args(["check", "--today", &today])
            .args(more)
            .current_dir(root)
            .stdout(Stdio::null())
            .status();
        let code = status.ok().and_then(|status| status.code());
        assert!(code.is_some_and(|code| code < 2), "{more:?}: {code:?}");
    };
    let (mut full, mut compared): (Vec<Duration>, Vec<Duration>) = (Vec::new(), Vec::new());
    for _ in 0..rounds {
        full.push(time(|| run(&[])).1);
        compared.push(time(|| run(&["--compared-with", "HEAD"])).1);
    }
    full.sort();
    compared.sort();
    println!("\nthe whole command                      best    median");
    for (what, times) in [("check", &full), ("check --compared-with HEAD", &compared)] {
        println!(
            "  {what:30} {:9.1} {:9.1} ms",
            milliseconds(times[0]),
            milliseconds(median(times))
        );
    }
    println!(
        "  {:30} {:9.2} {:9.2}",
        "compared / full",
        milliseconds(compared[0]) / milliseconds(full[0]),
        milliseconds(median(&compared)) / milliseconds(median(&full)),
    );
}

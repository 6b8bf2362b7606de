//! Records, booms and histories far larger than any, to see that nothing grows faster than they do.

use crate::generator::{self, Size};
use std::fmt::Write as _;

/// Takes a file's path and its text.
pub(crate) type Keep<'k> = dyn FnMut(&str, &str) + 'k;

/// One thing made large.
pub(crate) struct Case {
    /// What it is, in full size.
    pub(crate) name: &'static str,
    /// Writes a fleet with it, in halves of its full size.
    pub(crate) write: fn(usize, &mut Keep<'_>),
}

/// All of them.
pub(crate) const CASES: [Case; 12] = [
    Case {
        name: "one machine, 20,000 visits",
        write: |size, write| history(size, 0, write),
    },
    Case {
        name: "the same, half of them faulty",
        write: |size, write| history(size, 50, write),
    },
    Case {
        name: "one machine, 2,000 visits and 4,000 uses",
        write: |size, write| used(size, write),
    },
    Case {
        name: "300 nozzles, 100 catches",
        write: |size, write| catches(size, 50 * size, "36.5", write),
    },
    Case {
        name: "300 nozzles, every second worn",
        write: |size, write| catches(size, 1, "41.5, 36.5", write),
    },
    Case {
        name: "a line of 1 MB, every reading wrong",
        write: |size, write| catch(2, &"36.5x, ".repeat(70_000 * size), write),
    },
    Case {
        name: "a record of 1 MB, every key wrong",
        write: |size, write| wrong_keys(25_000 * size, write),
    },
    Case {
        name: "a record of 1 MB, all small items",
        write: |size, write| noted(&format!("[{}]", "1,".repeat(250_000 * size)), write),
    },
    Case {
        name: "a record of 1 MB, all small keys",
        write: |size, write| noted(&format!("{{{}}}", "a: 1,".repeat(100_000 * size)), write),
    },
    Case {
        name: "a record of 1 MB, all brackets",
        write: |size, write| noted(&"[".repeat(500_000 * size), write),
    },
    Case {
        name: "a record of 1 MB, lists in lists",
        write: |size, write| {
            let deep = format!("{}1{},", "[".repeat(50), "]".repeat(50));
            noted(&format!("[{}]", deep.repeat(4_700 * size)), write);
        },
    },
    Case {
        name: "a record of 1 MB, all aliases",
        write: |size, write| noted(&format!("[&a 1,{}]", "*a ,".repeat(49_000 * size)), write),
    },
];

fn history(size: usize, faulty: u64, write: &mut Keep<'_>) {
    let size = Size {
        calibrations: 10_000 * size,
        applications: 0,
        service_after: 0,
        machines: 1,
        faulty,
        seed: 1,
    };
    generator::generate(&size, write);
}

fn used(size: usize, write: &mut Keep<'_>) {
    let size = Size {
        calibrations: 1_000 * size,
        applications: 2,
        service_after: 10,
        machines: 1,
        faulty: 5,
        seed: 1,
    };
    generator::generate(&size, write);
}

const RECORD: &str = "record: calibration\nmachine: heron\ndate: 2026-03-09\nby: rm\n";

fn machine_file(nozzles: usize, write: &mut Keep<'_>) {
    let text = format!(
        "record: machine\nid: heron\ncourse: saltmere\nkind: boom-sprayer\nin-service: 2024-03-01\ncontrol: manual\nspeed-source: none\nsection-valves: shut-off\ntank: 140 gal\nboom:\n  spacing: 20 in\n  sections:\n    - {{name: whole, nozzles: {nozzles}, entered-width: 20000 in}}\nsetups:\n  fairways: {{nozzle: {{size: \"06\", material: ceramic}}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre}}\n"
    );
    write("machines/heron.yaml", &text);
}

/// So many catches over a boom of 150 nozzles times `size`.
fn catches(size: usize, count: usize, readings: &str, write: &mut Keep<'_>) {
    machine_file(150 * size, write);
    let pairs = readings.split(", ").count();
    let list = vec![readings; 150 * size / pairs].join(", ");
    let mut text = format!("{RECORD}catch-tests:\n");
    for _ in 0..count {
        writeln!(
            text,
            "  - {{pressure: 36 psi, duration: 30 s, unit: fl oz, caught: [{list}]}}"
        )
        .expect("a string takes everything");
    }
    write("calibrations/heron/2026-03-09.yaml", &text);
}

fn catch(size: usize, list: &str, write: &mut Keep<'_>) {
    machine_file(150 * size, write);
    let text = format!(
        "{RECORD}catch-tests:\n  - {{pressure: 36 psi, duration: 30 s, unit: fl oz, caught: [{list}]}}\n"
    );
    write("calibrations/heron/2026-03-09.yaml", &text);
}

/// A record with a note of any shape.
fn noted(note: &str, write: &mut Keep<'_>) {
    machine_file(300, write);
    write(
        "calibrations/heron/2026-03-09.yaml",
        &format!("{RECORD}notes: {note}\n"),
    );
}

fn wrong_keys(count: usize, write: &mut Keep<'_>) {
    machine_file(300, write);
    let mut text = RECORD.to_owned();
    for key in 0..count {
        writeln!(text, "wrong-{key}: true").expect("a string takes everything");
    }
    write("calibrations/heron/2026-03-09.yaml", &text);
}

//! Fleets that grow along one axis each, to see that the work and the output grow no faster than the records do.
//!
//! Writes no file and reads none: a fleet is a map of texts, and each command is called as the program calls it.

#![expect(
    clippy::format_push_string,
    clippy::format_collect,
    reason = "a record reads best as text added to text"
)]
#![expect(
    clippy::disallowed_methods,
    reason = "growth is seen by the processor's time"
)]

use crate::generator::{self, Size, TODAY};
use jiff::{Span, civil::Date};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::time::{Duration, Instant};
use swathlint::quantity::calendar::Period;
use swathlint::render::{
    self, DUE_FORMATS, FIGURE_FORMATS, Format, Harmless, Look, REPORT_FORMATS,
};
use swathlint::{Before, Listing, Settings};

/// Paths and texts of a fleet.
pub(crate) type Files = BTreeMap<String, String>;

/// One thing a fleet may have more and more of.
pub(crate) struct Axis {
    /// What there is more of.
    pub(crate) name: &'static str,
    /// How many in the smallest of the fleets compared.
    pub(crate) n: usize,
    /// The fleet with so many.
    pub(crate) now: fn(usize) -> Files,
    /// The same fleet as it was, where the axis is one of a comparison.
    pub(crate) before: Option<fn(usize) -> Files>,
}

const fn axis(name: &'static str, n: usize, now: fn(usize) -> Files) -> Axis {
    Axis {
        name,
        n,
        now,
        before: None,
    }
}

const fn compared(
    name: &'static str,
    n: usize,
    now: fn(usize) -> Files,
    before: fn(usize) -> Files,
) -> Axis {
    Axis {
        name,
        n,
        now,
        before: Some(before),
    }
}

/// All of them.
pub(crate) static AXES: &[Axis] = &[
    axis("visits, services and applications", 200, |n| {
        history(n, 2, 10, 5)
    }),
    axis("visits, half of them faulty", 100, |n| history(n, 0, 0, 50)),
    axis("visits of one day", 10, |n| {
        base(records("calibrations", n, |_, _| {
            visit("2026-03-09", "setup: fairways\n")
        }))
    }),
    axis("visits of one day by hours", 10, |n| {
        base(records("calibrations", n, |at, _| {
            visit("2026-03-09", &format!("hours: {} h\n", 9_000 - at))
        }))
    }),
    axis("visits with failing tests", 100, |n| {
        base(records("calibrations", n, |_, day| {
            visit(&day, "").replace("36.5", "76.5")
        }))
    }),
    axis("visits that cannot be read", 200, |n| {
        let broken = records("calibrations", n, |at, day| {
            let by = if at % 2 == 0 { "by: \"rm\n" } else { "" };
            visit(&day, by)
        });
        base(broken)
    }),
    axis("catches of some nozzles", 200, |n| {
        let some = records("calibrations", n, |at, day| {
            let all = visit(&day, "");
            if at == 0 {
                return all;
            }
            all.replace("left: [36.5, 36.0, 36.5]", "left: {2: 36.5}")
                .replace("      right: [37.0, 36.5]\n", "")
        });
        let fitted = records("service", n, |_, day| {
            service(&day, "  - nozzles-fitted: {at: {left: [1, 2]}}\n")
        });
        joined([base(some), fitted])
    }),
    axis("applications", 500, |n| {
        base(records("applications", n, |_, day| application(&day, "")))
    }),
    axis("applications of one day", 10, |n| {
        base(records("applications", n, |_, _| {
            application("2026-05-09", "")
        }))
    }),
    axis("applications with no setup of the machine", 200, |n| {
        base(records("applications", n, |at, day| {
            application(&day, &format!("setup: nowhere-{at}\n"))
        }))
    }),
    axis("services that change the machine", 200, |n| {
        base(records("service", n, |at, day| {
            service(
                &day,
                &format!("  - setup: {{pressure: {}.5 psi}}\n", 30 + at % 10),
            )
        }))
    }),
    axis("nozzles fitted again and again, and not caught", 600, |n| {
        let services = records("service", n, |_, day| {
            service(&day, "  - nozzles-fitted: {at: {right: [1]}}\n")
        });
        let sprayed = records("applications", n, |_, day| application(&day, ""));
        after_one_visit([services, sprayed])
    }),
    axis("nozzles fitted again and again, and caught", 200, |n| {
        let services = records("service", n, |at, day| {
            let nozzle = 1 + at % 3;
            service(
                &day,
                &format!("  - nozzles-fitted: {{at: {{left: [{nozzle}]}}}}\n"),
            )
        });
        let visits = records("calibrations", n, |at, day| {
            let some = format!("left: {{{}: 36.5}}", 1 + at % 2);
            visit(&day, "")
                .replace("left: [36.5, 36.0, 36.5]", &some)
                .replace("      right: [37.0, 36.5]\n", "")
        });
        let sprayed = records("applications", n, |_, day| application(&day, ""));
        after_one_visit([services, visits, sprayed])
    }),
    axis("applications and tests never made", 200, |n| {
        let visits = records("calibrations", n, |_, day| visit(&day, ""));
        joined([
            base(visits),
            records("applications", n, |_, day| application(&day, "")),
        ])
    }),
    axis("applications after failing tests", 200, |n| {
        let visits = records("calibrations", n, |_, day| {
            visit(&day, "").replace("36.5", "76.5")
        });
        joined([
            base(visits),
            records("applications", n, |_, day| application(&day, "")),
        ])
    }),
    axis("applications after work", 200, |n| {
        let work = records("service", n, |_, day| {
            service(
                &day,
                "  - pump: {what: repaired}\n  - setup: {pressure: 35 psi}\n",
            )
        });
        let whole = [(
            "calibrations/heron/2024-03-09.yaml".to_owned(),
            visit("2024-03-09", ""),
        )];
        joined([
            base(whole),
            work,
            records("applications", n, |_, day| application(&day, "")),
        ])
    }),
    axis("applications and hours of many days", 80, |n| {
        let visits = records("calibrations", n, |_, day| visit(&day, ""));
        let hours = |at: usize| format!("hours: {{from: {at} h, to: {at}.5 h}}\n");
        let sprayed = records("applications", n, |at, day| {
            application(&day, &hours(9_000 - at))
        });
        joined([base(visits), sprayed])
    }),
    axis("visits of setups the machine does not have", 200, |n| {
        base(records("calibrations", n, |at, day| {
            visit(&day, &format!("setup: nowhere-{at}\n"))
        }))
    }),
    axis("visits with factors", 100, |n| {
        let test = "meter-tests:\n  - {known-volume: 34.2 gal, duration: 12 min, shown: 35.3 gal, factor: {before: 620, after: 636}}\n";
        base(records("calibrations", n, |_, day| {
            format!("{}{test}", visit(&day, ""))
        }))
    }),
    axis("records that cannot be read, and others", 200, |n| {
        let broken = records("service", n, |_, day| service(&day, "  - \"open\n"));
        let visits = records("calibrations", n, |at, day| {
            visit(&day, &format!("hours: {} h\n", 9_000 - at))
        });
        joined([
            base(visits),
            broken,
            records("applications", n, |_, day| application(&day, "")),
        ])
    }),
    axis("works of one service", 10, |n| {
        let work = "  - tires: {wheels: drive, what: replaced}\n".repeat(n);
        base([(
            "service/heron/2026-05-02.yaml".into(),
            service("2026-05-02", &work),
        )])
    }),
    axis("works of one service that change the machine", 10, |n| {
        let work = "  - spacing: {to: 20 in}\n".repeat(n);
        base([(
            "service/heron/2026-05-02.yaml".into(),
            service("2026-05-02", &work),
        )])
    }),
    axis("nozzles in one section", 30, |n| caught(1, n, &["36.5"])),
    axis("nozzles, every second worn", 30, |n| {
        caught(1, n, &["41.5", "36.5"])
    }),
    axis("nozzles, some of them plugged", 30, |n| {
        caught(1, n, &["0", "36.5", "30.5", "37.5"])
    }),
    axis("nozzles fitted one by one", 30, |n| {
        let every: Vec<String> = (1..=n).map(|at| at.to_string()).collect();
        let work = format!(
            "  - nozzles-fitted: {{at: {{boom-1: [{}]}}}}\n",
            every.join(", ")
        );
        let mut files = caught(1, n, &["36.5"]);
        files.insert(
            "service/heron/2026-05-02.yaml".into(),
            service("2026-05-02", &work),
        );
        files
    }),
    axis("sections", 10, |n| caught(n, 1, &["36.5"])),
    axis("sections, every second worn", 10, |n| {
        caught(n, 1, &["41.5", "36.5"])
    }),
    axis("sections the boom does not have, beyond 100", 200, |n| {
        let names: Vec<String> = (0..n).map(|at| format!("boom-{at}x-{at}")).collect();
        let mut files = caught(n, 1, &["36.5"]);
        let sections_off = format!(
            "{}section-balance:\n  all-on: 40.3 gal/acre\n  sections-off:\n    - {{sections: [{}], as-found: 40.2 gal/acre}}\n",
            visit("2026-04-09", ""),
            names.join(", ")
        );
        files.insert("calibrations/heron/2026-04-09.yaml".into(), sections_off);
        let work: String = names
            .iter()
            .map(|name| format!("  - section-valve: {{section: {name}, what: replaced}}\n"))
            .collect();
        files.insert(
            "service/heron/2026-05-02.yaml".into(),
            service("2026-05-02", &work),
        );
        files
    }),
    axis("sections off, one after the other", 10, |n| {
        let mut files = caught(n, 1, &["36.5"]);
        let each: String = (1..=n)
            .map(|at| {
                format!(
                    "    - {{sections: [boom-{at}], as-found: 4{}.2 gal/acre}}\n",
                    at % 9
                )
            })
            .collect();
        let text = format!(
            "{}section-balance:\n  all-on: 40.3 gal/acre\n  sections-off:\n{each}",
            visit("2026-04-09", "")
        );
        files.insert("calibrations/heron/2026-04-09.yaml".into(), text);
        files
    }),
    axis("setups", 10, |n| setups(n, 1)),
    axis("setups and visits", 10, |n| setups(n, n)),
    axis("setups and applications", 10, |n| {
        let sprayed = records("applications", n, |at, day| {
            application(&day, &format!("setup: setup-{at}\n"))
        });
        joined([setups(n, 1), sprayed])
    }),
    axis("people nobody declared", 50, |n| {
        let visits = records("calibrations", n, |at, day| {
            visit(&day, "").replace("by: rm", &format!("by: nobody-{at}"))
        });
        let people: String = (0..n).map(|at| format!("  person-{at}: {{}}\n")).collect();
        let mut files = base(visits);
        set(
            &mut files,
            "fleet.yaml",
            "people: {rm: {may-sign: true}, ko: {may-sign: true}}\n",
            &format!("people:\n  rm: {{may-sign: true}}\n  ko: {{may-sign: true}}\n{people}"),
        );
        files
    }),
    axis("instruments nobody declared", 10, |n| {
        let tests = catches(n, |at| format!("jug: nothing-{at}, "));
        let declared: String = (0..n)
            .map(|at| format!("  thing-{at}: {{type: stopwatch}}\n"))
            .collect();
        with_instruments(&tests, &declared)
    }),
    axis("instruments, each used", 10, |n| {
        let tests = catches(n, |at| format!("jug: thing-{at}, "));
        let declared: String = (0..n)
            .map(|at| format!("  thing-{at}: {{type: jug, graduation: 0.5 fl oz}}\n"))
            .collect();
        with_instruments(&tests, &declared)
    }),
    axis("house rules", 20, |n| {
        base((0..n).map(|at| (format!("house-rules/own-{at}.yaml"), house_rule(at))))
    }),
    axis("house rules that name each other", 20, |n| {
        let every: Vec<String> = (0..n).map(|at| format!("own-{at}")).collect();
        let follows = format!("follows: [{}]\nlimits", every.join(", "));
        base((0..n).map(|at| {
            let text = house_rule(at);
            let text = if at == 0 {
                text.replace("limits", &follows)
            } else {
                text
            };
            (format!("house-rules/own-{at}.yaml"), text)
        }))
    }),
    axis("waivers of nothing", 50, |n| {
        let mut files = base([]);
        files.insert(
            "waivers.yaml".into(),
            waivers(n, |at| format!("calibrations/heron/{at}.yaml")),
        );
        files
    }),
    axis("waivers and findings", 50, |n| {
        let visits = records("calibrations", n, |_, day| {
            visit(&day, "").replace("36.5", "76.5")
        });
        let mut paths = visits.keys().cloned().collect::<Vec<_>>().into_iter();
        let text = waivers(n, |_| paths.next().unwrap_or_default());
        let mut files = base(visits);
        files.insert("waivers.yaml".into(), text);
        files
    }),
    axis("waivers of one record", 30, |n| {
        let mut files = caught(1, n, &["41.5", "36.5"]);
        files.insert(
            "waivers.yaml".into(),
            waivers(n, |_| "calibrations/heron/2026-03-09.yaml".into()),
        );
        files
    }),
    axis("limits of machines", 200, |n| {
        limits((0..n).map(|at| {
            format!("    m-{at}: {{nozzle-off-mean: {{warning: 7%, because: old boom}}}}\n")
        }))
    }),
    axis("limits nobody knows", 200, |n| {
        limits((0..n).map(|at| {
            format!("    m-{at}: {{nozzle-off-meen-{at}: {{warning: 7%, because: old boom}}}}\n")
        }))
    }),
    axis("intervals and visits", 50, |n| {
        let intervals: String = (0..n)
            .map(|at| format!("    m-{at}: {{catch: 25 h, because: sand}}\n"))
            .collect();
        let visits = records("calibrations", n, |_, day| visit(&day, ""));
        let mut files = base(visits);
        add(
            &mut files,
            "fleet.yaml",
            &format!(
                "intervals:\n  full: 12 months\n  because: decided\n  at-machine:\n{intervals}"
            ),
        );
        files
    }),
    axis("courses", 50, |n| {
        let courses: String = (0..n)
            .map(|at| format!("  course-{at}: Course {at}\n"))
            .collect();
        let mut files = base([]);
        for at in 0..n {
            files.insert(
                format!("machines/m-{at}.yaml"),
                MACHINE_FILE
                    .replace("heron", &format!("m-{at}"))
                    .replace("saltmere", &format!("course-x{at}x")),
            );
        }
        set(
            &mut files,
            "fleet.yaml",
            "courses: {saltmere: Saltmere Links}\n",
            &format!("courses:\n  saltmere: Saltmere Links\n{courses}"),
        );
        files
    }),
    axis("machines", 100, |n| {
        let mut files = base([]);
        for at in 0..n {
            let id = format!("m-{at}");
            files.insert(
                format!("machines/{id}.yaml"),
                MACHINE_FILE.replace("heron", &id),
            );
            files.insert(
                format!("calibrations/{id}/2026-03-09.yaml"),
                visit("2026-03-09", "")
                    .replace("heron", &id)
                    .replace("36.5", "46.5"),
            );
        }
        files
    }),
    axis("machines with intervals and limits of their own", 50, |n| {
        let mut files = base([]);
        let (mut intervals, mut limits) = (String::new(), String::new());
        for at in 0..n {
            let id = format!("m-{at}");
            files.insert(
                format!("machines/{id}.yaml"),
                MACHINE_FILE.replace("heron", &id),
            );
            files.insert(
                format!("calibrations/{id}/2026-03-09.yaml"),
                visit("2026-03-09", "").replace("heron", &id),
            );
            intervals.push_str(&format!("    {id}: {{catch: 25 h, because: sand}}\n"));
            limits.push_str(&format!(
                "    {id}: {{nozzle-off-mean: {{warning: 7%, because: old boom}}}}\n"
            ));
        }
        add(
            &mut files,
            "fleet.yaml",
            &format!(
                "intervals:\n  full: 12 months\n  because: decided\n  at-machine:\n{intervals}limits:\n  at-machine:\n{limits}"
            ),
        );
        files
    }),
    axis("machines without a machine file", 200, |n| {
        base((0..n).map(|at| {
            let id = format!("m-{at}");
            let text = visit("2026-03-09", "").replace("heron", &id);
            (format!("calibrations/{id}/2026-03-09.yaml"), text)
        }))
    }),
    axis("machine files of one machine", 200, |n| {
        base((0..n).map(|at| (format!("machines/m-{at}.yaml"), MACHINE_FILE.to_owned())))
    }),
    axis("catches in one record", 10, |n| {
        base(one_visit(&catches(n, |_| String::new())))
    }),
    axis("catches that repeat each other", 50, |n| {
        let visits = records("calibrations", n, |at, day| {
            let digit = at % 10;
            visit(&day, "").replace("36.0", &format!("36.{digit}"))
        });
        base(visits)
    }),
    axis("meter tests in one record", 10, |n| {
        let test = "  - {known-volume: 34.2 gal, known-by: fill meter, duration: 12 min, shown: 35.3 gal, factor: {before: 620, after: 636}}\n";
        base(one_visit(&format!("meter-tests:\n{}", test.repeat(n))))
    }),
    axis("speed tests in one record", 10, |n| {
        let test = "  - {distance: 200 ft, surface: turf, tank: half, runs: [{elapsed: 32.4 s, shown: 210 ft}, {elapsed: 35.6 s, shown: 190 ft}], factor: {before: 1180, after: 1164}}\n";
        base(one_visit(&format!("speed-tests:\n{}", test.repeat(n))))
    }),
    axis("runs in one speed test", 10, |n| {
        let runs: String = (0..n)
            .map(|at| format!("      - {{elapsed: 3{}.4 s, shown: 200 ft}}\n", at % 10))
            .collect();
        base(one_visit(&format!(
            "speed-tests:\n  - distance: 200 ft\n    surface: turf\n    tank: half\n    runs:\n{runs}"
        )))
    }),
    axis("readings of one nozzle", 200, |n| {
        let text = visit("2026-03-09", "").replace(
            "[37.0, 36.5]",
            &format!("[37.0, [{}]]", ["36.5", "39.5"].repeat(n).join(", ")),
        );
        base([("calibrations/heron/2026-03-09.yaml".into(), text)])
    }),
    axis("tanks of one application", 10, |n| {
        tanks(&"  - {water: 140 gal, density: 9.9 lb/gal, products: [{name: growth regulator, label: {min: 8 fl oz/acre, max: 16 fl oz/acre}, amount: 90 fl oz}]}\n".repeat(n))
    }),
    axis("products in one tank", 10, |n| {
        let products: String = (0..n)
            .map(|at| format!("      - {{name: product {at}, label: {{min: 8 fl oz/acre, max: 16 fl oz/acre}}, amount: 90 fl oz}}\n"))
            .collect();
        tanks(&format!("  - water: 140 gal\n    products:\n{products}"))
    }),
    axis("keys nobody knows", 500, |n| {
        let keys: String = (0..n).map(|at| format!("wrong-{at}: true\n")).collect();
        base(one_visit(&keys))
    }),
    axis("values of the wrong kind", 100, |n| {
        let tests = "  - {pressure: [], caught: 1}\n".repeat(n);
        base(one_visit(&format!("catch-tests:\n{tests}")))
    }),
    axis("faults in one long line, beyond 300 nozzles", 200, |n| {
        caught(1, n, &["36.5x", "36,5"])
    }),
    axis("faults, one a line, beyond 300 nozzles", 200, |n| {
        let list = vec!["36.5x\n         "; n].join(", ");
        let mut files = long_boom(1, n);
        files.insert(
            "calibrations/heron/2026-03-09.yaml".into(),
            visit_of("2026-03-09", &list),
        );
        files
    }),
    axis("keys that stand twice", 500, |n| {
        let keys: String = (0..n)
            .map(|at| format!("notes-{at}: a\nnotes-{at}: b\n"))
            .collect();
        base(one_visit(&keys))
    }),
    axis("values that others read differently", 300, |n| {
        base(one_visit(&format!(
            "preparation: {{protective-gear: [{}]}}\n",
            vec!["yes"; n].join(", ")
        )))
    }),
    axis("characters of a value", 2_000, |n| {
        let long = "x".repeat(n);
        base(records("calibrations", 40, |at, day| {
            visit(&day, &format!("setup: {long}{at}\n")).replace("by: rm", &format!("by: {long}"))
        }))
    }),
    axis("lists in lists, deeper than 64", 500, |n| {
        base(one_visit(&format!(
            "notes: {}{}\n",
            "[".repeat(n),
            "]".repeat(n)
        )))
    }),
    axis("small items, beyond 5,000 values", 5_000, |n| {
        base(one_visit(&format!("notes: [{}]\n", vec!["1"; n].join(","))))
    }),
    axis("aliases", 500, |n| {
        base(one_visit(&format!(
            "occasion: &a x\nnotes: [{}]\n",
            vec!["*a"; n].join(", ")
        )))
    }),
    axis("documents in one file", 200, |n| {
        base(one_visit(&"---\nrecord: calibration\n".repeat(n)))
    }),
    axis("lines of a folded text", 500, |n| {
        base(one_visit(&format!(
            "notes: >\n{}",
            "  a word\n\n".repeat(n)
        )))
    }),
    compared(
        "machines with a changed record",
        50,
        |n| one_visit_each(n, "36.5"),
        |n| one_visit_each(n, "36.0"),
    ),
    compared(
        "changed values of one record, beyond 300 nozzles",
        200,
        |n| caught(1, n, &["36.5"]),
        |n| caught(1, n, &["36.0"]),
    ),
    compared(
        "changed records",
        100,
        |n| base(records("calibrations", n, |_, day| visit(&day, ""))),
        |n| {
            base(records("calibrations", n, |_, day| {
                visit(&day, "hours: 412 h\n")
            }))
        },
    ),
    compared(
        "renamed records",
        100,
        |n| {
            base(records("calibrations", n, |at, day| {
                visit(&day, &format!("hours: {at} h\n"))
            }))
        },
        |n| {
            let was = records("calibrations", n, |at, day| {
                visit(&day, &format!("hours: {at} h\n"))
            });
            base(
                was.into_iter()
                    .map(|(path, text)| (path.replace(".yaml", "-old.yaml"), text)),
            )
        },
    ),
    compared(
        "deleted records, noted",
        100,
        |n| {
            let paths = records("calibrations", n, |_, day| visit(&day, ""));
            let notes: String = paths
                .keys()
                .map(|path| {
                    format!("  - {{file: {path}, reason: entered twice, by: ko, on: 2026-03-02}}\n")
                })
                .collect();
            let mut files = base([]);
            files.insert(
                "waivers.yaml".into(),
                format!("record: waivers\ndeleted:\n{notes}"),
            );
            files
        },
        |n| base(records("calibrations", n, |_, day| visit(&day, ""))),
    ),
    compared(
        "notes of what was amended",
        200,
        |n| base(one_visit(&amends(n, "misread"))),
        |n| base(one_visit(&amends(n, "mistyped"))),
    ),
    compared(
        "keys of a changed record",
        200,
        |n| {
            base(one_visit(
                &(0..n)
                    .map(|at| format!("k-{at}: [1, 2]\n"))
                    .collect::<String>(),
            ))
        },
        |n| {
            base(one_visit(
                &(0..n)
                    .map(|at| format!("k-{at}: [2, 1]\n"))
                    .collect::<String>(),
            ))
        },
    ),
];

const MACHINE_FILE: &str = r#"record: machine
id: heron
course: saltmere
kind: boom-sprayer
in-service: 2024-03-01
control: flow
speed-source: wheel
section-valves: bypass
balance-by: rate
tank: 60 gal
boom:
  spacing: 20 in
  sections:
    - {name: left, nozzles: 3, entered-width: 60 in}
    - {name: right, nozzles: 2, entered-width: 40 in}
console: {flow-factor: pulses/gal, speed-factor: pulses/100 ft}
setups:
  fairways: {nozzle: {size: "06", material: ceramic}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre}
"#;

const FLEET: &str = r"record: fleet
name: Saltmere Links Group
courses: {saltmere: Saltmere Links}
people: {rm: {may-sign: true}, ko: {may-sign: true}}
instruments:
  jug-2: {type: jug, capacity: 64 fl oz, graduation: 0.5 fl oz, tolerance: 0.5%, checked: 2026-02-01}
  watch-1: {type: stopwatch}
usual: {stopwatch: watch-1}
";

/// The group with one machine, and more files.
fn base(more: impl IntoIterator<Item = (String, String)>) -> Files {
    let mut files = Files::from([
        ("fleet.yaml".to_owned(), FLEET.to_owned()),
        ("machines/heron.yaml".to_owned(), MACHINE_FILE.to_owned()),
    ]);
    files.extend(more);
    files
}

/// One visit with these tests, and instruments declared beside those of the fleet.
fn with_instruments(tests: &str, declared: &str) -> Files {
    let mut files = base(one_visit(tests));
    set(
        &mut files,
        "fleet.yaml",
        "instruments:\n",
        &format!("instruments:\n{declared}"),
    );
    files
}

/// Records of a machine that was calibrated as a whole once, before all of them.
fn after_one_visit<const N: usize>(all: [Files; N]) -> Files {
    let whole = [(
        "calibrations/heron/2023-03-09.yaml".to_owned(),
        visit("2023-03-09", ""),
    )];
    let mut files = base(whole);
    files.extend(joined(all));
    set(
        &mut files,
        "machines/heron.yaml",
        "2024-03-01",
        "2023-03-01",
    );
    files
}

fn joined<const N: usize>(all: [Files; N]) -> Files {
    all.into_iter().flatten().collect()
}

fn set(files: &mut Files, path: &str, from: &str, to: &str) {
    let text = files.get_mut(path).expect("the file is there");
    assert!(text.contains(from), "{from} in {path}");
    *text = text.replace(from, to);
}

fn add(files: &mut Files, path: &str, more: &str) {
    files
        .get_mut(path)
        .expect("the file is there")
        .push_str(more);
}

fn history(visits: usize, applications: usize, service_after: usize, faulty: u64) -> Files {
    let size = Size {
        calibrations: visits,
        applications,
        service_after,
        machines: 1,
        faulty,
        seed: 1,
    };
    let mut files = Files::new();
    generator::generate(&size, |path, text| {
        files.insert(path.to_owned(), text.to_owned());
    });
    files
}

/// So many records of a kind, one a day back from last month; their numbers count them where days do not.
fn records(kind: &str, n: usize, text: impl Fn(usize, String) -> String) -> Files {
    let one = |at: usize| {
        let back = i64::try_from(31 + at % 700).expect("far fewer");
        let day: Date = TODAY - Span::new().days(back);
        (
            format!("{kind}/heron/{day}-{}.yaml", 2 + at),
            text(at, day.to_string()),
        )
    };
    (0..n).map(one).collect()
}

fn visit(day: &str, more: &str) -> String {
    format!(
        "record: calibration\nmachine: heron\ndate: {day}\nby: rm\n{more}catch-tests:\n  - pressure: 36 psi\n    \
         duration: 30 s\n    jug: jug-2\n    unit: fl oz\n    caught:\n      left: [36.5, 36.0, 36.5]\n      right: [37.0, 36.5]\n"
    )
}

/// A visit with one list of readings over the boom.
fn visit_of(day: &str, readings: &str) -> String {
    format!(
        "record: calibration\nmachine: heron\ndate: {day}\nby: rm\ncatch-tests:\n  - pressure: 36 psi\n    \
         duration: 30 s\n    jug: jug-2\n    unit: fl oz\n    caught: [{readings}]\n"
    )
}

fn one_visit(more: &str) -> [(String, String); 1] {
    let text = format!("record: calibration\nmachine: heron\ndate: 2026-03-09\nby: rm\n{more}");
    [("calibrations/heron/2026-03-09.yaml".to_owned(), text)]
}

fn catches(n: usize, more: impl Fn(usize) -> String) -> String {
    let each = (0..n).map(|at| {
        let digit = at % 10;
        format!(
            "  - {{pressure: 36 psi, duration: 30 s, {}unit: fl oz, caught: [36.5, 36.{digit}, 36.5, 47.0, 36.5]}}\n",
            more(at)
        )
    });
    format!("catch-tests:\n{}", each.collect::<String>())
}

fn service(day: &str, work: &str) -> String {
    format!("record: service\nmachine: heron\ndate: {day}\nby: ko\nwork:\n{work}")
}

fn application(day: &str, more: &str) -> String {
    format!(
        "record: application\nmachine: heron\ndate: {day}\nby: ko\n{more}area: 11.5 acre\narea-by: map\nvolume: 560 gal\n"
    )
}

fn tanks(tanks: &str) -> Files {
    let text = application("2026-05-09", &format!("tanks:\n{tanks}"));
    let visit = visit("2026-03-09", "");
    base([
        ("applications/heron/2026-05-09.yaml".to_owned(), text),
        ("calibrations/heron/2026-03-09.yaml".to_owned(), visit),
    ])
}

/// A machine with so many sections of so many nozzles.
fn long_boom(sections: usize, nozzles: usize) -> Files {
    let each: String = (1..=sections)
        .map(|at| format!("    - {{name: boom-{at}, nozzles: {nozzles}, entered-width: 60 in}}\n"))
        .collect();
    let mut files = base([]);
    let before = "    - {name: left, nozzles: 3, entered-width: 60 in}\n    - {name: right, nozzles: 2, entered-width: 40 in}\n";
    set(&mut files, "machines/heron.yaml", before, &each);
    files
}

/// Such a machine with one catch, its readings these in turn.
fn caught(sections: usize, nozzles: usize, readings: &[&str]) -> Files {
    let all: Vec<&str> = readings
        .iter()
        .copied()
        .cycle()
        .take(sections * nozzles)
        .collect();
    let mut files = long_boom(sections, nozzles);
    files.insert(
        "calibrations/heron/2026-03-09.yaml".to_owned(),
        visit_of("2026-03-09", &all.join(", ")),
    );
    files
}

/// So many machines with a visit each.
fn one_visit_each(n: usize, reading: &str) -> Files {
    let each = |at: usize| {
        let id = format!("m-{at}");
        let text = visit("2026-03-09", "")
            .replace("heron", &id)
            .replace("36.5", reading);
        [
            (
                format!("machines/{id}.yaml"),
                MACHINE_FILE.replace("heron", &id),
            ),
            (format!("calibrations/{id}/2026-03-09.yaml"), text),
        ]
    };
    base((0..n).flat_map(each))
}

/// A machine with so many setups, and visits of them in turn.
fn setups(n: usize, visits: usize) -> Files {
    let each: String = (0..n)
        .map(|at| format!("  setup-{at}: {{nozzle: {{size: \"06\", material: ceramic}}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre, density: 9.2 lb/gal}}\n"))
        .collect();
    let mut files = base(records("calibrations", visits, |at, day| {
        visit(&day, &format!("setup: setup-{}\n", at % n))
    }));
    let before = "  fairways: {nozzle: {size: \"06\", material: ceramic}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre}\n";
    set(&mut files, "machines/heron.yaml", before, &each);
    files
}

fn limits(each: impl Iterator<Item = String>) -> Files {
    let mut files = base(one_visit(&catches(1, |_| String::new())));
    let each: String = each.collect();
    add(
        &mut files,
        "fleet.yaml",
        &format!("limits:\n  at-machine:\n{each}"),
    );
    files
}

fn waivers(n: usize, mut record: impl FnMut(usize) -> String) -> String {
    let each = (0..n).map(|at| {
        let record = record(at);
        format!("  - {{rule: mean-off-rated, record: {record}, reason: tips on order, by: ko, from: 2026-01-01, until: 2026-12-31}}\n")
    });
    format!("record: waivers\nwaivers:\n{}", each.collect::<String>())
}

fn amends(n: usize, why: &str) -> String {
    let each = (0..n).map(|at| format!("  - {{on: 2026-03-10, by: ko, why: {why} {at}}}\n"));
    format!("amends:\n{}", each.collect::<String>())
}

fn house_rule(at: usize) -> String {
    format!(
        "record: rule\nid: own-{at}\nsince: 0.1.0\nstatus: settled\nfigure: pressure-off-setup\nlimits: {{warning: 10%}}\n\
         decision: simple\ntitle: Pressure\nmessage: \"the pressure is {{found}} {{high-or-low}}; at most {{limit}}\"\nhelp: set it\n\
         why: ours\nsources:\n  - {{title: ours, says: 10%, mark: our choice}}\n"
    )
}

/// What one command makes of a fleet, and how long it takes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spent {
    /// Processor time of the one thread that worked, or the time of day; above zero.
    pub(crate) time: Duration,
    /// Whether it is processor time, which other work on the computer does not make longer.
    pub(crate) is_of_processor: bool,
    /// Bytes of all its formats.
    pub(crate) output: usize,
}

impl Spent {
    /// This one, or another that took less time.
    pub(crate) fn or_faster(self, other: Self) -> Self {
        if other.time < self.time { other } else { self }
    }

    /// How many times the time of another one it took.
    pub(crate) fn times_the_time(self, other: Self) -> f64 {
        self.time.as_secs_f64() / other.time.as_secs_f64()
    }

    /// How many times the output of another one it has.
    pub(crate) fn times_the_output(self, other: Self) -> f64 {
        let length = |spent: Self| f64::from(u32::try_from(spent.output).expect("no gigabytes"));
        length(self) / length(other)
    }
}

/// A command as the program runs it, in all its formats.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Job {
    Check,
    Due,
    Figures,
    Compared,
}

impl Job {
    pub(crate) const ALL: [Self; 4] = [Self::Check, Self::Due, Self::Figures, Self::Compared];

    /// Its name in a table.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Check => "check",
            Self::Due => "due",
            Self::Figures => "figures",
            Self::Compared => "compared",
        }
    }

    /// Whether it has something to do on an axis.
    pub(crate) const fn is_for(self, axis: &Axis) -> bool {
        match self {
            Self::Compared => axis.before.is_some(),
            Self::Check | Self::Due | Self::Figures => axis.before.is_none(),
        }
    }
}

/// A fleet of one size of an axis, ready to be worked on.
pub(crate) struct Grown {
    now: Files,
    before: Option<Files>,
}

impl Grown {
    pub(crate) fn new(axis: &Axis, n: usize) -> Self {
        Self {
            now: (axis.now)(n),
            before: axis.before.map(|before| before(n)),
        }
    }

    /// Runs a command once, on one thread.
    pub(crate) fn run(&self, job: Job) -> Spent {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build();
        pool.expect("there is a thread to be had").install(|| {
            let clock = Clock::start();
            let output = self.output(job);
            let (time, is_of_processor) = clock.spent();
            assert!(!time.is_zero(), "{} took no time", job.name());
            Spent {
                time,
                is_of_processor,
                output,
            }
        })
    }

    fn output(&self, job: Job) -> usize {
        // A bounded number of visits of a machine is explained, each of a bounded boom: what grows is rule by rule.
        let settings = Settings {
            rule_by_rule: true,
            ..Settings::on(TODAY)
        };
        let look = Look {
            color: false,
            width: 80,
        };
        let listing = listing(&self.now);
        let read = |path: &str| Ok(self.now[path].clone().into_bytes());
        let outputs: Vec<Harmless> = match job {
            Job::Check => {
                let report = swathlint::check(&listing, &read, &settings);
                written(&report, REPORT_FORMATS, &look)
            }
            Job::Due => {
                let within = Period::Days(14);
                let due = swathlint::due(&listing, &read, &settings, within);
                written(&due, DUE_FORMATS, &look)
            }
            Job::Figures => {
                let table = swathlint::figures(&listing, &read, &settings);
                let formats = FIGURE_FORMATS.iter();
                formats
                    .map(|format| render::figure_text(&table, &mut *(format.writer)(look)))
                    .collect()
            }
            Job::Compared => {
                let was = self
                    .before
                    .as_ref()
                    .expect("the axis is one of a comparison");
                let changed: BTreeSet<String> =
                    self.now.keys().chain(was.keys()).cloned().collect();
                let before = Before {
                    revision: "merged",
                    commit: "0",
                    listing: &self::listing(was),
                    read: &|path: &str| Ok(was[path].clone().into_bytes()),
                    changed: &changed,
                };
                let report = swathlint::check_compared(&listing, &read, &before, &settings);
                written(&report, REPORT_FORMATS, &look)
            }
        };
        outputs.iter().map(|output| output.len()).sum()
    }
}

/// What was made, in every format.
fn written<T>(made: &T, formats: &[&Format<T>], look: &Look) -> Vec<Harmless> {
    formats
        .iter()
        .map(|format| (format.write)(made, look))
        .collect()
}

fn listing(files: &Files) -> Listing {
    Listing {
        paths: files.keys().cloned().collect(),
        ..Listing::default()
    }
}

/// Processor time of this thread where the system tells it, so that other work does not count; else the time of day.
struct Clock {
    since: Instant,
    used: Option<u64>,
}

impl Clock {
    fn start() -> Self {
        Self {
            since: Instant::now(),
            used: used(),
        }
    }

    /// The time since the start, and whether it is processor time.
    fn spent(&self) -> (Duration, bool) {
        let nanoseconds = self.used.zip(used());
        match nanoseconds.and_then(|(before, now)| now.checked_sub(before)) {
            Some(used) if used > 0 => (Duration::from_nanos(used), true),
            Some(_) | None => (self.since.elapsed(), false),
        }
    }
}

/// Nanoseconds this thread has run; none where the system does not tell, or keeps no statistics and tells 0.
///
/// They are counted up to when it last gave way, so it does.
fn used() -> Option<u64> {
    std::thread::yield_now();
    let status = fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    let nanoseconds = status.split(' ').next()?.parse().ok();
    nanoseconds.filter(|&nanoseconds| nanoseconds > 0)
}

//! What a group declares and decides: its fleet file with limits and intervals of every scope, rules of its own, waivers.

use super::machine::with_slip;
use super::{COURSES, Chance, SETUPS};
use jiff::ToSpan;
use std::collections::BTreeMap;
use std::fmt::Write;
use swathlint::figure::catalogue;
use swathlint::rule::RuleSet;

const DECLARED: &str = r#"record: fleet
name: Drawn Links Group
courses: {harrow-fen: Harrow Fen, saltmere: Saltmere Links}
people: {rm: {may-sign: true}, ko: {may-sign: true}, tg: {}}
instruments:
  jug-2: {type: jug, capacity: 64 fl oz, graduation: 0.5 fl oz, tolerance: 0.5%, checked: 2024-02-01}
  jug-4: {type: jug, capacity: 2 L, graduation: 10 mL, tolerance: 0.5%, checked: 2025-02-01}
  watch-1: {type: stopwatch}
  gauge-3: {type: gauge, span: 60 psi, class: "1.6", checked: 2024-02-01}
  wheel-1: {type: measuring wheel, tolerance: 0.2%}
  refill-1: {type: fill meter, tolerance: 0.5%, checked: 2024-02-02}
usual: {stopwatch: watch-1, gauge: gauge-3, distance: wheel-1, fill-meter: refill-1}
"#;

/// Writes what the group declares.
pub(super) fn write(chance: &mut Chance, machines: &[&str], files: &mut BTreeMap<String, String>) {
    if chance.of_hundred(95) {
        let text = fleet(chance, machines);
        files.insert("fleet.yaml".to_owned(), with_slip(chance, text, 8));
    }
    if chance.of_hundred(60) {
        for _ in 0..=chance.below(4) {
            let (path, text) = house_rule(chance);
            files.insert(path, text);
        }
    }
    if chance.of_hundred(60) {
        let text = waivers(chance, machines, files);
        files.insert("waivers.yaml".to_owned(), with_slip(chance, text, 4));
    }
}

fn fleet(chance: &mut Chance, machines: &[&str]) -> String {
    let mut text = DECLARED.to_owned();
    if chance.of_hundred(25) {
        writeln!(text, "enforce-from: {}", chance.day()).unwrap();
    }
    if chance.of_hundred(20) {
        text += "coverage-factor: 1.645\n";
    }
    if chance.of_hundred(75) {
        text += &intervals(chance, machines);
    }
    if chance.of_hundred(60) {
        text += &limits(chance, machines);
    }
    text
}

fn interval(chance: &mut Chance) -> String {
    let step = chance.one_of(&["full", "full", "catch", "flow", "speed", "balance"]);
    let holds = chance.one_of(&[
        "12 months",
        "3 months",
        "40 h",
        "4 applications",
        "100 days",
        "[6 months, 30 h]",
        "[50 h, 6 months, 4 applications]",
    ]);
    format!("{step}: {holds}")
}

fn intervals(chance: &mut Chance, machines: &[&str]) -> String {
    let mut text = "intervals:\n  because: group decision\n".to_owned();
    if chance.of_hundred(70) {
        writeln!(text, "  {}", interval(chance)).unwrap();
    }
    if chance.of_hundred(30) {
        let course = chance.one_of(&COURSES);
        writeln!(text, "  at-course: {{{course}: {{{}}}}}", interval(chance)).unwrap();
    }
    if chance.of_hundred(30) {
        let setup = chance.one_of(&SETUPS);
        writeln!(text, "  at-setup: {{{setup}: {{{}}}}}", interval(chance)).unwrap();
    }
    if chance.of_hundred(40) {
        let machine = chance.one_of(machines);
        let own = interval(chance);
        let setup = chance.one_of(&SETUPS);
        let of_setup = interval(chance);
        writeln!(
            text,
            "  at-machine: {{{machine}: {{{own}, at-setup: {{{setup}: {{{of_setup}}}}}}}}}"
        )
        .unwrap();
    }
    text
}

/// A limit of a rule of ours, in another size or switched off.
fn limit(chance: &mut Chance) -> String {
    let (rule, sizes): (&str, &[&str]) = chance.one_of(&[
        ("nozzle-off-mean", ["3%", "8%", "none"].as_slice()),
        ("nozzle-off-rated", &["4%", "12%", "none"]),
        ("mean-off-rated", &["5%", "any", "none"]),
        ("meter-off", &["1%", "6%"]),
        ("section-off-change", &["2%", "none"]),
        ("rate-applied-off", &["3%", "15%"]),
        ("overdue", &["2 months", "18 months", "none"]),
        ("overdue-by-hours", &["20 h", "none"]),
        ("overdue-by-applications", &["3", "none"]),
        ("sprayed-while-overdue", &["2 months", "none"]),
        ("step-void", &["any", "none"]),
        ("sprayed-while-failing", &["any", "none"]),
        ("no-such-rule", &["any"]),
    ]);
    let grade = chance.one_of(&["error", "warning", "note"]);
    let size = chance.one_of(sizes);
    let from = if chance.of_hundred(30) {
        format!(", from: {}", chance.day())
    } else {
        String::new()
    };
    format!("{rule}: {{{grade}: {size}, because: group decision{from}}}")
}

fn limits(chance: &mut Chance, machines: &[&str]) -> String {
    let mut text = "limits:\n".to_owned();
    writeln!(text, "  {}", limit(chance)).unwrap();
    if chance.of_hundred(40) {
        let course = chance.one_of(&COURSES);
        writeln!(text, "  at-course: {{{course}: {{{}}}}}", limit(chance)).unwrap();
    }
    if chance.of_hundred(40) {
        let machine = chance.one_of(machines);
        writeln!(text, "  at-machine: {{{machine}: {{{}}}}}", limit(chance)).unwrap();
    }
    text
}

/// A rule of the group's own under a name of its own.
pub(crate) fn rule(id: &str, status: &str, figure: &str, where_and_limits: &str) -> String {
    format!(
        "record: rule\nid: {id}\nsince: 0.1.0\nstatus: {status}\nfigure: {figure}\n{where_and_limits}decision: simple\n\
         title: A rule of the group's own\nmessage: \"{{found}} where {{limit}} is allowed\"\nhelp: do it again\n\
         why: The group wants it so.\nsources:\n  - {{title: group decision, mark: our choice}}\n"
    )
}

/// The path and text of a rule of the group's own: a new one, one in place of ours, or a broken one.
fn house_rule(chance: &mut Chance) -> (String, String) {
    let status = chance.one_of(&["settled", "settled", "on trial", "withdrawn"]);
    let applies = chance.one_of(&[
        "",
        "",
        "applies: {step: speed}\n",
        "applies: {step: [catch, flow]}\n",
        "applies: {control: flow}\n",
        "applies: {course: saltmere}\n",
        "applies: {setup: greens}\n",
        "applies: {stage: as-left}\n",
    ]);
    let grade = chance.one_of(&["error", "warning", "note"]);
    let own = |id: &str, figure: &str, limit: &str| {
        let limits = format!("{applies}limits: {{{grade}: {limit}}}\n");
        (
            format!("house-rules/{id}.yaml"),
            rule(id, status, figure, &limits),
        )
    };
    match chance.below(8) {
        0 => own("own-age", "step-age", "60 days"),
        1 => own("own-hours", "step-hours", "15 h"),
        2 => own("own-applications", "step-applications", "2"),
        3 => own("own-nozzle", "nozzle-off-mean", "2%"),
        4 => own("own-void", "step-void", "any"),
        5 => own("broken", "no-such-figure", "2%"),
        _ => {
            // One of ours with another status, or in some places only.
            let texts = RuleSet::built_in_texts();
            let (name, text) = chance.one_of(texts);
            let text = text.replacen("status: settled", &format!("status: {status}"), 1);
            let has_own = text.contains("\napplies:");
            let applies = if has_own { "" } else { applies };
            let text = text.replacen("\nlimits:", &format!("\n{applies}limits:"), 1);
            (format!("house-rules/{name}"), text)
        }
    }
}

fn waivers(chance: &mut Chance, machines: &[&str], files: &BTreeMap<String, String>) -> String {
    let mut text = "record: waivers\nwaivers:\n".to_owned();
    let rules: Vec<&str> = RuleSet::built_in()
        .rules()
        .iter()
        .map(|rule| rule.id.as_str())
        .collect();
    let likely = [
        "nozzle-off-mean",
        "mean-off-rated",
        "overdue",
        "step-void",
        "meter-off",
    ];
    for _ in 0..=chance.below(4) {
        let rule = match chance.below(6) {
            0 => chance.one_of(&rules),
            1 => "weak-test",
            _ => chance.one_of(&likely),
        };
        let paths: Vec<&String> = files
            .keys()
            .filter(|path| path.starts_with("calibrations/"))
            .collect();
        let whose = match paths[..] {
            [] => format!("machine: {}", chance.one_of(machines)),
            _ if chance.of_hundred(60) => format!("machine: {}", chance.one_of(machines)),
            _ => format!("record: {}", chance.one_of(&paths)),
        };
        let from = chance.day();
        let until = from + (i64::try_from(chance.below(300)).unwrap() - 10).days();
        writeln!(
            text,
            "  - {{rule: {rule}, {whose}, reason: on order, by: ko, from: {from}, until: {until}}}"
        )
        .unwrap();
    }
    text
}

/// The figures that a house rule can judge.
pub(crate) fn judged() -> impl Iterator<Item = &'static catalogue::Entry> {
    let all = catalogue::FIGURES.iter();
    let of_machines = all.filter(|entry| !matches!(entry, catalogue::Entry::Comparison(_)));
    of_machines.filter(|entry| !entry.is_informational())
}

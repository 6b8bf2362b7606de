//! A report made by hand, rendered in every format: nothing lost, nothing harmful, always within the file.

use crate::harmless::{self, assert_harmless, line_end, without_color};
use jiff::civil::date;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;
use swathlint::diagnostic::{Diagnostic, Held, Label, Severity};
use swathlint::render::{
    FIGURE_FORMATS, Format, Harmless, Look, REPORT_FORMATS, figure_text, jsonl, plain, rule_list,
    rule_page, terminal,
};
use swathlint::report::{
    Compared, Contribution, Counts, Failure, FigureRow, FigureTable, FigureTotals,
    LimitDescription, Report, RowPlace, RuleDescription,
};
use swathlint::source::{FileId, Place, SourceFile, Sources, Span};
use unicode_width::UnicodeWidthStr;

const PLAIN_LOOK: Look = Look {
    color: false,
    width: 80,
};
const COLOR_LOOK: Look = Look {
    color: true,
    width: 80,
};

const CALIBRATION: &str = "\
record: calibration
machine: heron
date: 2026-03-09
by: rm
setup: fairways
catch-tests:
  - pressure: 36 psi
    duration: 30 s
    jug: jug-2
    unit: fl oz
    caught:
      far-left: [36.5, 36.0, 36.5]
      left: [36.5, 37.0, 36.5]
      middle: [36.0, 36.5, 36.5]
      right: [36.5, 36.5, 41.0]
      far-right: [36.5, 36.0, 36.5]
meter-tests:
  - {known-volume: 34.2 gal, known-by: fill meter, duration: 4 min, shown: 35.1 gal, factor: {before: 620, after: 636}}
  - {known-volume: 34.1 gal, known-by: fill meter, duration: 4 min, shown: 34.2 gal}
";

const MACHINE: &str = "\
record: machine
id: heron
course: saltmere
kind: boom-sprayer
in-service: 2024-03-01
setups:
  fairways: {nozzle: {size: \"06\", material: ceramic}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre}
";

/// Files of a tree with marked places: `report.place(path, text)` is where the text stands, which it must once.
struct Tree {
    report: Report,
}

impl Tree {
    fn new(files: &[(&str, &str)]) -> Self {
        let mut sources = Sources::default();
        for (at, (path, text)) in files.iter().enumerate() {
            let id = FileId(u32::try_from(at).unwrap());
            sources.keep(id, Arc::new(SourceFile::new(*path, *text)));
        }
        Self {
            report: Report {
                today: date(2026, 6, 1),
                sources,
                paths: files.iter().map(|(path, _)| (*path).to_owned()).collect(),
                counts: Counts {
                    records: files.len(),
                    ..Counts::default()
                },
                ..Report::default()
            },
        }
    }

    fn file(&self, path: &str) -> (FileId, &SourceFile) {
        let at = self
            .report
            .paths
            .iter()
            .position(|known| known == path)
            .unwrap();
        let id = FileId(u32::try_from(at).unwrap());
        (id, self.report.sources.get(id).unwrap())
    }

    fn place(&self, path: &str, text: &str) -> Place {
        let (_, file) = self.file(path);
        assert_eq!(
            file.text().matches(text).count(),
            1,
            "{text} stands once in {path}"
        );
        let start = file.text().find(text).unwrap();
        self.bytes(path, start, start + text.len())
    }

    fn bytes(&self, path: &str, start: usize, end: usize) -> Place {
        let span = Span::new(u32::try_from(start).unwrap(), u32::try_from(end).unwrap());
        Place {
            file: self.file(path).0,
            span,
        }
    }
}

/// A fleet with a worn nozzle, a meter off, and a second machine whose nozzles are all alike.
fn heron() -> Report {
    let heron = "calibrations/heron/2026-03-09.yaml";
    let mut tree = Tree::new(&[(heron, CALIBRATION), ("machines/heron.yaml", MACHINE)]);
    let worn = Diagnostic::new(
        "nozzle-off-mean",
        Severity::Error,
        "nozzle 12 of 15 (right, 3rd) passes 11.6 ± 1.0% more than the boom's mean; at most 10%",
        Label::new(tree.place(heron, "41.0"), "41.0 fl oz in 30 s"),
    )
    .also(Label::new(
        tree.place(heron, "36 psi"),
        "caught at this pressure",
    ))
    .worked_out("41.0 fl oz / 36.733 fl oz - 1 = 11.6%")
    .help("check the tip's size; if it is right, replace the tip and catch it again")
    .of_machine("heron")
    .holding(vec![held()]);
    let rated = Diagnostic::new(
        "nozzle-off-rated",
        Severity::Warning,
        "nozzle 12 of 15 (right, 3rd) passes 12.5 ± 1.1% more than its size; at most 10%",
        Label::new(tree.place(heron, "41.0"), "41.0 fl oz in 30 s"),
    )
    .also(Label::new(
        tree.place("machines/heron.yaml", "\"06\""),
        "36.429 fl oz in 30 s at 36 psi",
    ))
    .also(Label::new(
        tree.place("machines/heron.yaml", "course: saltmere"),
        "",
    ))
    .of_machine("heron");
    let meter = Diagnostic::new(
        "meter-off",
        Severity::Note,
        "the flow meter showed 2.6 ± 0.6% too much as found",
        Label::new(tree.place(heron, "35.1 gal"), "shown"),
    )
    .also(Label::new(
        tree.place(heron, "34.2 gal, known"),
        "against what was refilled",
    ))
    .also(Label::new(
        tree.place(heron, "{before: 620, after: 636}"),
        "put right by this",
    ))
    .worked_out("35.1 gal / 34.2 gal - 1 = 2.6%");
    tree.report.findings = vec![worn.into(), rated.into(), meter.into()];
    tree.report.counts = Counts {
        records: 240,
        unreadable: 1,
        ignored: 2,
        passes: BTreeMap::from([
            ("nozzle-off-mean".to_owned(), 14),
            ("nozzle-off-rated".to_owned(), 14),
        ]),
        unavailable: BTreeMap::from([("speed-off".to_owned(), 3), ("rate-off".to_owned(), 1)]),
        undecided: BTreeMap::from([("rate-off".to_owned(), 1)]),
        held: 1,
        waived: 2,
        rules_not_run: 1,
    };
    tree.report.failures = vec![Failure {
        path: "calibrations/dunlin/2026-03-10.yaml".to_owned(),
        reason: "permission denied".to_owned(),
    }];
    tree.report
}

fn json_lines(report: &Report) -> Vec<serde_json::Value> {
    jsonl(report)
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

#[test]
fn the_heron_in_the_terminal() {
    insta::assert_snapshot!(terminal(&heron(), &PLAIN_LOOK));
}

#[test]
fn the_heron_in_color() {
    insta::assert_snapshot!(terminal(&heron(), &COLOR_LOOK).replace('\u{1b}', "ESC"));
}

#[test]
fn the_heron_in_a_wide_terminal() {
    insta::assert_snapshot!(terminal(
        &heron(),
        &Look {
            color: false,
            width: 160
        }
    ));
}

#[test]
fn the_heron_plain() {
    insta::assert_snapshot!(plain(&heron()));
}

#[test]
fn the_heron_as_json_lines() {
    insta::assert_snapshot!(jsonl(&heron()));
}

/// A report whose every text and number is to be found again, however a format escapes.
fn told_apart() -> Report {
    let paths = [
        "machines/avocet.yaml",
        "calibrations/dunlin/2026-03-09.yaml",
    ];
    let mut tree = Tree::new(&paths.map(|path| (path, "a fault\n")));
    let rules = [
        ("first-rule", Severity::Error),
        ("second-rule", Severity::Warning),
    ];
    tree.report.findings = rules
        .iter()
        .zip(paths)
        .map(|(&(rule, severity), path)| {
            let label = Label::new(tree.place(path, "fault"), "");
            Diagnostic::new(rule, severity, format!("what {rule} found"), label).into()
        })
        .collect();
    tree.report.counts = Counts {
        records: 7001,
        unreadable: 7002,
        ignored: 7003,
        passes: BTreeMap::from([("first-rule".to_owned(), 7004)]),
        unavailable: BTreeMap::from([("third-rule".to_owned(), 7005)]),
        undecided: BTreeMap::from([("fourth-rule".to_owned(), 7006)]),
        held: 7007,
        waived: 7008,
        rules_not_run: 7009,
    };
    let failures = [
        ("service/a.yaml", "denied"),
        ("service/b.yaml", "too large"),
    ];
    tree.report.failures = failures
        .map(|(path, reason)| Failure {
            path: path.to_owned(),
            reason: reason.to_owned(),
        })
        .to_vec();
    tree.report.errors_elsewhere = vec!["machines/knot.yaml".to_owned()];
    tree.report.compared = Some(Compared {
        revision: "landed-branch".to_owned(),
        base: "0123456789abcdef".to_owned(),
        unchanged: 7010,
        gone: 7011,
        passed_over: 7012,
    });
    tree.report
}

/// What a format writes, and what is told beside it.
fn told<T>(format: &Format<T>, made: &T, look: &Look) -> String {
    let beside = (format.leaves_out)(made).join("\n");
    format!("{}\n{beside}", (format.write)(made, look))
}

/// Every format tells every finding, every failure and every count, in it or beside it.
#[test]
fn every_format_of_a_report_tells_all_of_it() {
    let report = told_apart();
    let Report {
        today: _,
        findings,
        // Told in numbers alone, which are those of the counts.
        waived: _,
        not_computed: _,
        not_read: _,
        sources: _,
        paths: _,
        // What is told of these is told of findings and counts.
        folder: _,
        records: _,
        rules: _,
        not_ready: _,
        counts,
        failures,
        errors_elsewhere,
        compared,
    } = &report;
    let Counts {
        records,
        unreadable,
        ignored,
        // What held is told where nothing was found.
        passes: _,
        unavailable,
        undecided,
        held,
        waived,
        rules_not_run,
    } = counts;
    let Compared {
        revision,
        // Told to programs alone.
        base: _,
        unchanged,
        gone,
        passed_over,
    } = compared.as_ref().unwrap();
    let mut all = vec![revision.clone()];
    for finding in findings {
        all.extend([finding.rule().to_owned(), finding.message().to_owned()]);
        all.push(report.path(finding.primary().place.file).to_owned());
    }
    all.extend_from_slice(errors_elsewhere);
    for Failure { path, reason } in failures {
        all.extend([path.clone(), reason.clone()]);
    }
    let numbers = [
        records,
        unreadable,
        ignored,
        held,
        waived,
        rules_not_run,
        unchanged,
        gone,
        passed_over,
    ];
    let by_rule = unavailable.values().chain(undecided.values());
    all.extend(by_rule.chain(numbers).map(usize::to_string));
    for format in REPORT_FORMATS {
        for look in [PLAIN_LOOK, COLOR_LOOK].map(|look| Look {
            width: 1_000,
            ..look
        }) {
            let told = without_color(&told(format, &report, &look));
            for each in &all {
                assert!(told.contains(each), "{}, {each}:\n{told}", format.name);
            }
        }
    }
}

/// Every format tells every figure.
#[test]
fn every_format_of_figures_tells_all_of_it() {
    let mut table = hostile_table("dunlin");
    let mut missing = table.rows[0].clone();
    missing.machine = "avocet".to_owned();
    missing.value = Err("nothing was caught".to_owned());
    table.rows.push(missing);
    for format in FIGURE_FORMATS {
        let told = figure_text(&table, &mut *(format.writer)(PLAIN_LOOK));
        for each in [
            "dunlin",
            "nozzle-off-mean",
            "0.25",
            "avocet",
            "nothing was caught",
        ] {
            assert!(told.contains(each), "{}, {each}:\n{told:?}", format.name);
        }
    }
}

#[test]
fn every_finding_is_told_once() {
    let report = heron();
    let found = |text: &str| {
        report
            .findings
            .iter()
            .filter(|finding| text.contains(&format!("[{}]", finding.rule())))
            .count()
    };
    let in_terminal = terminal(&report, &PLAIN_LOOK);
    assert_eq!(
        in_terminal
            .lines()
            .filter(|line| line.starts_with(['◆', '◈', '◇']))
            .count(),
        3
    );
    assert_eq!(found(&in_terminal), 3);
    let in_plain = plain(&report);
    assert_eq!(
        in_plain.lines().filter(|line| line.ends_with(']')).count(),
        3
    );
    assert_eq!(found(&in_plain), 3);
    let in_json = json_lines(&report);
    assert_eq!(
        in_json
            .iter()
            .filter(|line| line["kind"] == "finding")
            .count(),
        3
    );
    assert_eq!(in_json.last().unwrap()["kind"], "summary");
}

#[test]
fn totals_come_last_and_nothing_unchecked_is_silent() {
    let report = heron();
    let in_terminal = terminal(&report, &PLAIN_LOOK);
    assert_eq!(
        in_terminal.lines().last(),
        Some("1 error, 1 warning, 1 note in 1 of 240 records")
    );
    for told in [
        "could not read calibrations/dunlin/2026-03-10.yaml: permission denied",
        "not read: 1, as said above",
        "not judged: 1 record",
        "not looked into: 2 YAML files",
        "not run: 1 house rule",
        "not calculated: 4 figures (rate-off 1 and speed-off 3)",
        "too close to call: 1 figure (rate-off 1)",
        "not shown: 1 related finding (1 error)",
    ] {
        assert!(in_terminal.contains(told), "{told}");
    }
    let last = plain(&report).lines().last().unwrap().to_owned();
    assert!(last.starts_with(
        "1 error, 1 warning, 1 note in 1 of 240 records; not read: 1, as said above; "
    ));
}

#[test]
fn nothing_found_says_what_was_checked() {
    let mut report = heron();
    report.findings.clear();
    report.failures.clear();
    let last = "nothing found: 240 records and 4 rules checked, 28 comparisons passed";
    assert_eq!(terminal(&report, &PLAIN_LOOK).lines().last(), Some(last));
    assert!(plain(&report).starts_with(last));
    assert_eq!(json_lines(&report).len(), 1);

    report.counts = Counts::default();
    assert_eq!(
        &*terminal(&report, &PLAIN_LOOK),
        "nothing was checked: there are no records\n"
    );
}

#[test]
fn color_off_is_color_on_without_the_colors() {
    let report = heron();
    assert!(terminal(&report, &COLOR_LOOK).contains("\u{1b}["));
    for format in REPORT_FORMATS {
        let write = |look| (format.write)(&report, look);
        assert_eq!(
            without_color(&write(&COLOR_LOOK)),
            *write(&PLAIN_LOOK),
            "{}",
            format.name
        );
    }
    let rules = [rule()];
    assert_eq!(
        without_color(&rule_list(&rules, &COLOR_LOOK)),
        *rule_list(&rules, &PLAIN_LOOK)
    );
    assert_eq!(
        without_color(&rule_page(&rules[0], &COLOR_LOOK)),
        *rule_page(&rules[0], &PLAIN_LOOK)
    );
}

#[test]
fn twice_gives_the_same_bytes() {
    for format in REPORT_FORMATS {
        let write = || (format.write)(&heron(), &COLOR_LOOK).to_string();
        assert_eq!(write(), write(), "{}", format.name);
    }
}

/// A finding on each kind of place a file has.
fn on_places(text: &str, places: &[(usize, usize)]) -> Report {
    let mut tree = Tree::new(&[("machines/a.yaml", text)]);
    tree.report.findings = places
        .iter()
        .map(|&(start, end)| {
            let place = tree.bytes("machines/a.yaml", start, end);
            Diagnostic::new(
                "rule",
                Severity::Error,
                "a fault",
                Label::new(place, "here"),
            )
            .into()
        })
        .collect();
    tree.report
}

#[test]
fn every_line_number_is_within_the_file_and_every_place_has_a_mark() {
    let texts = [
        ("empty", ""),
        ("one line feed", "\n"),
        ("no last line feed", "a: 1\nb: 2"),
        ("last line feed", "a: 1\nb: 2\n"),
        ("two-byte line feeds", "a: 1\r\nb: 2\r\n"),
        ("byte-order mark", "\u{feff}a: 1\n"),
        ("several bytes a character", "a: µ漢e\u{301}\n"),
        ("blank lines", "\n\n\n"),
    ];
    for (name, text) in texts {
        let boundaries: Vec<usize> = (0..=text.len())
            .filter(|&at| text.is_char_boundary(at))
            .collect();
        for &start in &boundaries {
            for &end in boundaries.iter().filter(|&&end| start <= end) {
                let report = on_places(text, &[(start, end)]);
                let n_lines = SourceFile::new("a", text).line_count();
                let line = &json_lines(&report)[0];
                for key in ["line", "end-line"] {
                    let number = usize::try_from(line[key].as_u64().unwrap()).unwrap();
                    assert!(
                        (1..=n_lines).contains(&number),
                        "{name} {start}..{end}: {key} {number}"
                    );
                }
                assert!(line["column"].as_u64().unwrap() >= 1);
                let drawn = terminal(&report, &PLAIN_LOOK);
                assert!(
                    drawn.contains(['═', '╤', '▴']),
                    "{name} {start}..{end}:\n{drawn}"
                );
                assert!(
                    drawn.contains("└── here"),
                    "{name} {start}..{end}:\n{drawn}"
                );
            }
        }
    }
}

/// The columns under which a drawing has marks, and the text of the line above them.
fn marked(drawn: &str) -> (String, String) {
    let lines: Vec<&str> = drawn.lines().collect();
    let at = lines
        .iter()
        .position(|line| line.contains(['═', '╤', '▴']))
        .expect("a mark is drawn");
    let after = |line: &str, ruling: char| {
        line.split_once(ruling).expect("the line is ruled").1[1..].to_owned()
    };
    (after(lines[at - 1], '│'), after(lines[at], '┊'))
}

#[test]
fn marks_stand_right_under_what_they_mark() {
    let rows = [
        ("plain", "caught: [36.5, 41.0]\n", "41.0"),
        ("wide", "by: 漢字漢字, caught: 41.0\n", "41.0"),
        ("wide marked", "by: 漢字, caught: 41.0\n", "漢字"),
        (
            "combined",
            "place: cafe\u{301} no\u{308}rd, x: 41.0\n",
            "41.0",
        ),
        ("tabbed", "a:\t36.5,\tx:\t41.0\n", "41.0"),
        ("two-byte line feeds", "a: 36.5\r\nb: 41.0\r\n", "41.0"),
        (
            "first line with a byte-order mark",
            "\u{feff}a: 41.0\n",
            "41.0",
        ),
        (
            "control characters",
            "a: \u{1b}[31m\u{7}\u{202e} 41.0\n",
            "41.0",
        ),
        ("a command to a log", "a: ##[group]x 41.0\n", "41.0"),
        (
            "a long line",
            &format!("a: {}41.0{}\n", "36.5, ".repeat(60), ", 36.5".repeat(60)),
            "41.0",
        ),
        (
            "a long wide line",
            &format!("a: {}41.0{}\n", "漢".repeat(300), "字".repeat(300)),
            "41.0",
        ),
        (
            "a long combined line",
            &format!("a: {}41.0{}\n", "e\u{301}".repeat(300), "字".repeat(300)),
            "41.0",
        ),
    ];
    for (name, text, wanted) in rows {
        let start = text.find(wanted).unwrap();
        let drawn = terminal(
            &on_places(text, &[(start, start + wanted.len())]),
            &PLAIN_LOOK,
        );
        let (line, marks) = marked(&drawn);
        let shown_at = line
            .find(wanted)
            .unwrap_or_else(|| panic!("{name}: the marked text is shown:\n{drawn}"));
        let before = marks.len() - marks.trim_start().len();
        assert_eq!(before, line[..shown_at].width(), "{name}:\n{drawn}");
        assert_eq!(marks.trim().width(), wanted.width(), "{name}:\n{drawn}");
        for line in drawn.lines() {
            assert!(
                line.width() <= 80,
                "{name}: {} columns: {line}",
                line.width()
            );
        }
    }
}

#[test]
fn places_that_overlap_or_lie_apart_are_all_marked() {
    let text = "a: [1, 2]\nb: 3\n\n\n\n\n\n\nc: 4\n";
    let mut tree = Tree::new(&[("machines/a.yaml", text)]);
    let label = |from: usize, to: usize, text: &str| {
        Label::new(tree.bytes("machines/a.yaml", from, to), text)
    };
    let finding = Diagnostic::new("rule", Severity::Warning, "a fault", label(4, 5, "one"))
        .also(label(3, 9, "the list"))
        .also(label(7, 8, "two"))
        .also(label(13, 14, "three"))
        .also(label(24, 25, "four"));
    tree.report.findings = vec![finding.into()];
    insta::assert_snapshot!(terminal(&tree.report, &PLAIN_LOOK));
}

#[test]
fn a_long_label_is_wrapped_or_told_above() {
    let text = format!("a: {}41.0\n", "36.5, ".repeat(11));
    let start = text.find("41.0").unwrap();
    let mut tree = Tree::new(&[("machines/a.yaml", &text)]);
    let words = "caught here in half a minute, more than anywhere else on this boom";
    let label = |from: usize, to: usize| Label::new(tree.bytes("machines/a.yaml", from, to), words);
    let finding = Diagnostic::new("rule", Severity::Note, "a fault", label(start, start + 4))
        .also(label(21, 25));
    tree.report.findings = vec![finding.into()];
    insta::assert_snapshot!(terminal(&tree.report, &PLAIN_LOOK));
}

#[test]
fn the_same_again_is_told_in_one_line_each() {
    let mut report = on_places(
        "a: 1\nb: 2\nc: 3\nd: 4\ne: 5\n",
        &[(3, 4), (8, 9), (13, 14), (18, 19), (23, 24)],
    );
    report.findings[4] = report.findings[4]
        .words
        .clone()
        .holding(vec![held(), held()])
        .into();
    insta::assert_snapshot!(terminal(&report, &PLAIN_LOOK));
}

#[test]
fn a_finding_in_a_file_whose_text_was_not_kept_is_still_told() {
    let mut report = heron();
    report.sources = Sources::default();
    assert!(
        terminal(&report, &PLAIN_LOOK)
            .contains("at calibrations/heron/2026-03-09.yaml:1:1: 41.0 fl oz")
    );
    assert_eq!(
        plain(&report)
            .lines()
            .filter(|line| line.ends_with(']'))
            .count(),
        3
    );
}

fn rule() -> RuleDescription {
    let words = |text: &str| text.to_owned();
    RuleDescription {
        id: words("nozzle-off-mean"),
        title: words("A nozzle passes unlike the rest of the boom"),
        status: words("settled"),
        figure: words("nozzle-off-mean"),
        figure_title: words("how much more or less one nozzle passes than the mean of the boom"),
        formula: words("flow of the nozzle / mean flow - 1"),
        family: words("each nozzle"),
        limits: vec![
            LimitDescription {
                grade: words("error"),
                limit: words("at most 10%"),
                set_by: words(
                    "fleet.yaml:12, for machine heron, because: fine turf wants it so and has always",
                ),
            },
            LimitDescription {
                grade: words("warning"),
                limit: words("at most 5%"),
                set_by: words("built in"),
            },
        ],
        decision: words("the value as it is against the limit"),
        applies: vec![words("catch tests")],
        follows: vec![words("nozzle-not-caught")],
        remedies: vec![
            words("low: clean the tip and its strainer, catch again"),
            words("high: check the size, then replace the tip"),
        ],
        example: None,
        why: words("One tip out of line overdoses or starves a strip of turf the whole season."),
        sources: vec![words("Alberta Agdex 606-1, p. 11: 5%")],
    }
}

#[test]
fn rules_as_a_list_and_as_a_page() {
    let on_trial = RuleDescription {
        id: "nozzle-off-rated".to_owned(),
        status: "on trial".to_owned(),
        ..rule()
    };
    insta::assert_snapshot!(
        "rules_as_a_list",
        rule_list(&[rule(), on_trial], &PLAIN_LOOK)
    );
    insta::assert_snapshot!("a_rule_as_a_page", rule_page(&rule(), &PLAIN_LOOK));
}

/// A report all of whose texts are `hostile`, also the path, the record and the rule's name.
pub(crate) fn hostile_report(hostile: &str) -> Report {
    let path = format!("machines/{hostile}.yaml");
    let mut tree = Tree::new(&[(hostile, hostile), (&path, hostile)]);
    let label = |path: &str| Label::new(tree.bytes(path, 0, hostile.len()), hostile);
    let finding = Diagnostic::new(hostile.to_owned(), Severity::Error, hostile, label(hostile))
        .also(label(&path))
        .worked_out(hostile)
        .help(hostile)
        .of_machine(hostile);
    tree.report.findings = vec![finding.into(); 5];
    tree.report.failures = vec![Failure {
        path: hostile.to_owned(),
        reason: hostile.to_owned(),
    }];
    tree.report.counts.unavailable.insert(hostile.to_owned(), 1);
    tree.report
}

fn figures_as(name: &str, table: &FigureTable) -> Harmless {
    let format = FIGURE_FORMATS.iter().find(|format| format.name == name);
    figure_text(table, &mut *(format.unwrap().writer)(PLAIN_LOOK))
}

fn assert_all_harmless(hostile: &str, width: usize) {
    let report = hostile_report(hostile);
    let look = Look {
        color: false,
        width,
    };
    let colored = Look { color: true, width };
    let words = || hostile.to_owned();
    let rules = [RuleDescription {
        id: words(),
        title: words(),
        example: None,
        why: words(),
        sources: vec![words()],
        ..rule()
    }];
    let table = hostile_table(hostile);
    for look in [look, colored] {
        for format in REPORT_FORMATS {
            let text = (format.write)(&report, &look);
            assert_harmless(format.name, &text, line_end(format.name));
        }
        for format in FIGURE_FORMATS {
            let text = figure_text(&table, &mut *(format.writer)(look));
            assert_harmless(format.name, &text, line_end(format.name));
        }
        assert_harmless("rules", &rule_list(&rules, &look), "\n");
        assert_harmless("rule", &rule_page(&rules[0], &look), "\n");
    }
    assert_eq!(
        json_lines(&report)[0]["message"],
        hostile,
        "JSON loses nothing"
    );
    let figure: serde_json::Value = serde_json::from_str(&figures_as("jsonl", &table)).unwrap();
    assert_eq!(figure["machine"], hostile, "JSON loses nothing");
    let csv = figures_as("csv", &table);
    let rows: Vec<csv::StringRecord> = csv::Reader::from_reader(csv.as_bytes())
        .records()
        .map(Result::unwrap)
        .collect();
    let [row] = &*rows else {
        panic!("one row: {rows:?}")
    };
    assert_eq!(&row[6], "-0.25", "a number of ours stays a number");
    assert!(
        !row[0].trim_start().starts_with(harmless::FORMULA),
        "{}",
        &row[0]
    );
}

/// A figure all of whose texts are `hostile`.
fn hostile_table(hostile: &str) -> FigureTable {
    let words = || hostile.to_owned();
    let place = || RowPlace {
        path: words(),
        line: 1,
        column: 1,
    };
    let contribution = Contribution {
        what: "jug",
        share: 1.0,
        place: Some(place()),
    };
    FigureTable {
        rows: vec![FigureRow {
            figure: "nozzle-off-mean",
            machine: words(),
            date: Some(date(2026, 3, 9)),
            setup: Some(words()),
            stage: None,
            part: words(),
            value: Ok(-0.25),
            expanded: Some(0.01),
            unit: words(),
            place: place(),
            contributions: vec![contribution],
            working: Some(words()),
        }],
        totals: FigureTotals::default(),
    }
}

#[test]
fn hostile_text_is_harmless_in_every_format() {
    let others = [
        "<b>|`'\"\\ & ${x}%0A",
        "漢字 ::x ::y ::z ##[ ::warning::long enough to wrap once at least in forty columns ::x",
    ];
    for hostile in harmless::HOSTILE.into_iter().chain(others) {
        for width in [40, 80] {
            assert_all_harmless(hostile, width);
        }
    }
}

proptest! {
    #[test]
    fn any_text_is_harmless_in_every_format(
        hostile in "(\\PC|\\pC|::|##\\[|##vso\\[|\\[command\\]|--- |=| |\n|\r|\t|\u{1b}|e\u{301}|漢){0,80}",
        width in 40_usize..120,
    ) {
        assert_all_harmless(&hostile, width);
    }

    #[test]
    fn any_places_of_any_text_can_be_drawn(
        text in "(\\PC|\\pC| |\n|\n|\r\n|\t|e\u{301}|漢|[a-z]{1,80}){0,40}",
        at in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..5),
        width in 60_usize..240,
    ) {
        let boundaries: Vec<usize> = (0..=text.len()).filter(|&at| text.is_char_boundary(at)).collect();
        let mut tree = Tree::new(&[("a", &text)]);
        let mut labels = at.iter().map(|(one, other)| {
            let (one, other) = (*one.get(&boundaries), *other.get(&boundaries));
            Label::new(tree.bytes("a", one.min(other), one.max(other)), "")
        });
        let first = labels.next().unwrap();
        let finding = labels.fold(Diagnostic::new("rule", Severity::Note, "a fault", first), Diagnostic::also);
        tree.report.findings = vec![finding.into()];
        let look = Look { color: false, width };
        let drawn = terminal(&tree.report, &look);
        let colored = terminal(&tree.report, &Look { color: true, width });
        prop_assert_eq!(&without_color(&colored), &*drawn);
        prop_assert!(drawn.contains(['═', '╤', '▴']));
        for line in drawn.lines() {
            prop_assert!(line.chars().map(|c| c.to_string().width()).sum::<usize>() <= width, "{}", line);
        }
        let n_lines = SourceFile::new("a", text.as_str()).line_count();
        for line in json_lines(&tree.report).iter().filter(|line| line["kind"] == "finding") {
            prop_assert!(line["end-line"].as_u64().unwrap() <= n_lines as u64);
        }
    }
}

fn held() -> Held {
    Held {
        rule: "nozzle-off-rated".to_owned(),
        severity: Severity::Error,
    }
}

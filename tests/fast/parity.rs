//! `check`, `due`, `figures`, comparisons and the list of rules, held to each other on drawn fleets: what one of them says of
//! a step, a finding or a figure, the others say
//!
//! `cargo test --release --test fast -- --ignored parity_of_500` asks 500 fleets on ten days each, and tells of every
//! property how often it does not hold.

use crate::fixture::{Files, listing, reading};
use crate::generated::opened::{Told, any, any_as_found, opened};
use crate::generated::{Chance, fleet, rule};
use crate::told::{assert_same_report, in_words, place};
use crate::{fixture, generated, told};
use jiff::civil::{Date, date};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;
use swathlint::diagnostic::Severity;
use swathlint::figure::catalogue;
use swathlint::quantity::calendar::Period;
use swathlint::report::Told as Finding;
use swathlint::report::{
    DueBy, DueList, DueState, DueStep, FigureRow, FigureTable, RowPlace, RuleList,
};
use swathlint::rule::is_of_guard;
use swathlint::{
    Before, Listing, Report, Settings, check, check_compared, describe_rules, due, figures,
};

/// All that the program says of a fleet on a day.
struct Asked {
    seed: u64,
    today: Date,
    files: Files,
    check: Report,
    due: DueList,
    figures: FigureTable,
    rules: RuleList,
    /// The same where nothing is let pass.
    unwaived: Report,
    /// The same laid open.
    opened: Opened,
}

/// What it says of a fleet laid open.
struct Opened {
    check: Report,
    /// The same, whatever explains it.
    by_rules: Report,
    due: DueList,
    figures: FigureTable,
    rules: RuleList,
}

/// Settings that ask for some paths, or all.
fn settings(today: Date, selected: &[&str]) -> Settings {
    Settings {
        selected: selected.iter().map(|&path| path.to_owned()).collect(),
        ..Settings::on(today)
    }
}

fn checked(files: &Files, settings: &Settings) -> Report {
    check(&listing(files), &reading(files), settings)
}

fn due_on(files: &Files, settings: &Settings) -> DueList {
    due(&listing(files), &reading(files), settings, Period::Days(14))
}

fn figures_of(files: &Files, settings: &Settings) -> FigureTable {
    figures(&listing(files), &reading(files), settings)
}

fn rules_of(files: &Files, today: Date) -> RuleList {
    describe_rules(Some(&listing(files)), &reading(files), today)
}

fn compared(files: &Files, before: &Files, changed: &BTreeSet<String>, today: Date) -> Report {
    let (listing_before, read_before) = (listing(before), reading(before));
    let before = Before {
        revision: "main",
        commit: "0000000000000000000000000000000000000000",
        listing: &listing_before,
        read: &read_before,
        changed,
    };
    let settings = settings(today, &[]);
    check_compared(&listing(files), &reading(files), &before, &settings)
}

impl Asked {
    fn of(seed: u64, files: &Files, today: Date) -> Self {
        let all = settings(today, &[]);
        let laid_open = opened(files);
        let mut unwaived = files.clone();
        unwaived.remove("waivers.yaml");
        let rules = rules_of(&laid_open, today);
        let broken = |error: &&String| error.starts_with("house-rules/any-");
        assert_eq!(rules.errors.iter().find(broken), None, "every rule runs");
        Self {
            seed,
            today,
            files: files.clone(),
            check: checked(files, &all),
            due: due_on(files, &all),
            figures: figures_of(files, &all),
            rules: rules_of(files, today),
            unwaived: checked(&unwaived, &all),
            opened: Opened {
                check: checked(&laid_open, &all),
                by_rules: checked(
                    &laid_open,
                    &Settings {
                        rule_by_rule: true,
                        ..all.clone()
                    },
                ),
                due: due_on(&laid_open, &all),
                figures: figures_of(&laid_open, &all),
                rules,
            },
        }
    }
}

/// What does not agree, one line each.
type Property = fn(&Asked) -> Vec<String>;

/// Every property with its name.
const PROPERTIES: [(&str, Property); 15] = [
    ("counts", counts_agree),
    ("overdue", overdue_agrees),
    ("undone", undone_agrees),
    ("failing", failing_is_an_error),
    ("errors", errors_are_failing),
    ("values", values_agree),
    ("values of failing", values_of_failing_agree),
    ("no value", no_value_is_no_finding),
    ("held", all_held_is_counted),
    ("waived", all_waived_is_counted),
    ("paths", paths_are_parts),
    ("comparisons", comparisons_agree),
    ("differences", differences_agree),
    ("order", order_is_no_matter),
    ("rules", rules_tell_of_errors),
];

/// Small fleets that hold something of everything.
const SEEDS: [u64; 5] = [4, 6, 7, 38, 57];

/// A few fleets on a few of their days, asked once for all tests.
static FEW: LazyLock<Vec<Asked>> = LazyLock::new(|| {
    let asked = SEEDS.into_iter().flat_map(|seed| {
        let fleet = fleet(seed);
        let days = fleet.days.iter().skip(2).step_by(5);
        days.map(|day| Asked::of(seed, &fleet.files, *day))
            .collect::<Vec<Asked>>()
    });
    asked.collect()
});

/// So many complaints are shown of all that there are.
const SHOWN: usize = 6;

fn complaints(asked: &Asked, property: Property) -> Vec<String> {
    let complaints = property(asked).into_iter();
    let (seed, today) = (asked.seed, asked.today);
    complaints
        .map(|complaint| format!("seed {seed} on {today}: {complaint}"))
        .collect()
}

fn holds(property: Property) {
    let complaints: Vec<String> = FEW
        .iter()
        .flat_map(|asked| complaints(asked, property))
        .collect();
    let shown = &complaints[..complaints.len().min(SHOWN)];
    assert!(
        complaints.is_empty(),
        "{} disagreements:\n{}",
        complaints.len(),
        shown.join("\n")
    );
}

#[test]
#[ignore = "takes minutes; named in the file's head"]
fn parity_of_500() {
    let fleets = (0..500).into_par_iter().flat_map_iter(|seed| {
        let fleet = fleet(seed);
        let asked = fleet
            .days
            .iter()
            .map(|day| Asked::of(seed, &fleet.files, *day));
        let told = asked.flat_map(|asked| {
            PROPERTIES.map(|(name, property)| (name, complaints(&asked, property)))
        });
        told.collect::<Vec<_>>()
    });
    let mut told: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for (name, complaints) in fleets.collect::<Vec<_>>() {
        told.entry(name).or_default().extend(complaints);
    }
    told.retain(|_, complaints| !complaints.is_empty());
    let lines = told.iter().map(|(name, complaints)| {
        let shown = &complaints[..complaints.len().min(SHOWN)];
        format!(
            "{name}: {} disagreements\n{}",
            complaints.len(),
            shown.join("\n")
        )
    });
    let lines: Vec<String> = lines.collect();
    assert!(told.is_empty(), "{}", lines.join("\n\n"));
}

/// Lines that stand on one side only, marked with the side.
fn unlike(one: Vec<String>, of_one: &str, other: Vec<String>, of_other: &str) -> Vec<String> {
    let mut counts: BTreeMap<String, i64> = BTreeMap::new();
    for line in one {
        *counts.entry(line).or_default() += 1;
    }
    for line in other {
        *counts.entry(line).or_default() -= 1;
    }
    counts.retain(|_, count| *count != 0);
    let told = counts.into_iter().map(|(line, count)| {
        let side = if count > 0 { of_one } else { of_other };
        format!("only {side}: {line}")
    });
    told.collect()
}

/// Records read, files that could not be, and errors that are no rule's, as each of them counts.
fn counts_agree(asked: &Asked) -> Vec<String> {
    let Asked {
        check,
        due,
        figures,
        rules,
        ..
    } = asked;
    let mut complaints = Vec::new();
    if due.records != check.counts.records {
        let (due, check) = (due.records, check.counts.records);
        complaints.push(format!("{due} records of due, {check} of check"));
    }
    if figures.totals.unreadable != check.counts.unreadable {
        let (figures, check) = (figures.totals.unreadable, check.counts.unreadable);
        complaints.push(format!("{figures} unreadable of figures, {check} of check"));
    }
    let names: BTreeSet<&str> = rules.rules.iter().map(|rule| rule.id.as_str()).collect();
    let is_of_no_rule = |finding: &&Finding| {
        let is_of_a_rule = names.contains(finding.rule()) || finding.explained().is_some();
        finding.severity() == Severity::Error && !is_of_a_rule
    };
    let errors = check.findings.iter().filter(is_of_no_rule);
    let errors = errors.map(|finding| in_words(&place(check, finding.primary())));
    // A record of a day that has not come is named by `due` too, whatever is waived.
    let at = |row: &&FigureRow| row.figure == "days-ahead";
    let not_come: BTreeSet<String> = figures
        .rows
        .iter()
        .filter(at)
        .map(|row| in_words(&row.place))
        .collect();
    let of_due = due.errors.iter().map(in_words);
    let of_due = of_due.filter(|place| !not_come.contains(place)).collect();
    complaints.extend(unlike(errors.collect(), "in check", of_due, "in due"));
    complaints
}

/// A step of a machine as `catch test (greens)`, the setup named where there are several.
fn what(step: &DueStep) -> String {
    match &step.setup {
        Some(setup) => format!("{} ({setup})", step.step),
        None => step.step.to_owned(),
    }
}

/// The findings of a fleet laid open that its rules made, each with its figure.
fn told_of(opened: &Opened, is_wanted: impl Fn(&str) -> bool) -> Vec<(&Finding, &str, Told)> {
    let figure_of: BTreeMap<&str, &str> = opened
        .rules
        .rules
        .iter()
        .map(|rule| (rule.id.as_str(), rule.figure.as_str()))
        .collect();
    let findings = opened.by_rules.findings.iter().filter_map(|finding| {
        let figure = figure_of.get(finding.rule())?;
        let told = Told::of(finding.message()).filter(|_| is_wanted(figure))?;
        Some((finding, *figure, told))
    });
    let is_of_any = |rule: &str, figure: &str| rule == any(figure) || rule == any_as_found(figure);
    findings
        .filter(|(finding, figure, _)| !is_of_any(finding.rule(), figure))
        .collect()
}

/// What makes a step overdue, as a figure.
fn figure_of(by: DueBy) -> Option<&'static str> {
    match by {
        DueBy::Calendar => Some("step-age"),
        DueBy::Hours => Some("step-hours"),
        DueBy::Applications => Some("step-applications"),
        DueBy::Work | DueBy::Finding | DueBy::Nothing => None,
    }
}

/// A step is overdue in `due` where a rule finds so, by the same limit. The rules beside ours that allow none make every step
/// overdue that was done before today; they are passed over.
fn overdue_agrees(asked: &Asked) -> Vec<String> {
    let Opened {
        check, due, rules, ..
    } = &asked.opened;
    let ages = ["step-age", "step-hours", "step-applications"];
    let found = told_of(&asked.opened, |figure| ages.contains(&figure));
    let mut complaints = Vec::new();
    for step in due
        .steps
        .iter()
        .filter(|step| step.state == DueState::Overdue)
    {
        let interval = step.interval.as_deref().unwrap_or_default();
        if interval.starts_with("none") {
            continue;
        }
        let is_of_step = |figure: &str, told: &Told| {
            let rest = interval.strip_prefix(told.limit.as_str());
            Some(figure) == figure_of(step.by)
                && told.machine == step.machine
                && told.part == what(step)
                && rest.is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', ',']))
        };
        if !found
            .iter()
            .any(|(_, figure, told)| is_of_step(figure, told))
        {
            let (machine, what) = (&step.machine, what(step));
            complaints.push(format!(
                "due has the {what} of {machine} overdue after {interval}, and check has not"
            ));
        }
    }
    let runs_in_full = |rule: &str| {
        let mut rules = rules.rules.iter();
        rules.any(|known| known.id == rule && known.status == "settled")
    };
    for (finding, _, told) in &found {
        if !runs_in_full(finding.rule()) {
            continue;
        }
        let listed = due
            .steps
            .iter()
            .find(|step| step.machine == told.machine && what(step) == told.part);
        let state = listed.map(|step| step.state);
        let is_no_less = matches!(
            state,
            Some(
                DueState::Overdue | DueState::Failing | DueState::RecordToCorrect | DueState::Void
            )
        );
        if !is_no_less {
            let at = in_words(&place(check, finding.primary()));
            let state = state.map_or("current", DueState::word);
            complaints.push(format!(
                "check has the {} of {} overdue ({} where {} is allowed, {at}) [{}], and due has it {state}",
                told.part, told.machine, told.found, told.limit, finding.rule(),
            ));
        }
    }
    complaints
}

/// The step and setup of a row, as those of a step that is due.
fn is_row_of(row: &FigureRow, step: &DueStep) -> bool {
    let setup = step.setup.as_ref().or(step.only_setup.as_ref());
    let is_of_setup = row.setup.is_none() || row.setup.as_ref() == setup;
    row.machine == step.machine && row.part == step.step && is_of_setup
}

/// Never done, void, to be checked again, last done: as the figures of the step have it, and as often as rules find it.
fn undone_agrees(asked: &Asked) -> Vec<String> {
    let Opened {
        check,
        due,
        figures,
        ..
    } = &asked.opened;
    let mut complaints = Vec::new();
    let rows = |figure: &'static str| figures.rows.iter().filter(move |row| row.figure == figure);
    let is_one = |row: &&FigureRow| row.value == Ok(1.0);
    let row_of = |figure, step: &DueStep| rows(figure).find(|row| is_row_of(row, step));
    let n_steps = due.steps.len() + due.current;
    let n_rows = rows("step-age").count();
    if due.unsure.is_empty() && n_rows != n_steps {
        complaints.push(format!("{n_steps} steps of due, {n_rows} of figures"));
    }
    for step in &due.steps {
        let (machine, what) = (&step.machine, what(step));
        let mut complain = |told: &str| complaints.push(format!("{machine}, {what}: {told}"));
        let Some(age) = row_of("step-age", step) else {
            complain("is due, and figures do not have it");
            continue;
        };
        let is_void = row_of("step-void", step).is_some_and(|row| is_one(&row));
        let to_recheck = row_of("step-to-recheck", step).is_some_and(|row| is_one(&row));
        if (step.state == DueState::Void) != is_void {
            complain("is void in one of due and figures");
        }
        let by_work = step.state == DueState::Recheck && step.by == DueBy::Work;
        if by_work && !to_recheck {
            complain("is to be checked again, and figures do not have it so");
        }
        if to_recheck && matches!(step.state, DueState::ComingDue | DueState::NeverDone) {
            complain("is to be checked again by figures, and due has it lighter");
        }
        if let Ok(days) = &age.value {
            let done = step.last_done.map(|done| (asked.today - done).get_days());
            if done.map(f64::from) != Some(days.max(0.0)) {
                complain(&format!("last done {days} days ago by figures"));
            }
        } else {
            let is_unread = step.state == DueState::Recheck && step.by == DueBy::Finding;
            if step.state != DueState::NeverDone && !is_unread {
                complain("has no age, and due has it neither never done nor unread");
            }
        }
    }
    // What is not listed is neither void nor to be checked again, nor never done.
    for figure in ["step-void", "step-to-recheck"] {
        for row in rows(figure).filter(is_one) {
            if !due.steps.iter().any(|step| is_row_of(row, step)) {
                let (machine, part) = (&row.machine, &row.part);
                complaints.push(format!(
                    "{machine}, {part}: {figure}, and due does not list it"
                ));
            }
        }
        // One step of a place tells of all that the same work undid.
        let of_rows = rows(figure)
            .filter(is_one)
            .map(|row| format!("{figure} of {} at {}", row.machine, in_words(&row.place)));
        let is_any = |finding: &&Finding| finding.rule() == any(figure);
        let of_check = check.findings.iter().filter(is_any).map(|finding| {
            let machine = finding.machine().unwrap_or_default();
            let at = in_words(&place(check, finding.primary()));
            format!("{figure} of {machine} at {at}")
        });
        complaints.extend(unlike(
            of_rows.collect(),
            "in figures",
            of_check.collect(),
            "in check",
        ));
    }
    complaints
}

/// What `due` calls failing is an error of `check` at that place by that name, or held back by one.
fn failing_is_an_error(asked: &Asked) -> Vec<String> {
    let mut complaints = Vec::new();
    let both = [
        (&asked.check, &asked.due),
        (&asked.opened.check, &asked.opened.due),
    ];
    for (check, due) in both {
        for step in due
            .steps
            .iter()
            .filter(|step| [DueState::Failing, DueState::RecordToCorrect].contains(&step.state))
        {
            // A test that does not count is told behind it.
            let name = step.because.rsplit_once('[').map_or("", |(_, name)| name);
            let name = name.split_once(']').map_or(name, |(name, _)| name);
            let is_it = |finding: &&Finding| {
                let at = place(check, finding.primary());
                let is_own = finding.rule() == name
                    && finding.heaviest() == Severity::Error
                    && Some(&at) == step.at.as_ref();
                let is_held = finding.held().iter().any(|held| held.rule == name)
                    && finding.machine() == Some(step.machine.as_str());
                is_own || is_held
            };
            if !check.findings.iter().any(|finding| is_it(&finding)) {
                let (machine, what, because) = (&step.machine, what(step), &step.because);
                complaints.push(format!(
                    "{machine}, {what} is failing in due for no error of check: {because}"
                ));
            }
        }
    }
    complaints
}

/// An error as left in the visit that last did its step has the step failing, or void since.
fn errors_are_failing(asked: &Asked) -> Vec<String> {
    let Opened {
        check,
        due,
        figures,
        ..
    } = &asked.opened;
    let mut complaints = Vec::new();
    for (finding, figure, told) in told_of(&asked.opened, |_| true) {
        let step = catalogue::find(figure).and_then(|(_, entry)| entry.step);
        let is_left = !finding.message().starts_with("as found");
        let Some(step) = step.filter(|_| is_left && finding.severity() == Severity::Error) else {
            continue;
        };
        let at = place(check, finding.primary());
        let of_visit = figures.rows.iter().filter(|row| {
            row.figure == "step-age" && row.part == step.test() && row.place.path == at.path
        });
        for row in of_visit {
            let listed = due.steps.iter().find(|due| is_row_of(row, due));
            let state = listed.map(|step| step.state);
            let is_bad = matches!(
                state,
                Some(DueState::Failing | DueState::RecordToCorrect | DueState::Void)
            );
            if !is_bad {
                let state = state.map_or("current", DueState::word);
                complaints.push(format!(
                    "{}: {} at {} [{}], and due has the {} {state}",
                    told.machine,
                    finding.message(),
                    in_words(&at),
                    finding.rule(),
                    row.part,
                ));
            }
        }
    }
    complaints
}

/// The figure that the table forgets.
const FORGOTTEN: &str = "sprayed-while-failing";

fn values_agree(asked: &Asked) -> Vec<String> {
    values(&asked.opened, |figure| figure != FORGOTTEN)
}

fn values_of_failing_agree(asked: &Asked) -> Vec<String> {
    values(&asked.opened, |figure| figure == FORGOTTEN)
}

/// Any value that a rule tells of stands in the table of figures, and the other way round.
fn values(opened: &Opened, is_wanted: impl Fn(&str) -> bool) -> Vec<String> {
    /// What is nothing but for rounding may be told or not.
    const NOTHING: f64 = 1e-9;
    let Opened {
        by_rules: check,
        figures,
        ..
    } = opened;
    let mut rows_of: BTreeMap<&str, Vec<&FigureRow>> = BTreeMap::new();
    for row in figures.rows.iter().filter(|row| row.value.is_ok()) {
        rows_of.entry(row.figure).or_default().push(row);
    }
    let mut findings_of: BTreeMap<&str, Vec<&Finding>> = BTreeMap::new();
    for finding in &check.findings {
        findings_of.entry(finding.rule()).or_default().push(finding);
    }
    let mut complaints = Vec::new();
    let judged = catalogue::FIGURES.iter().copied();
    let judged = judged.filter(|entry| !entry.is_informational() && is_wanted(entry.id));
    for figure in judged.map(|entry| entry.id) {
        let mut left = rows_of.remove(figure).unwrap_or_default();
        let (any, any_as_found) = (any(figure), any_as_found(figure));
        let of_rule = |rule: &str| findings_of.get(rule).cloned().unwrap_or_default();
        // As found a rule tells only what is not so as left, so another one asks for that alone.
        let as_left = of_rule(&any).into_iter();
        let as_left = as_left.filter(|finding| !finding.message().starts_with("as found"));
        for finding in as_left.chain(of_rule(&any_as_found)) {
            let told = Told::of(finding.message()).unwrap();
            let (value, off) = told.value();
            let at = place(check, finding.primary());
            let is_found = finding.rule() == any_as_found;
            let is_it = |row: &&FigureRow| {
                let own = row.value.as_ref().unwrap().abs();
                let setup = row.setup.as_deref().unwrap_or_default();
                let of_setup = format!("{} ({setup})", row.part);
                let parts = [row.part.as_str(), of_setup.as_str(), ""];
                row.place == at
                    && row.machine == told.machine
                    && (row.stage == Some("as found")) == is_found
                    && parts.contains(&told.part.as_str())
                    && (own - value).abs() <= off + 1e-9 * own
            };
            match left.iter().position(is_it) {
                Some(found) => {
                    left.swap_remove(found);
                }
                None => complaints.push(format!(
                    "no {figure} in figures as in {} at {}",
                    finding.message(),
                    in_words(&at)
                )),
            }
        }
        let untold = left
            .into_iter()
            .filter(|row| NOTHING < row.value.as_ref().unwrap().abs());
        complaints.extend(untold.map(|row| {
            let (value, part) = (row.value.as_ref().unwrap(), &row.part);
            let at = in_words(&row.place);
            format!("no rule tells of {figure} {value} of {part} at {at}, any allowed or not")
        }));
    }
    complaints
}

/// A figure without a value is counted as such by every rule that runs on it, and found by none.
fn no_value_is_no_finding(asked: &Asked) -> Vec<String> {
    let Opened { check, figures, .. } = &asked.opened;
    let mut without: BTreeMap<&str, usize> = BTreeMap::new();
    for row in figures.rows.iter().filter(|row| row.value.is_err()) {
        *without.entry(row.figure).or_default() += 1;
    }
    let judged = catalogue::FIGURES
        .iter()
        .filter(|entry| !entry.is_informational());
    let complaints = judged.filter_map(|entry| {
        let counted = check.counts.unavailable.get(&any(entry.id));
        let (counted, rows) = (
            counted.copied().unwrap_or_default(),
            without.get(entry.id).copied().unwrap_or_default(),
        );
        let figure = entry.id;
        (counted != rows)
            .then(|| format!("{figure} has no value {rows} times in figures, {counted} in check"))
    });
    complaints.collect()
}

/// How often each rule finds something, with what is held back.
fn found_by_rule(report: &Report, names: &BTreeSet<&str>) -> Vec<String> {
    let findings = report.findings.iter().flat_map(|finding| {
        let held = finding.held().iter().map(|held| held.rule.clone());
        std::iter::once(finding.rule().to_owned()).chain(held)
    });
    findings
        .filter(|rule| names.contains(rule.as_str()) && rule != FORGOTTEN)
        .collect()
}

/// What is found and what that holds back is all that would be found if nothing held anything back.
fn all_held_is_counted(asked: &Asked) -> Vec<String> {
    let names: BTreeSet<&str> = asked
        .rules
        .rules
        .iter()
        .map(|rule| rule.id.as_str())
        .collect();
    let n_held: usize = asked
        .unwaived
        .findings
        .iter()
        .map(|finding| finding.held().len())
        .sum();
    let mut complaints = unlike(
        found_by_rule(&asked.unwaived, &names),
        "with what is held",
        found_by_rule(&asked.opened.check, &names),
        "laid open",
    );
    let counted = asked.unwaived.counts.held;
    if n_held != counted {
        complaints.push(format!("{n_held} are held back, {counted} counted"));
    }
    complaints
}

/// What waivers let pass is what stands without them, and is counted.
fn all_waived_is_counted(asked: &Asked) -> Vec<String> {
    let told = |report: &Report| -> Vec<String> {
        let findings = report.findings.iter().filter(|finding| {
            let is_own = place(report, finding.primary()).path == "waivers.yaml";
            !is_own && finding.rule() != FORGOTTEN
        });
        findings
            .map(|finding| told::finding(report, finding))
            .collect()
    };
    let (with, without) = (told(&asked.check), told(&asked.unwaived));
    let n_waived = without.len() - with.len().min(without.len());
    let mut complaints: Vec<String> = unlike(with, "with waivers", without, "without")
        .into_iter()
        .filter(|line| line.starts_with("only with waivers"))
        .collect();
    // A spraying with what was let pass is no finding either.
    if asked.check.counts.waived < n_waived {
        let counted = asked.check.counts.waived;
        complaints.push(format!("{n_waived} are let pass, {counted} counted"));
    }
    complaints
}

/// Asked for some paths, each tells exactly what it tells of them when asked for all; guards aside.
fn paths_are_parts(asked: &Asked) -> Vec<String> {
    let machines = generated::MACHINES;
    let path = machines[usize::try_from(asked.seed).unwrap() % machines.len()];
    let record = asked.files.keys().nth(asked.files.len() / 2).unwrap();
    let of_machine = format!("calibrations/{path}");
    let selected = [of_machine.as_str(), record.as_str(), "fleet.yaml"];
    let is_within = |path: &str| {
        selected.iter().any(|chosen| {
            path.strip_prefix(chosen)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        })
    };
    let some = settings(asked.today, &selected);
    let report = checked(&asked.files, &some);
    let within = asked.check.findings.iter();
    // What guards merged records is told whatever is asked for.
    let within = within.filter(|finding| {
        is_of_guard(finding.rule()) || is_within(&place(&asked.check, finding.primary()).path)
    });
    let within = within.map(|finding| told::finding(&asked.check, finding));
    let mut complaints = unlike(
        told::findings(&report),
        "in check of paths",
        within.collect(),
        "in check of all",
    );
    let row = |row: &FigureRow| format!("{row:?}");
    let rows = asked.figures.rows.iter();
    let rows = rows.filter(|row| is_within(&row.place.path)).map(row);
    let table = figures_of(&asked.files, &some);
    complaints.extend(unlike(
        table.rows.iter().map(row).collect(),
        "in figures of paths",
        rows.collect(),
        "in figures of all",
    ));
    let wanted: BTreeSet<&str> = asked
        .files
        .keys()
        .filter(|path| is_within(path))
        .filter_map(|path| path.split('/').nth(1))
        .map(|name| name.trim_end_matches(".yaml"))
        .collect();
    let step = |step: &DueStep| format!("{step:?}");
    let steps = asked.due.steps.iter();
    let steps = steps.filter(|step| wanted.contains(step.machine.as_str()));
    complaints.extend(unlike(
        due_on(&asked.files, &some).steps.iter().map(step).collect(),
        "in due of paths",
        steps.map(step).collect(),
        "in due of all",
    ));
    complaints
}

/// Compared with itself a fleet has nothing new; compared with nothing, all that a check finds.
fn comparisons_agree(asked: &Asked) -> Vec<String> {
    let Asked {
        files,
        check,
        today,
        ..
    } = asked;
    let all: BTreeSet<String> = files.keys().cloned().collect();
    let mut complaints = Vec::new();
    for changed in [&BTreeSet::new(), &all] {
        let same = compared(files, files, changed, *today);
        complaints.extend(
            told::findings(&same)
                .into_iter()
                .map(|told| format!("new beside itself: {told}")),
        );
        let counted = same.compared.unwrap();
        if counted.gone != 0 {
            complaints.push(format!("{} are gone beside itself", counted.gone));
        }
        if changed.len() == all.len() && counted.unchanged != check.findings.len() {
            let (unchanged, found) = (counted.unchanged, check.findings.len());
            complaints.push(format!("{unchanged} of {found} findings are unchanged"));
        }
    }
    let new = compared(files, &Files::new(), &all, *today);
    complaints.extend(unlike(
        told::findings(&new),
        "beside nothing",
        told::findings(check),
        "in check",
    ));
    complaints
}

/// What makes two findings the same to a comparison, beside each.
fn same(report: &Report) -> impl Iterator<Item = (String, &Finding)> {
    let findings = report.findings.iter();
    let findings = findings.filter(|finding| !is_of_guard(finding.rule()));
    findings.map(|finding| {
        let path = place(report, finding.primary()).path;
        let (rule, severity) = (finding.rule(), finding.severity().word());
        let line = format!("{path}: {} [{severity} {rule}]", finding.message());
        (line, finding)
    })
}

/// Compared with the fleet as it was, only what a check of it did not find is told; what guards merged records aside.
fn differences_agree(asked: &Asked) -> Vec<String> {
    let mut chance = Chance::seeded(asked.seed);
    let paths: Vec<&String> = asked.files.keys().collect();
    let (added, altered) = (chance.index(paths.len()), chance.index(paths.len()));
    let mut before = asked.files.clone();
    before.remove(paths[added]);
    if let Some(text) = before.get_mut(paths[altered]) {
        let year = if chance.of_hundred(50) {
            "2023-"
        } else {
            "2025-"
        };
        *text = text.replacen("2024-", year, 1).replacen(": 3", ": 4", 1);
    }
    let changed = [paths[added].clone(), paths[altered].clone()];
    let told = compared(&asked.files, &before, &changed.into(), asked.today);
    let checked_before = checked(&before, &settings(asked.today, &[]));
    let mut were: BTreeMap<String, Vec<BTreeSet<String>>> = BTreeMap::new();
    for (line, finding) in same(&checked_before) {
        were.entry(line)
            .or_default()
            .push(held(&checked_before, finding));
    }
    let mut is_new = |line: &String, finding: &Finding| {
        let held = held(&asked.check, finding);
        let left = were.get_mut(line);
        let known = left.and_then(|left| {
            let at = left.iter().position(|before| held.is_subset(before))?;
            Some(left.swap_remove(at))
        });
        known.is_none()
    };
    let new = same(&asked.check).filter(|(line, finding)| is_new(line, finding));
    let new: Vec<String> = new.map(|(line, _)| line).collect();
    let told = same(&told).map(|(line, _)| line);
    unlike(
        told.collect(),
        "in the comparison",
        new,
        "between the checks",
    )
}

/// What a finding holds back, each in one line.
fn held(report: &Report, finding: &Finding) -> BTreeSet<String> {
    let held = finding.held_judged().iter();
    let held = held.map(|held| {
        let path = report.path(held.subject.file);
        format!(
            "{path} {} {:?} {:?}",
            held.name, held.severity, held.at.part
        )
    });
    held.collect()
}

/// In whatever order files are listed, the same is told.
fn order_is_no_matter(asked: &Asked) -> Vec<String> {
    let files = &asked.files;
    let mut chance = Chance::seeded(asked.seed);
    let shuffled = Listing {
        paths: chance.shuffled(files.keys().cloned().collect()),
        ..Listing::default()
    };
    let (read, all) = (reading(files), settings(asked.today, &[]));
    assert_same_report(&check(&shuffled, &read, &all), &asked.check);
    assert_eq!(due(&shuffled, &read, &all, Period::Days(14)), asked.due);
    assert_eq!(figures(&shuffled, &read, &all).rows, asked.figures.rows);
    let rules = describe_rules(Some(&shuffled), &read, asked.today);
    assert_eq!(rules, asked.rules);
    Vec::new()
}

/// Where a check has errors in what the group declares, the list of rules has them too.
fn rules_tell_of_errors(asked: &Asked) -> Vec<String> {
    let is_declared =
        |at: &RowPlace| at.path == "fleet.yaml" || at.path.starts_with("house-rules/");
    let errors = asked.check.findings.iter();
    let errors = errors.filter(|finding| finding.severity() == Severity::Error);
    let errors = errors.map(|finding| place(&asked.check, finding.primary()));
    let of_check = errors.filter(is_declared).map(|at| in_words(&at));
    let of_rules = asked.rules.errors.iter();
    let of_rules = of_rules.filter(|error| !error.starts_with("waivers.yaml"));
    unlike(
        of_check.collect(),
        "in check",
        of_rules.cloned().collect(),
        "in rules",
    )
}

#[test]
fn counts_of_records_and_errors_agree() {
    holds(counts_agree);
}

#[test]
fn a_step_is_overdue_in_all_or_in_none() {
    holds(overdue_agrees);
}

#[test]
fn a_step_is_void_or_to_be_checked_again_in_all_or_in_none() {
    holds(undone_agrees);
}

#[test]
fn what_is_failing_is_an_error() {
    holds(failing_is_an_error);
}

#[test]
fn what_is_an_error_as_left_is_failing() {
    holds(errors_are_failing);
}

#[test]
fn every_value_told_stands_in_the_table() {
    holds(values_agree);
}

#[test]
fn sprayings_while_failing_stand_in_the_table() {
    holds(values_of_failing_agree);
}

#[test]
fn what_has_no_value_has_no_finding() {
    holds(no_value_is_no_finding);
}

#[test]
fn all_that_is_held_back_is_counted() {
    holds(all_held_is_counted);
}

#[test]
fn all_that_is_let_pass_is_counted() {
    holds(all_waived_is_counted);
}

#[test]
fn paths_give_a_part_of_the_whole() {
    holds(paths_are_parts);
}

#[test]
fn comparisons_with_itself_and_with_nothing() {
    holds(comparisons_agree);
}

#[test]
fn comparisons_are_the_difference_of_two_checks() {
    holds(differences_agree);
}

#[test]
fn the_order_of_files_is_no_matter() {
    holds(order_is_no_matter);
}

#[test]
fn the_list_of_rules_tells_of_errors() {
    holds(rules_tell_of_errors);
}

/// What the properties are asked of has something of everything.
#[test]
fn the_few_fleets_hold_all_kinds_of_things() {
    let steps = || FEW.iter().flat_map(|asked| &asked.due.steps);
    // What is failing and waived is held by the oracle, and by cases of its own.
    let states = DueState::ALL.into_iter();
    for state in states.filter(|state| *state != DueState::Waived) {
        assert!(steps().any(|step| step.state == state), "{}", state.word());
    }
    for by in [DueBy::Calendar, DueBy::Hours, DueBy::Applications] {
        assert!(steps().any(|step| step.by == by), "{}", by.word());
    }
    let findings = || FEW.iter().flat_map(|asked| &asked.check.findings);
    let found: BTreeSet<&str> = findings().map(|finding| finding.rule()).collect();
    let figures = FEW.iter().flat_map(|asked| &asked.opened.figures.rows);
    let computed: BTreeSet<&str> = figures.map(|row| row.figure).collect();
    let waived: usize = FEW.iter().map(|asked| asked.check.counts.waived).sum();
    let unreadable: usize = FEW
        .iter()
        .map(|asked| asked.figures.totals.unreadable)
        .sum();
    assert!(found.len() > 45, "{found:?}");
    assert!(computed.len() > 40, "{computed:?}");
    assert!(waived > 2 && unreadable > 5, "{waived}, {unreadable}");
    assert!(findings().any(|finding| finding.held().len() > 1));
}

/// One machine of five nozzles and four steps, tested in full on 2026-03-09, with more files.
fn base<'f>(more: impl IntoIterator<Item = (&'f str, String)>) -> Files {
    let mut files = fixture::tree(&fixture::folder().join("base"));
    let more = more.into_iter();
    files.extend(more.map(|(path, text)| (path.to_owned(), text)));
    files
}

/// Twelve weeks after that visit.
const LATER: Date = date(2026, 6, 1);

/// The steps that are overdue in the list.
fn overdue_in_list(files: &Files) -> Vec<String> {
    let list = due_on(files, &settings(LATER, &[]));
    let steps = list.steps.iter();
    let overdue = steps.filter(|step| step.state == DueState::Overdue);
    overdue.map(what).collect()
}

/// The findings of a rule.
fn found_by(files: &Files, rule: &str) -> Vec<String> {
    let report = checked(files, &settings(LATER, &[]));
    let findings = report.findings.iter();
    let of_rule = findings.filter(|finding| finding.rule() == rule);
    of_rule
        .map(|finding| finding.message().to_owned())
        .collect()
}

/// A rule of the group's own that lets steps be 60 days old.
fn own_age(status: &str, applies: &str, grade: &str) -> (&'static str, String) {
    let limits = format!("{applies}limits: {{{grade}: 60 days}}\n");
    let text = rule("own-age", status, "step-age", &limits);
    ("house-rules/own-age.yaml", text)
}

#[test]
fn a_rule_for_one_step_makes_no_other_overdue() {
    let files = base([own_age("settled", "applies: {step: speed}\n", "error")]);
    assert_eq!(found_by(&files, "own-age").len(), 1);
    assert_eq!(overdue_in_list(&files), ["speed test"]);
}

#[test]
fn a_withdrawn_rule_makes_nothing_overdue() {
    let files = base([own_age("withdrawn", "", "error")]);
    assert_eq!(found_by(&files, "own-age"), [""; 0]);
    assert_eq!(overdue_in_list(&files), [""; 0]);
}

#[test]
fn of_two_rules_the_one_that_finds_something_makes_overdue() {
    let files = base([own_age("settled", "", "warning")]);
    assert_eq!(found_by(&files, "own-age").len(), 4);
    assert_eq!(overdue_in_list(&files).len(), 4);
}

/// Whichever limit is broken first, though a heavier one is not.
#[test]
fn of_two_grades_the_first_broken_makes_overdue() {
    let (path, text) = own_age("settled", "", "error");
    let text = text.replace("error: 60 days", "error: 3 years, note: 60 days");
    let files = base([(path, text)]);
    assert_eq!(found_by(&files, "own-age").len(), 4);
    assert_eq!(overdue_in_list(&files).len(), 4);
}

/// A step whose age no rule limits is told as one.
#[test]
fn a_step_without_an_interval_is_not_just_current() {
    let withdrawn = rule(
        "overdue",
        "withdrawn",
        "step-age",
        "limits: {warning: 12 months}\n",
    );
    let files = base([("house-rules/overdue.yaml", withdrawn)]);
    let list = due_on(&files, &settings(LATER, &[]));
    assert!(list.steps.is_empty());
    assert_eq!((list.current, list.without_interval), (4, 4));
    let kept = due_on(&base([]), &settings(LATER, &[]));
    assert_eq!(kept.without_interval, 0);
}

/// A rule of the group's own may be called as a fault of a text is; that fault cannot be waived for it.
#[test]
fn no_fault_of_a_text_is_waived() {
    let path = "machines/heron.yaml";
    let broken = format!("{}  : [\n", base([])[path]);
    let waiver = format!(
        "record: waivers\nwaivers:\n  - {{rule: unreadable-yaml, record: {path}, reason: no time, by: rm, from: 2026-01-01, \
         until: 2026-12-31}}\n",
    );
    let named_so = rule(
        "unreadable-yaml",
        "withdrawn",
        "step-age",
        "limits: {warning: 12 months}\n",
    );
    let files = base([
        (path, broken),
        ("waivers.yaml", waiver),
        ("house-rules/unreadable-yaml.yaml", named_so),
    ]);
    assert_eq!(found_by(&files, "unreadable-yaml").len(), 1);
    assert!(!due_on(&files, &settings(LATER, &[])).errors.is_empty());
}

/// An error that a cause holds back which was known before is told with its cause.
#[test]
fn what_a_known_cause_newly_holds_back_is_told() {
    let path = "machines/heron.yaml";
    let wide = base([])[path].replacen("entered-width: 60 in", "entered-width: 70 in", 1);
    let visit = "calibrations/heron/2026-03-09.yaml";
    let mut before = base([(path, wide)]);
    let files = before.clone();
    before.remove(visit);
    let changed = [visit.to_owned()].into();
    let told = compared(&files, &before, &changed, LATER);
    let causes = told
        .findings
        .iter()
        .filter(|one| one.rule() == "entered-width-off");
    let held: Vec<usize> = causes.map(|one| one.held().len()).collect();
    assert!(held.iter().any(|held| *held > 0), "{held:?}");
}

#[test]
fn one_spraying_while_failing_stands_in_the_table() {
    let application = "record: application\nmachine: heron\ndate: 2026-03-10\nby: rm\n";
    let path = "calibrations/heron/2026-03-09.yaml";
    let files = base([("applications/heron/2026-03-10.yaml", application.to_owned())]);
    let failing = files[path].replace("left: [36.5,", "left: [46.5,");
    let files = base([
        (path, failing),
        ("applications/heron/2026-03-10.yaml", application.to_owned()),
    ]);
    assert_eq!(found_by(&files, FORGOTTEN).len(), 1);
    let table = figures_of(&files, &settings(LATER, &[]));
    let rows = table.rows.iter().filter(|row| row.figure == FORGOTTEN);
    let values: Vec<&Result<f64, String>> = rows.map(|row| &row.value).collect();
    assert_eq!(values, [&Ok(1.0)]);
}

#[test]
fn all_records_deleted_are_told() {
    let before = base([]);
    let all = before.keys().cloned().collect();
    let report = compared(&Files::new(), &before, &all, LATER);
    let is_told = !report.findings.is_empty() || !report.failures.is_empty();
    assert!(is_told, "{report:?}");
}

#[test]
fn a_fleet_file_that_cannot_be_read_is_told_with_the_rules() {
    let limits = "limits: {nozzle-off-mean: {error: 20%, because: group decision}}\n";
    let set_by = |files: &Files| {
        let list = rules_of(files, LATER);
        let mut rules = list.rules.into_iter();
        let rule = rules.find(|rule| rule.id == "nozzle-off-mean").unwrap();
        (rule.limits[0].set_by.clone(), list.errors)
    };
    let read = base([("fleet.yaml", format!("record: fleet\n{limits}"))]);
    let (by_group, errors) = set_by(&read);
    assert!(by_group.starts_with("fleet.yaml:2, "), "{by_group}");
    assert_eq!(errors, [""; 0]);
    for broken in ["record: fleet\ncourses: {\n", "record: flee\n", "\u{0}"] {
        let (by, errors) = set_by(&base([("fleet.yaml", format!("{broken}{limits}"))]));
        assert_eq!(by, "built in");
        assert!(!errors.is_empty(), "{broken:?}");
        assert!(errors.iter().all(|error| error.starts_with("fleet.yaml:")));
    }
}

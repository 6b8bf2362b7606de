//! What is due of one machine, made by hand: what a waiver, a lay-up, a broken file or a meter that nobody reads does to
//! the list, and what the list says to bring and to aim at.

use crate::fixture::{self, Files, checked, found, listing, reading, settings};
use swathlint::due;
use swathlint::quantity::calendar::Period;
use swathlint::render::{DUE_FORMATS, Look};
use swathlint::report::{DueList, DueState, DueStep, WaitingStep, WhyHoursUnread};

const MACHINE_FILE: &str = "machines/heron.yaml";
const VISIT: &str = "calibrations/heron/2026-03-09.yaml";

/// One machine of five nozzles and four steps, tested in full on 2026-03-09.
fn base() -> Files {
    fixture::tree(&fixture::folder().join("base"))
}

fn replace(files: &mut Files, path: &str, what: &str, by: &str) {
    let text = files.get_mut(path).unwrap();
    assert!(text.contains(what), "{path}: {what}");
    *text = text.replace(what, by);
}

fn listed(files: &Files, today: &str) -> DueList {
    due(
        &listing(files),
        &reading(files),
        &settings(today),
        Period::Days(14),
    )
}

/// Each step with its state.
fn states(list: &DueList) -> Vec<(&'static str, DueState)> {
    let steps = list.steps.iter();
    steps.map(|step| (step.step, step.state)).collect()
}

fn waiting(list: &DueList) -> Vec<(&'static str, DueState)> {
    let steps = list.laid_up.iter().flat_map(|one| &one.waiting);
    steps
        .map(|WaitingStep { step, state, .. }| (*step, *state))
        .collect()
}

/// A nozzle that puts out 13% more than its rated flow and than the others do.
fn with_a_bad_nozzle() -> Files {
    let mut files = base();
    let (good, bad) = ("left: [36.5, 36.0, 36.5]", "left: [36.5, 36.0, 42.0]");
    replace(&mut files, VISIT, good, bad);
    files
}

fn waive(files: &mut Files, rules: &[&str]) {
    let mut text = "record: waivers\nwaivers:\n".to_owned();
    for rule in rules {
        text.push_str("  - {rule: ");
        text.push_str(rule);
        text.push_str(", machine: heron, reason: parts on order, by: ko, from: 2026-03-10, until: 2027-07-15}\n");
    }
    files.insert("waivers.yaml".to_owned(), text);
}

/// The rules that a step is waived by, each with the last day and the reason.
fn waived(step: &DueStep) -> Vec<String> {
    let waivers = step.waived.iter();
    waivers
        .map(|one| {
            let (until, because) = (one.until.unwrap(), one.because.as_deref().unwrap());
            format!("{} {until} {because} {}", one.rule, one.at.path)
        })
        .collect()
}

/// `check` is silent of what is waived, `due` is not.
#[test]
fn a_failing_step_that_is_waived_stays_in_the_list() {
    let mut files = with_a_bad_nozzle();
    assert_eq!(
        states(&listed(&files, "2026-06-01")),
        [("catch test", DueState::Failing)]
    );
    waive(&mut files, &["nozzle-off-mean"]);
    let list = listed(&files, "2026-06-01");
    assert_eq!(states(&list), [("catch test", DueState::Waived)]);
    assert!(list.steps[0].because.contains("[nozzle-off-mean]"));
    let by = ["nozzle-off-mean 2027-07-15 parts on order waivers.yaml"];
    assert_eq!(waived(&list.steps[0]), by);
    assert_eq!(list.current, 3);
    // What makes it due beside that is told first, and the waiver with it.
    let later = listed(&files, "2027-03-01");
    assert_eq!(later.steps[0].state, DueState::ComingDue);
    assert_eq!(waived(&later.steps[0]), by);
    // Once the waiver has ended, nothing is let pass.
    let ended = listed(&files, "2027-07-16");
    assert_eq!(ended.steps[0].state, DueState::Failing);
    assert_eq!(waived(&ended.steps[0]), [""; 0]);
}

#[test]
fn a_step_that_is_overdue_or_void_says_that_it_is_waived() {
    let mut files = base();
    waive(&mut files, &["overdue", "step-void"]);
    let overdue = listed(&files, "2027-06-01");
    assert_eq!(overdue.steps.len(), 4);
    for step in &overdue.steps {
        assert_eq!(step.state, DueState::Overdue);
        let by = "overdue 2027-07-15 parts on order waivers.yaml";
        assert_eq!(waived(step), [by], "{}", step.step);
    }
    let work = "record: service\nmachine: heron\ndate: 2026-05-02\nby: ko\nwork:\n  - console: {what: replaced}\n";
    files.insert("service/heron/2026-05-02.yaml".to_owned(), work.to_owned());
    let void = listed(&files, "2026-06-01");
    let both = [
        ("meter test", DueState::Void),
        ("speed test", DueState::Void),
    ];
    assert_eq!(states(&void), both);
    for step in &void.steps {
        let by = "step-void 2027-07-15 parts on order waivers.yaml";
        assert_eq!(waived(step), [by], "{}", step.step);
    }
}

/// `check` says what `due` does with what it lets pass.
#[test]
fn the_check_says_that_due_lists_what_is_waived() {
    let mut files = with_a_bad_nozzle();
    waive(&mut files, &["nozzle-off-mean"]);
    let report = checked(&files, "2026-06-01");
    let look = Look {
        color: false,
        width: 200,
    };
    for text in [
        swathlint::render::plain(&report),
        swathlint::render::terminal(&report, &look),
    ] {
        assert!(
            text.contains("marked as waived by `swathlint due`"),
            "{text}"
        );
    }
}

/// Faults of the text, errors that rules find, no file at all: nobody knows how the machine stands.
#[test]
fn a_machine_with_a_broken_file_is_not_ready_in_silence() {
    let broken = |change: &dyn Fn(&mut Files)| {
        let mut files = base();
        change(&mut files);
        let list = listed(&files, "2026-06-01");
        for format in DUE_FORMATS {
            let look = Look {
                color: false,
                width: 200,
            };
            let told = format!(
                "{}{}",
                &*(format.write)(&list, &look),
                (format.leaves_out)(&list).join("\n")
            );
            let is_said = told.contains("not known whether ready to spray: heron")
                || told.contains("not known whether ready to spray:\n  heron")
                || told.contains("not known whether ready to spray:** `heron`")
                || told.contains("\"not-known-whether-ready\":[{\"machine\":\"heron\"");
            assert!(is_said, "{}: {told}", format.name);
        }
        let broken: Vec<(bool, Vec<u32>)> = list
            .broken
            .iter()
            .map(|one| (one.has_file, one.errors.iter().map(|at| at.line).collect()))
            .collect();
        broken
    };
    let misspelt =
        |files: &mut Files| replace(files, MACHINE_FILE, "control: flow", "control: flwo");
    assert_eq!(broken(&misspelt), [(true, vec![6])]);
    let upside_down = |files: &mut Files| {
        let mixed = "rate: 40 gal/acre, density: 10.4 lb/gal, density-factor: 0.9";
        replace(files, MACHINE_FILE, "rate: 40 gal/acre", mixed);
        replace(files, MACHINE_FILE, "control: flow", "control: pressure");
    };
    assert_eq!(broken(&upside_down), [(true, vec![18])]);
    let no_yaml = |files: &mut Files| replace(files, MACHINE_FILE, "boom:\n", "boom: {\n");
    assert_eq!(broken(&no_yaml).len(), 1);
    let gone = |files: &mut Files| {
        files.remove(MACHINE_FILE);
    };
    assert_eq!(broken(&gone), [(false, vec![])]);
    assert!(listed(&base(), "2026-06-01").broken.is_empty());
}

#[test]
fn a_machine_out_of_service_need_not_be_known() {
    let mut files = base();
    replace(
        &mut files,
        MACHINE_FILE,
        "section-valves: bypass",
        "section-valves: bypas",
    );
    let work =
        "record: service\nmachine: heron\ndate: 2026-05-02\nby: ko\nwork:\n  - out-of-service:\n";
    files.insert("service/heron/2026-05-02.yaml".to_owned(), work.to_owned());
    assert!(listed(&files, "2026-06-01").broken.is_empty());
}

/// The winter of 102 days does not count: 12 months after 2026-03-09 end 102 days later, on 2027-06-19.
#[test]
fn a_lay_up_stops_the_calendar() {
    let mut files = base();
    let winter = "laid-up: {from: 2026-11-20, to: 2027-03-01}\nboom:";
    replace(&mut files, MACHINE_FILE, "boom:", winter);
    let due_on = |today: &str| {
        let list = listed(&files, today);
        let first = list.steps.first().cloned();
        first.map(|step| (step.state, step.due.unwrap().to_string()))
    };
    let day = || "2027-06-19".to_owned();
    assert_eq!(due_on("2027-03-09"), None);
    assert_eq!(due_on("2027-06-04"), None);
    assert_eq!(due_on("2027-06-05"), Some((DueState::ComingDue, day())));
    assert_eq!(due_on("2027-06-19"), Some((DueState::ComingDue, day())));
    assert_eq!(due_on("2027-06-20"), Some((DueState::Overdue, day())));
    let because = &listed(&files, "2027-06-20").steps[0].because;
    assert_eq!(
        because,
        "last done on 2026-03-09, good for 12 months and the 102 days laid up"
    );
    assert_eq!(found(&checked(&files, "2027-06-19")), [""; 0]);
    let overdue = format!("{VISIT}:3 overdue warning");
    assert_eq!(found(&checked(&files, "2027-06-20")), [overdue]);
}

/// What is overdue waits until the end of the lay-up; what work made invalid, or a test found bad, stays.
#[test]
fn nothing_is_due_while_a_machine_is_laid_up_but_what_is_wrong() {
    let mut files = with_a_bad_nozzle();
    let winter =
        "laid-up: [{from: 2027-11-20, to: 2028-03-01}, {from: 2025-11-20, to: 2026-03-01}]\nboom:";
    replace(&mut files, MACHINE_FILE, "boom:", winter);
    let work = "record: service\nmachine: heron\ndate: 2027-05-02\nby: ko\nwork:\n  - tires: {what: replaced}\n";
    files.insert("service/heron/2027-05-02.yaml".to_owned(), work.to_owned());
    let wrong = [
        ("speed test", DueState::Void),
        ("catch test", DueState::Failing),
    ];
    let overdue = [
        ("meter test", DueState::Overdue),
        ("section balance", DueState::Overdue),
    ];
    let before = listed(&files, "2027-11-19");
    assert_eq!(states(&before), [wrong, overdue].concat());
    for today in ["2027-11-20", "2028-03-01"] {
        let laid_up = listed(&files, today);
        assert_eq!(states(&laid_up), wrong, "{today}");
        assert_eq!(waiting(&laid_up), overdue, "{today}");
        assert_eq!(laid_up.laid_up[0].until.to_string(), "2028-03-01");
        let of_check = found(&checked(&files, today)).join("\n");
        assert!(!of_check.contains("overdue"), "{today}: {of_check}");
    }
    let after = listed(&files, "2028-03-02");
    assert_eq!(states(&after), [wrong, overdue].concat());
    assert!(waiting(&after).is_empty());
}

/// A visit of March that alone has read the hour meter: an interval in hours would never make its steps due.
#[test]
fn an_interval_in_hours_that_nothing_counts_is_told() {
    let mut files = base();
    let intervals =
        "intervals: {full: 12 months, catch: [50 h, 12 months], because: as decided}\nusual:";
    replace(&mut files, "fleet.yaml", "usual:", intervals);
    let unread = |files: &Files, today: &str| {
        let list = listed(files, today);
        let unread = list.hours_unread.into_iter();
        unread
            .flat_map(|one| one.steps)
            .map(|(step, _)| step)
            .collect::<Vec<_>>()
    };
    assert_eq!(unread(&files, "2026-03-22"), [""; 0], "the season begins");
    assert_eq!(unread(&files, "2026-06-01"), ["catch test"]);
    let mut no_hours = files.clone();
    replace(&mut no_hours, VISIT, "hours: 412 h\n", "");
    assert_eq!(unread(&no_hours, "2026-03-10"), ["catch test"]);
    let read = "record: application\nmachine: heron\ndate: 2026-04-20\nby: rm\nhours: {from: 430 h, to: 433 h}\n";
    files.insert(
        "applications/heron/2026-04-20.yaml".to_owned(),
        read.to_owned(),
    );
    assert_eq!(unread(&files, "2026-06-01"), [""; 0]);
}

/// By hand: 0.6 gpm x root of 36 / 40 = 0.56921 gpm, x 128 / 2 = 36.429 fl oz in 30 s; less and more by 10%: 32.787 and 40.072.
#[test]
fn what_to_bring_and_to_aim_at_is_named() {
    let mut files = base();
    let test = "duration: 12 min, shown: 34.3 gal";
    let left = "duration: 12 min, shown: 34.3 gal, factor: {before: 620, after: 618}";
    replace(&mut files, VISIT, test, left);
    let list = listed(&files, "2027-06-01");
    let step = |name: &str| list.steps.iter().find(|step| step.step == name).unwrap();
    let catch = step("catch test");
    assert!(
        catch
            .bring
            .contains(&"spare tips of size 06 (5 on the boom)".to_owned())
    );
    assert_eq!(
        catch.target.as_deref(),
        Some("36.4 fl oz from each nozzle in 30 s at 36 psi (low 32.8, high 40.0)")
    );
    assert_eq!(
        step("meter test").target.as_deref(),
        Some("flow factor 618 pulses/gal, as last left on 2026-03-09")
    );
    assert_eq!(step("speed test").target, None);
    assert_the_target_is_what_is_to_be_entered(&files);
    // The limit in force, the unit and the time of the last catch: 36.429 fl oz is 1077.3 mL.
    let stricter = "limits: {nozzle-off-rated: {error: 5%, because: fine turf}}\nusual:";
    replace(&mut files, "fleet.yaml", "usual:", stricter);
    replace(&mut files, VISIT, "    unit: fl oz", "    unit: mL");
    replace(
        &mut files,
        VISIT,
        "[36.5, 36.0, 36.5]",
        "[1079, 1065, 1079]",
    );
    replace(&mut files, VISIT, "[37.0, 36.5]", "[1094, 1079]");
    let list = listed(&files, "2027-06-01");
    let targets = list.steps.iter().filter_map(|step| step.target.as_deref());
    let targets: Vec<&str> = targets.collect();
    assert!(
        targets.contains(&"1077 mL from each nozzle in 30 s at 36 psi (low 1024, high 1131)"),
        "{targets:?}"
    );
}

/// The old factor is no target where the test found it wrong, or work made it worth nothing.
///
/// By hand: 36.6 / 34.2 of 478 pulses/gal is 511.54.
fn assert_the_target_is_what_is_to_be_entered(files: &Files) {
    let target = |files: &Files| {
        let list = listed(files, "2026-06-01");
        let meter = list
            .steps
            .into_iter()
            .find(|step| step.step == "meter test");
        let meter = meter.unwrap();
        (meter.state, meter.target)
    };
    let left = "shown: 34.3 gal, factor: {before: 620, after: 618}";
    let console = "factor now in the console: 478 pulses/gal, as last left on 2026-03-09";
    // Corrected, but not to what the test gives.
    let mut wrong = files.clone();
    let entered = "shown: 36.6 gal, factor: {before: 478, after: 478}";
    replace(&mut wrong, VISIT, left, entered);
    let given = format!("flow factor 511.5 pulses/gal; {console}");
    assert_eq!(target(&wrong), (DueState::Failing, Some(given)));
    // A new console has none of the old factors.
    let mut void = files.clone();
    let work = "record: service\nmachine: heron\ndate: 2026-05-02\nby: ko\nwork:\n  - console: {what: replaced}\n";
    void.insert("service/heron/2026-05-02.yaml".to_owned(), work.to_owned());
    assert_eq!(target(&void), (DueState::Void, None));
}

/// A machine that sprayed within its lay-up was not laid up: 12 months are 12 months.
#[test]
fn a_lay_up_in_which_it_sprayed_stops_no_calendar() {
    let mut files = base();
    let winter = "laid-up: [{from: 2026-11-20, to: 2027-01-31}, {from: 2027-02-01, to: 2027-03-01}, {from: 2027-05-01, to: 2027-05-10}]\nboom:";
    replace(&mut files, MACHINE_FILE, "boom:", winter);
    let due_on = |files: &Files, today: &str| {
        let list = listed(files, today);
        let first = list.steps.first().map(|step| step.due.unwrap().to_string());
        (first, list.laid_up.len())
    };
    assert_eq!(due_on(&files, "2027-02-25"), (None, 1));
    let sprayed = "record: application\nmachine: heron\ndate: 2027-02-20\nby: rm\n";
    let path = "applications/heron/2027-02-20.yaml";
    files.insert(path.to_owned(), sprayed.to_owned());
    let in_march = Some("2027-03-09".to_owned());
    assert_eq!(due_on(&files, "2027-02-25"), (in_march.clone(), 0));
    assert_eq!(due_on(&files, "2027-04-25"), (in_march, 0));
    // Before it sprayed nobody could know.
    assert_eq!(due_on(&files, "2027-02-19"), (None, 1));
}

/// Hours that were read are not said to be unread: what keeps them from counting is told.
#[test]
fn hours_that_were_read_and_do_not_count_are_told_as_such() {
    let with = |readings: &[(&str, &str)]| {
        let mut files = base();
        let intervals =
            "intervals: {full: 12 months, catch: [50 h, 12 months], because: as decided}\nusual:";
        replace(&mut files, "fleet.yaml", "usual:", intervals);
        for (day, hours) in readings {
            let read = format!(
                "record: application\nmachine: heron\ndate: {day}\nby: rm\nhours: {{from: {hours} h, to: {hours}.5 h}}\n"
            );
            files.insert(format!("applications/heron/{day}.yaml"), read);
        }
        let list = listed(&files, "2026-06-01");
        let why: Vec<_> = list.hours_unread.iter().map(|one| one.why).collect();
        (why, list.has_unknown_hours(), text(&list))
    };
    let (april, may) = ("2026-04-20", "2026-05-20");
    let day = |text: &str| text.parse().unwrap();
    let went_back = (vec![WhyHoursUnread::WentBack(day(april))], true);
    for readings in [&[(april, "300")][..], &[(april, "300"), (may, "310")]] {
        let (why, unknown, text) = with(readings);
        assert_eq!((why, unknown), went_back, "{readings:?}");
        assert!(text.contains("the meter went back on 2026-04-20"), "{text}");
        assert!(!text.contains("no engine hours were read"), "{text}");
        assert!(text.contains("the list is not complete: hours"), "{text}");
    }
    let (why, unknown, _) = with(&[(april, "4300")]);
    assert_eq!(
        (why, unknown),
        (vec![WhyHoursUnread::Jumped(day(april))], true)
    );
    // One that goes on from the visit counts, whatever was doubted between.
    let (why, unknown, _) = with(&[(april, "4300"), (may, "440")]);
    assert_eq!((why, unknown), (vec![], false));
    // Two readings of one week make no forecast.
    let (why, unknown, text) = with(&[("2026-03-12", "415")]);
    assert_eq!((why, unknown), (vec![WhyHoursUnread::NoForecast], false));
    assert!(text.contains("too close together"), "{text}");
    let (why, unknown, _) = with(&[]);
    assert_eq!((why, unknown), (vec![WhyHoursUnread::NotRead], false));
}

/// A record of a day that has not come counts for nothing yet: the list may lack what it does, and says so.
#[test]
fn a_record_of_a_day_that_has_not_come_is_named() {
    let work = "record: service\nmachine: heron\ndate: 2027-05-10\nby: ko\nwork:\n  - console: {what: replaced}\n";
    let path = "service/heron/2027-05-10.yaml";
    let mut voiding = base();
    voiding.insert(path.to_owned(), work.to_owned());
    let mut tested = base();
    let visit = tested[VISIT].replace("date: 2026-03-09", "date: 2027-05-10");
    let visit_path = "calibrations/heron/2027-05-10.yaml";
    tested.insert(visit_path.to_owned(), visit);
    for (files, path) in [(&mut voiding, path), (&mut tested, visit_path)] {
        let list = listed(files, "2026-06-01");
        let errors: Vec<_> = list.errors.iter().map(|at| (&*at.path, at.line)).collect();
        assert_eq!(errors, [(path, 3)]);
        assert!(text(&list).contains("the list is not complete"));
        // Whoever lets the date pass does not make it count.
        waive(files, &["date-in-future"]);
        assert_eq!(listed(files, "2026-06-01").errors.len(), 1);
        // Tomorrow may be today elsewhere, as the rule has it.
        assert_eq!(listed(files, "2027-05-09").errors.len(), 0);
    }
}

/// Two of two applications are made: the step is to be done before the third, not at some time.
#[test]
fn a_step_whose_applications_are_used_up_is_due_before_the_next_spraying() {
    let mut files = base();
    let intervals =
        "intervals: {full: 12 months, catch: 2 applications, because: as decided}\nusual:";
    replace(&mut files, "fleet.yaml", "usual:", intervals);
    for day in ["2026-04-20", "2026-05-20"] {
        let sprayed = format!("record: application\nmachine: heron\ndate: {day}\nby: rm\n");
        files.insert(format!("applications/heron/{day}.yaml"), sprayed);
    }
    let list = listed(&files, "2026-06-01");
    assert_eq!(states(&list), [("catch test", DueState::ComingDue)]);
    let to_do = list.steps[0].to_do.as_deref();
    assert_eq!(
        to_do,
        Some("do the catch test again before the next spraying")
    );
    let text = text(&list);
    assert!(text.contains("or with the next spraying"), "{text}");
}

fn text(list: &DueList) -> String {
    let look = Look {
        color: false,
        width: 200,
    };
    (DUE_FORMATS[0].write)(list, &look).to_string()
}

//! What is said while a visit is being made, beside a reading and as the next thing to do.

use crate::words::shell::quoted;
use crate::words::{dates, numbers, phrases};
use jiff::civil::Date;

/// What a nozzle's output is against what it is held against: `11.3% high`, `on target`.
pub fn off_target(off: f64) -> String {
    let percent = numbers::percent(off.abs(), 1);
    if percent == numbers::percent(0.0, 1) {
        return "on target".to_owned();
    }
    let way = if off < 0.0 { "low" } else { "high" };
    format!("{percent} {way}")
}

/// What to do about a nozzle that is off: `11.3% high: catch it again after nozzle 15`, the last that is still to be caught.
/// The lines beside a nozzle are those of an error.
pub fn catch_again(off: f64, is_only_warned: bool, last: Option<&str>) -> String {
    let warned = if is_only_warned {
        ", past a warning limit"
    } else {
        ""
    };
    let after = last.map_or_else(String::new, |last| format!(" after {last}"));
    format!("{}{warned}: catch it again{after}", off_target(off))
}

/// What to do about a section whose bypass is off.
pub fn set_bypass(off: f64, is_rate: bool) -> String {
    let width = if is_rate {
        "check its entered width, then "
    } else {
        ""
    };
    let turn = if off < 0.0 { "close" } else { "open" };
    format!(
        "{}: {width}{turn} its bypass a little at a time until it reads as with all on",
        off_target(off)
    )
}

/// What to do where a console holds the rate.
pub const SWITCH_TO_MANUAL: &str =
    "switch to manual first: with automatic rate control, this test proves nothing";

/// That a factor is the one that its test gives.
pub const FACTOR_FITS: &str = "it fits the test";

/// What to do about a nozzle that gave nothing.
pub const NO_FLOW: &str = "no flow: engine off, pressure released, clean it, then catch it again";

/// That a value is far from its target: `far from the target 4.2: read it again`.
pub fn far_from(target: &str) -> String {
    format!("far from the target {target}: read it again")
}

/// What is read next: `next: nozzle 8`.
pub fn next(label: &str) -> String {
    format!("next: {label}")
}

/// That a nozzle that was just caught is off: `nozzle 7 is 11.3% high: catch it again`.
pub fn is_off(label: &str, said: &str) -> String {
    format!("{label} is {said}")
}

/// A value by its label, in the test that is made so often, from 0: `nozzle 7 again`.
pub fn in_test(label: &str, round: usize) -> String {
    match again(round) {
        "" => label.to_owned(),
        again => format!("{label} {again}"),
    }
}

/// Which test it is, from 0: nothing of the first.
pub const fn again(round: usize) -> &'static str {
    match round {
        0 => "",
        1 => "again",
        _ => "a third time",
    }
}

/// Why a value is not taken, and what to type, after its label.
pub fn not_taken(label: &str, why: &str) -> String {
    format!("{label}: {why}")
}

/// That nothing is left to read but what was left.
pub fn was_left(label: &str) -> String {
    format!("left empty: {label}. Save the record, or go back to it")
}

/// What stands for a value as usual.
pub fn usual(written: &str) -> String {
    format!("as usual: {written}")
}

/// That everything of the visit was read and nothing is over a limit.
pub const ALL_READ: &str = "all read: save the record";

/// That a record cannot be gone on with.
pub const NOT_READ: &str = "the record cannot be read";

/// What to do about a record that holds more than is asked for.
pub const BY_HAND: &str =
    "finish this record by hand, and run `swathlint check`; it was not changed";

/// That a record has a comment of its own.
pub fn comment_kept(line: usize) -> String {
    format!("line {line} has a comment that would be lost")
}

/// That a record says something that nobody is asked for: `line 7: `notes` would be lost`.
pub fn more_kept(line: usize, key: &str) -> String {
    format!(
        "line {line}: `{}` would be lost or changed",
        phrases::name(key)
    )
}

/// That a record leaves out what belongs to its test.
pub fn left_out(key: &str) -> String {
    format!("the record leaves out `{}`", phrases::name(key))
}

/// What is wrong with a line of a record.
pub fn on_line(line: usize, message: &str) -> String {
    format!("line {line}: {message}")
}

/// That a begun record holds every step of a machine, since none is due.
pub fn nothing_due(machine: &str) -> String {
    let machine = phrases::name(machine);
    format!("nothing is due for {machine}: every step is in the record")
}

/// That a visit has its record already.
pub fn is_there(path: &str) -> String {
    format!("{path} is there already")
}

/// That a day has as many records of a machine as are checked.
pub fn day_is_full(machine: &str, day: Date, most: usize) -> String {
    let (machine, day) = (phrases::name(machine), dates::date(day));
    format!("{machine} has {most} records of {day} already, which is the most that are checked")
}

/// What to do about such a day.
pub const USE_ONE_OF_THE_DAY: &str =
    "take out a record of that day, or name another day with --date";

/// What to do about a record that is there already.
pub fn fill_in_or_enter(command: &str) -> String {
    format!("fill it in, or go on with it: {command}")
}

/// That a record was begun, and what is next.
pub fn begun(path: &str) -> String {
    format!("Wrote {path}. Fill it in, and run `swathlint check`.\n")
}

/// What is said first: the machine, its setup, and the day.
pub fn opening(machine: &str, setup: &str, day: Date, of_setup: &[&str]) -> String {
    let mut all = vec![phrases::name(setup).into_owned()];
    all.extend(of_setup.iter().map(|one| (*one).to_owned()));
    let machine = phrases::name(machine);
    format!("{machine}, {}, {}", all.join(", "), dates::date(day))
}

/// Where the record goes, and whether there is one to go on with.
pub fn record_is(path: &str, goes_on: bool) -> String {
    if goes_on {
        format!("Going on with {path}, written after every value")
    } else {
        format!("Record: {path}, written after every value")
    }
}

/// How to type.
pub const HOW_TO_TYPE: &str =
    "Type digits, and Enter. Type ? for help, undo to take back, done to end.";

/// What stands for a nozzle that gave nothing, and for one that was not caught.
const ZERO_OR_MISSED: &str = "0 for a plugged nozzle, and missed for one you did not catch";

/// What to type for such a nozzle.
pub fn type_missed() -> String {
    format!("type {ZERO_OR_MISSED}")
}

/// What to write for it in a record.
pub fn write_missed() -> String {
    format!("Write {ZERO_OR_MISSED}.")
}

/// The same where there is less room.
pub const WRITE_MISSED: &str = "Plugged: write 0. Not caught: write missed.";

/// Every word that can be typed.
pub const HELP: [&str; 12] = [
    "a value      digits take the unit shown; a decimal comma is a point; 2.5 bar works too",
    "0            a plugged nozzle",
    "missed       a nozzle you did not catch",
    "Enter        leave a value empty that may be, or as it is",
    "skip         leave this value as it is",
    "next         leave the rest of this test",
    "undo         take back what you did last",
    "go NAME      go to a value or a step, as in: go nozzle 7",
    "add STEP     also do a step that is not due: catch, flow, speed or balance",
    "again STEP   make a test once more",
    "list         show what stands",
    "done         end; run the same command again to go on",
];

/// What a step is that is not due.
pub const NOT_DUE: &str = "not due";

/// The visit as a whole, among its tests.
pub const VISIT: &str = "visit";

/// A section of the boom that has no name, counted from the left.
pub fn section(number: usize) -> String {
    format!("section {number}")
}

/// What is tapped to make a test again.
pub const fn test_again(is_catch: bool) -> &'static str {
    if is_catch {
        "Catch all again"
    } else {
        "Test again"
    }
}

/// When a step was last done.
pub fn last_done(day: Date) -> String {
    format!("Last done {}", dates::date(day))
}

/// What to bring for a step.
pub fn bring(things: &[String]) -> String {
    format!("Bring: {}", things.join(", "))
}

/// The factor as it was last left.
pub fn factor_left(factor: &str, unit: &str) -> String {
    format!("Factor last left: {}", numbers::with_unit(factor, unit))
}

/// What of what was typed before has no place in the form.
pub fn dropped(names: &[String]) -> String {
    let are = if names.len() == 1 { "is" } else { "are" };
    let names = phrases::list_some(names, "and");
    format!("The form does not have {names} any more: what was typed there {are} left out.")
}

/// That a visit goes on with a record that is among the records.
pub fn going_on(path: &str) -> String {
    format!("Going on with {path}, which is among the records.")
}

/// That the records are not those that a visit was begun with, so that its own record is another one.
pub fn changed(was: &[String], is: &[String]) -> String {
    let told = |lines: &[String]| {
        let lines: Vec<String> = lines
            .iter()
            .map(|line| format!("`{}`", phrases::shortened(line, 60)))
            .collect();
        phrases::list_some(&lines, "and")
    };
    let was_and_is = match (was, is) {
        ([], is) => format!("now also {}", told(is)),
        (was, []) => format!("no longer {}", told(was)),
        (was, is) => format!("now {}, before {}", told(is), told(was)),
    };
    format!(
        "The records changed since this visit was kept, and its own record with them: {was_and_is}. Check this first."
    )
}

/// What was typed and is not in a record.
pub fn not_in_record(labels: &[String]) -> String {
    let is = if labels.len() == 1 { "is" } else { "are" };
    format!(
        "Not taken, and not in the record, {is} {}: correct that first.",
        phrases::list_some(labels, "and")
    )
}

/// The beginning of a test, and why it is due.
pub fn test_begins(test: &str, due: Option<(&str, &str)>) -> String {
    let test = phrases::capitalized(test);
    match due {
        Some((state, because)) => format!("{test}, {state}: {because}"),
        None => format!("{test}, {NOT_DUE}"),
    }
}

/// That a test is made again.
pub fn tested_again(test: &str) -> String {
    format!("{} again", phrases::capitalized(test))
}

/// What a test aims at.
pub fn target(target: &str) -> String {
    format!("Target: {target}")
}

/// What nobody is asked for, since it is known.
pub fn as_usual(values: &str, is_again: bool) -> String {
    let how = if is_again { "As before" } else { "As usual" };
    format!("{how}: {values}. Type go and a name to change one")
}

/// What stands for a value: `nozzle 7 40.8 fl oz: 12.1% high`.
pub fn standing(label: &str, value: &str, said: &str) -> String {
    if said.is_empty() {
        format!("{label} {value}")
    } else {
        format!("{label} {value}: {said}")
    }
}

/// What a value should come to, with its low and its high line.
pub fn aim(target: &str, lines: Option<(String, String)>) -> String {
    match lines {
        Some((low, high)) => format!("target {target}, {low} to {high}"),
        None => format!("target {target}"),
    }
}

/// What was read last time.
pub fn last(value: &str) -> String {
    format!("last {value}")
}

/// What stands already.
pub fn stands(value: &str) -> String {
    format!("now {value}")
}

/// A question: `nozzle 7, fl oz (target 36.4, 34.6 to 38.2; last 36.5): `; without a unit where the label is it.
pub fn question(label: &str, unit: &str, notes: &[String]) -> String {
    let unit = if unit.is_empty() {
        String::new()
    } else {
        format!(", {unit}")
    };
    if notes.is_empty() {
        format!("{label}{unit}: ")
    } else {
        format!("{label}{unit} ({}): ", notes.join("; "))
    }
}

/// Why a value is not taken, and what to type.
pub fn refused(message: &str, help: &str) -> String {
    format!("  {message}; {help}")
}

/// What is said of a value.
pub fn verdict(words: &str) -> String {
    format!("  {words}")
}

/// That a catch of the nozzles that work concerned is enough.
pub const SOME_NOZZLES_DO: &str = "Only the nozzles named here are due. If you catch the whole boom, name each section with all of its nozzles.";

/// That a value may be left empty.
pub const MAY_BE_LEFT: &str = "Enter to leave it";

/// That a value is needed.
pub fn needed(label: &str) -> String {
    format!("  type the {label}, or skip to leave it empty")
}

/// That a value was taken back.
pub fn took_back(label: &str) -> String {
    format!("  took back: {label}")
}

/// That there is nothing to take back.
pub const NOTHING_TO_UNDO: &str = "  nothing to take back";

/// That nothing is asked for.
pub const NOTHING_ASKED: &str = "  nothing is left to read";

/// That nothing was typed.
pub const NOTHING_TYPED: &str = "  nothing was entered yet";

/// That no value has a name.
pub fn no_such_value(name: &str) -> String {
    let name = phrases::name(name);
    format!("  there is no value `{name}`; type list for the names, as in: go nozzle 7")
}

/// That the machine has no such step for a word.
pub fn no_such_step(word: &str, steps: &str) -> String {
    format!("  type {word} with {steps}")
}

/// That a visit takes no more tests of a step.
pub const NO_MORE_TESTS: &str =
    "  a record takes no more tests of it; change what was read with go and its name";

/// That a step is asked for too.
pub fn added(test: &str) -> String {
    format!("  added: {test}")
}

/// What is found, in one line.
pub fn found(severity: &str, message: &str, rule: &str) -> String {
    format!("{severity}: {message} [{rule}]")
}

/// What to do about it.
pub fn help(help: &str) -> String {
    format!("  help: {help}")
}

/// That nothing is found of a test.
pub fn nothing_found(test: &str) -> String {
    format!("{}: nothing found", phrases::capitalized(test))
}

/// That a step stays due.
pub fn stays_due(test: &str, state: &str, because: &str) -> String {
    format!("still due: {test}, {state}: {because}")
}

/// That no step stays due.
pub fn nothing_stays_due(machine: &str, setup: &str) -> String {
    let [machine, setup] = [machine, setup].map(phrases::name);
    format!("nothing is due for {machine}, {setup}")
}

/// That no step is due, before what is said of spraying.
pub const NOTHING_DUE: &str = "Nothing is due. ";

/// What is said where no test keeps a machine from spraying.
pub const READY: &str = "No test keeps the machine from spraying. This is no permission to spray: labels and law decide.";

/// What is said where a step forbids spraying.
pub const NOT_READY: &str = "Not ready to spray.";

/// What is said where a step that forbids spraying may be hidden.
pub const NOT_KNOWN: &str = "Not known whether ready to spray.";

/// That errors are found which no test bears.
pub fn errors_of_no_test(count: usize) -> String {
    let are = if count == 1 { "is" } else { "are" };
    let errors = phrases::plural(count, "error");
    format!("{errors} {are} found that no test shows to be put right: see the findings")
}

/// The command that goes on with a visit.
pub fn command(machine: &str, setup: Option<&str>, day: Date) -> String {
    let setup = setup.map_or_else(String::new, |setup| format!(" --setup {}", quoted(setup)));
    let day = dates::date(day);
    format!("swathlint enter {}{setup} --date {day}", quoted(machine))
}

/// What was written in the end, and how to go on.
pub fn written(path: &str, command: &str) -> String {
    format!("wrote {path}; to go on: {command}")
}

/// That nothing was entered, so that nothing is written.
pub const NOTHING_WRITTEN: &str = "nothing was entered, and nothing is written";

/// That a line is no text.
pub const NO_TEXT: &str = "  the line is not UTF-8; type it again";

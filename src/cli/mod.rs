//! The command line: arguments, files, environment, clock, terminal, exit code.
//!
//! The only module that touches the outside world. It cannot change what is said, only where it goes and what of it
//! makes the run fail.
#![expect(
    clippy::disallowed_methods,
    reason = "cli is where files, environment and clock enter"
)]

mod also_write;
mod args;
mod beneath;
mod draft;
mod enter;
mod exit;
mod failure;
mod fault;
pub mod files;
mod git;
mod given;
mod links;
mod marks;
mod output;
mod progress;
mod record_file;
mod root;
mod screen;
mod settings;
mod sheet;
mod start;
mod tank;
mod threads;
mod usage;
mod visit;
mod wanted;

pub use crate::cli::args::command;
pub use crate::cli::exit::{EXIT_CLEAN, EXIT_COULD_NOT_CHECK, EXIT_FINDINGS};

use crate::cli::also_write::Target;
use crate::cli::args::{
    CausesArguments, CheckArguments, ColorChoice, Command, CompletionsArguments, DueArguments,
    DueFrom, FailFrom, FiguresArguments, ManArguments, RulesArguments, SchemaArguments,
    ScreenArguments, TankArguments,
};
use crate::cli::failure::CannotCheck;
use crate::cli::git::Revision;
use crate::cli::given::Given;
use crate::cli::progress::Progress;
use crate::cli::root::Scope;
use crate::cli::threads::in_threads;
use crate::render::{self, Format, Harmless, Look};
use crate::report::{DueList, DueStep, Failure, Report, RuleList};
use crate::words::spelling;
use crate::{Before, Settings};
use clap::error::ErrorKind;
use jiff::civil::Date;
use std::env;
use std::process::ExitCode;

/// Runs the program with the arguments of its process.
pub fn run() -> ExitCode {
    let result = fault::caught(|| match args::parsed(env::args_os()) {
        Ok(arguments) => done(&arguments.command),
        Err(answer) => told(&answer),
    });
    ExitCode::from(
        result
            .unwrap_or_else(|fault| could_not(&fault.message(), &fault.help(), ColorChoice::Auto)),
    )
}

/// Help and version go to the output; what is wrong with the arguments, to the errors.
fn told(answer: &clap::Error) -> u8 {
    let is_help = answer.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand;
    if answer.use_stderr() && !is_help {
        let (message, help) = usage::told(answer, args::command_named().as_deref());
        return could_not(&message, &help, ColorChoice::Auto);
    }
    let text = Harmless::lines(&answer.render().to_string());
    if is_help {
        output::to_errors(&text);
        return EXIT_COULD_NOT_CHECK;
    }
    match output::to_output(&text) {
        Ok(()) => EXIT_CLEAN,
        Err(cannot) => could_not(&cannot.to_string(), &cannot.help(), ColorChoice::Auto),
    }
}

/// Does a command and says why where it cannot.
fn done(command: &Command) -> u8 {
    let color = match command {
        Command::Check(arguments) => arguments.screen.color,
        Command::Due(arguments) => arguments.screen.color,
        Command::Rules(arguments) => arguments.screen.color,
        Command::Causes(arguments) => arguments.screen.color,
        Command::Figures(arguments) => arguments.screen.color,
        Command::Settings(arguments) => arguments.screen.color,
        Command::Tank(arguments) => arguments.screen.color,
        Command::Enter(arguments) => arguments.screen.color,
        Command::Sheet(_)
        | Command::Draft(_)
        | Command::Start(_)
        | Command::Schema(_)
        | Command::Completions(_)
        | Command::Man(_) => ColorChoice::Auto,
    };
    let result = fault::caught(|| match command {
        Command::Check(arguments) => check(arguments),
        Command::Due(arguments) => due(arguments),
        Command::Rules(arguments) => rules(arguments),
        Command::Causes(arguments) => causes(arguments),
        Command::Figures(arguments) => figures(arguments),
        Command::Settings(arguments) => settings::settings(arguments, today()),
        Command::Tank(arguments) => tank(arguments),
        Command::Sheet(arguments) => sheet::sheet(arguments, today()),
        Command::Start(arguments) => start::start(arguments, today()),
        Command::Draft(arguments) => draft::draft(arguments, today()),
        Command::Enter(arguments) => enter::enter(arguments, today()),
        Command::Schema(arguments) => schema(arguments),
        Command::Completions(arguments) => completions(arguments),
        Command::Man(arguments) => man(arguments),
    });
    match result {
        Ok(Ok(code)) => code,
        Ok(Err(cannot)) => could_not(&cannot.to_string(), &cannot.help(), color),
        Err(fault) => could_not(&fault.message(), &fault.help(), color),
    }
}

fn could_not(message: &str, help: &str, color: ColorChoice) -> u8 {
    output::tell(message, help, screen::of_errors(color));
    EXIT_COULD_NOT_CHECK
}

fn check(arguments: &CheckArguments) -> Result<u8, CannotCheck> {
    let scope = Scope::find(&arguments.paths)?;
    let given = if arguments.staged {
        Given::staged(&scope)?
    } else {
        Given::folder(&scope)
    };
    let targets = also_write::targets(&arguments.also_write, &scope.root)?;
    if !arguments.allow_empty {
        given.has_any_of(&scope)?;
    }
    let settings = Settings {
        selected: scope.selected.clone(),
        rule_by_rule: arguments.rule_by_rule,
        ..Settings::on(arguments.today.unwrap_or_else(today))
    };
    let mut report = in_threads(arguments.threads, || {
        if let Some(name) = &arguments.compared_with
            && let Some(revision) = Revision::find(&scope, name, &given)?
        {
            return Ok::<_, CannotCheck>(compared(&given, name, &revision, &settings));
        }
        Ok(checked(&given, &settings))
    })??;
    report.failures.extend_from_slice(given.failures());
    report.failures.sort();
    report.folder = scope.folder_in_repository();
    write(
        &report,
        "report",
        &report.failures,
        arguments.format,
        &targets,
        &arguments.screen,
    )?;
    Ok(exit_code(&report, arguments.fail_from))
}

fn checked(given: &Given, settings: &Settings) -> Report {
    let progress = Progress::new(given.listing().paths.len());
    let read = |path: &str| {
        progress.step();
        given.read(path)
    };
    let report = crate::check(given.listing(), &read, settings);
    progress.end();
    report
}

/// Checks what has changed since a revision: what is there now, and what was there then.
fn compared(given: &Given, name: &str, revision: &Revision, settings: &Settings) -> Report {
    let read = |path: &str| given.read(path);
    let read_before = |path: &str| {
        fault::reading(path);
        revision.read(path, &read)
    };
    let before = Before {
        revision: name,
        commit: &revision.commit,
        listing: &revision.listing,
        read: &read_before,
        changed: &revision.changed,
    };
    crate::check_compared(given.listing(), &read, &before, settings)
}

/// Writes the files first: the output is what a person looks at when all is done. What its format leaves out goes to
/// the errors.
fn write<T>(
    made: &T,
    called: &str,
    failures: &[Failure],
    format: &Format<T>,
    targets: &[Target<T>],
    screen: &ScreenArguments,
) -> Result<(), CannotCheck> {
    let look = screen::of_file(screen);
    for target in targets {
        target.write(&(target.format.write)(made, &look))?;
    }
    output::to_output(&(format.write)(made, &screen::of_output(screen)))?;
    let left_out = (format.leaves_out)(made);
    if !left_out.is_empty() {
        output::to_errors(&render::each_in_a_line(&left_out));
    } else if !failures.is_empty() {
        output::tell(
            "some files or folders could not be read",
            &format!("see the {called} for which, and why"),
            screen::of_errors(screen.color),
        );
    }
    Ok(())
}

/// What could not be read weighs more than anything found: the rest may look different with it.
fn exit_code(report: &Report, fail_from: FailFrom) -> u8 {
    if !report.failures.is_empty() {
        EXIT_COULD_NOT_CHECK
    } else if report
        .heaviest()
        .is_some_and(|heaviest| fail_from.includes(heaviest))
    {
        EXIT_FINDINGS
    } else {
        EXIT_CLEAN
    }
}

fn due(arguments: &DueArguments) -> Result<u8, CannotCheck> {
    let scope = Scope::find(&arguments.paths)?;
    let given = Given::folder(&scope);
    let targets = also_write::targets(&arguments.also_write, &scope.root)?;
    if !arguments.allow_empty {
        given.has_any_of(&scope)?;
    }
    let settings = Settings {
        selected: scope.selected,
        ..Settings::on(arguments.today.unwrap_or_else(today))
    };
    let read = |path: &str| given.read(path);
    let mut list = crate::due(given.listing(), &read, &settings, arguments.within);
    list.failures.extend_from_slice(given.failures());
    list.failures.sort();
    list.sequence = arguments.sequence.unwrap_or(list.sequence);
    write(
        &list,
        "list",
        &list.failures,
        arguments.format,
        &targets,
        &arguments.screen,
    )?;
    Ok(exit_code_of_due(&list, arguments.fail_from))
}

/// What does not count may be what is due: nothing due is clean only where nothing is wrong with the records.
fn exit_code_of_due(list: &DueList, fail_from: DueFrom) -> u8 {
    let fails = |step: &DueStep| fail_from.includes(step.state);
    if !list.failures.is_empty() {
        EXIT_COULD_NOT_CHECK
    } else if list.steps.iter().any(fails) {
        EXIT_FINDINGS
    } else if fail_from == DueFrom::Never || !(list.has_errors() || list.has_unknown_hours()) {
        EXIT_CLEAN
    } else {
        EXIT_COULD_NOT_CHECK
    }
}

/// So many figures are made text at a time: a machine may have tens of thousands.
const ROWS_AT_A_TIME: usize = 1_000;

fn figures(arguments: &FiguresArguments) -> Result<u8, CannotCheck> {
    let scope = Scope::find(&arguments.paths)?;
    let given = Given::folder(&scope);
    let settings = Settings {
        selected: scope.selected,
        causes: arguments.causes,
        ..Settings::on(arguments.today.unwrap_or_else(today))
    };
    let read = |path: &str| given.read(path);
    let wanted = &arguments.figures;
    let is_wanted = |figure: &str| wanted.is_empty() || wanted.iter().any(|name| name == figure);
    let mut writer = (arguments.format.writer)(screen::of_output(&arguments.screen));
    let mut written = output::to_output(&writer.head());
    let mut totals = crate::each_figure(given.listing(), &read, &settings, &is_wanted, |rows| {
        for rows in rows.chunks(ROWS_AT_A_TIME) {
            if written.is_ok() {
                written = output::to_output(&writer.machine(rows));
            }
        }
    });
    written?;
    totals.failures.extend_from_slice(given.failures());
    output::to_output(&writer.end(&totals))?;
    let failures = totals.failures.iter();
    let mut lines: Vec<String> = failures.map(render::could_not_read).collect();
    lines.extend(writer.leaves_out(&totals));
    output::to_errors(&render::each_in_a_line(&lines));
    Ok(if totals.failures.is_empty() {
        EXIT_CLEAN
    } else {
        EXIT_COULD_NOT_CHECK
    })
}

fn tank(arguments: &TankArguments) -> Result<u8, CannotCheck> {
    let (card, targets) = tank::card(arguments, today())?;
    let (format, screen) = (arguments.format, &arguments.screen);
    write(&card, "card", &[], format, &targets, screen)?;
    Ok(tank::exit_code(&card))
}

fn rules(arguments: &RulesArguments) -> Result<u8, CannotCheck> {
    let list = described(arguments.today.unwrap_or_else(today))?;
    let look = screen::of_output(&arguments.screen);
    let text = match &arguments.name {
        None => render::rule_list(&list.rules, &look),
        Some(name) => page(&list, name, "rule", &look)?,
    };
    output::to_output(&text)?;
    Ok(code_of_described(&list, "rules", &arguments.screen))
}

fn causes(arguments: &CausesArguments) -> Result<u8, CannotCheck> {
    let list = described(today())?;
    let look = screen::of_output(&arguments.screen);
    let text = match &arguments.name {
        None => render::cause_list(&list.causes, &look),
        Some(name) => page(&list, name, "cause", &look)?,
    };
    output::to_output(&text)?;
    Ok(code_of_described(&list, "causes", &arguments.screen))
}

/// The rules and causes of the records in the folder one is in, or the built-in ones where it has none.
fn described(today: Date) -> Result<RuleList, CannotCheck> {
    let scope = match Scope::find(&[]) {
        Ok(scope) => Some(scope),
        Err(CannotCheck::NoRoot { .. }) => None,
        Err(cannot) => return Err(cannot),
    };
    let given = scope.map(|scope| Given::folder(&scope));
    let read = |path: &str| match &given {
        Some(given) => given.read(path),
        None => Err("there are no records here".to_owned()),
    };
    let mut list = crate::describe_rules(given.as_ref().map(Given::listing), &read, today);
    let unread = given.iter().flat_map(Given::failures);
    let unread = unread.map(|failure| failure.path.clone());
    list.errors.extend(unread);
    Ok(list)
}

/// The page of a rule or a cause, whichever has the name: none has that of another. `asked` is which of them was asked for.
fn page(
    list: &RuleList,
    name: &str,
    asked: &'static str,
    look: &Look,
) -> Result<Harmless, CannotCheck> {
    if let Some(rule) = list.rules.iter().find(|rule| rule.id == name) {
        return Ok(render::rule_page(rule, look));
    }
    if let Some(cause) = list.causes.iter().find(|cause| cause.id == name) {
        return Ok(render::cause_page(cause, look));
    }
    let rules = list.rules.iter().map(|rule| rule.id.as_str());
    let causes = list.causes.iter().map(|cause| cause.id.as_str());
    Err(CannotCheck::NoSuchRule {
        name: name.to_owned(),
        asked,
        nearest: spelling::nearest(name, rules.chain(causes)).map(str::to_owned),
    })
}

/// Errors in the group's own files may change what was listed.
fn code_of_described(list: &RuleList, listed: &str, screen: &ScreenArguments) -> u8 {
    let Some(message) = render::may_change(listed, &list.errors) else {
        return EXIT_CLEAN;
    };
    let look = screen::of_errors(screen.color);
    output::tell(&message, "run `swathlint check`", look);
    EXIT_COULD_NOT_CHECK
}

fn schema(arguments: &SchemaArguments) -> Result<u8, CannotCheck> {
    let text = crate::schema::named(&arguments.kind)
        .expect("the arguments take only names that have a schema");
    output::to_output(&Harmless::lines(text))?;
    Ok(EXIT_CLEAN)
}

fn completions(arguments: &CompletionsArguments) -> Result<u8, CannotCheck> {
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut command(), "swathlint", &mut script);
    output::to_output(&Harmless::lines(&String::from_utf8_lossy(&script)))?;
    Ok(EXIT_CLEAN)
}

fn man(arguments: &ManArguments) -> Result<u8, CannotCheck> {
    let whole = command();
    let command = match &arguments.command {
        Some(name) => whole
            .find_subcommand(name)
            .expect("the arguments take only names of commands")
            .clone(),
        None => whole,
    };
    let mut page = Vec::new();
    clap_mangen::Man::new(command)
        .render(&mut page)
        .expect("a vector takes everything");
    output::to_output(&Harmless::lines(&String::from_utf8_lossy(&page)))?;
    Ok(EXIT_CLEAN)
}

/// The day it is in UTC, so that a run does not depend on where it runs.
fn today() -> Date {
    jiff::tz::Offset::UTC
        .to_datetime(jiff::Timestamp::now())
        .date()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Diagnostic, Label, Severity};
    use crate::procedure::Step;
    use crate::report::{BrokenMachine, DueBy, DueState, StepOf, Told};
    use crate::source::{FileId, Place, Span};

    fn report(severities: &[Severity], n_failures: usize) -> Report {
        let place = Place {
            file: FileId(0),
            span: Span::new(0, 0),
        };
        let finding =
            |&severity| Diagnostic::new("rule", severity, "a fault", Label::new(place, ""));
        let failure = Failure {
            path: "machines/a.yaml".to_owned(),
            reason: "permission denied".to_owned(),
        };
        Report {
            today: jiff::civil::date(2026, 6, 1),
            findings: severities.iter().map(finding).map(Told::fault).collect(),
            paths: vec!["machines/a.yaml".to_owned()],
            failures: vec![failure; n_failures],
            ..Report::default()
        }
    }

    /// A list that says nothing is due, and is wrong about it, is never green; one that fails anyway fails as it did.
    #[test]
    fn the_exit_code_of_due_follows_the_threshold_and_what_may_be_missing() {
        let steps = |states: &[DueState]| -> Vec<DueStep> {
            let step = |&state| DueStep {
                course: None,
                machine: "heron".to_owned(),
                setup: None,
                only_setup: None,
                step: "catch test",
                of: StepOf {
                    step: Step::Catch,
                    setup: None,
                },
                state,
                due: None,
                by: DueBy::Calendar,
                because: String::new(),
                to_do: None,
                interval: None,
                last_done: None,
                at: None,
                waived: Vec::new(),
                bring: Vec::new(),
                target: None,
                cautions: &[],
                events: 1,
            };
            states.iter().map(step).collect()
        };
        let list = |states: &[DueState], n_broken: usize| {
            let broken = BrokenMachine {
                machine: "knot".to_owned(),
                has_file: false,
                errors: Vec::new(),
                is_record: false,
            };
            let reader = |_: &str| Err(String::new());
            let settings = Settings::on(jiff::civil::date(2026, 6, 1));
            let listing = crate::Listing::default();
            let within = crate::quantity::calendar::Period::Days(14);
            DueList {
                steps: steps(states),
                broken: vec![broken; n_broken],
                ..crate::due(&listing, &reader, &settings, within)
            }
        };
        for (states, n_broken, fail_from, code) in [
            (&[][..], 0, DueFrom::ComingDue, EXIT_CLEAN),
            (&[DueState::ComingDue], 0, DueFrom::ComingDue, EXIT_FINDINGS),
            (&[DueState::ComingDue], 0, DueFrom::Recheck, EXIT_CLEAN),
            (&[DueState::Recheck], 0, DueFrom::Overdue, EXIT_CLEAN),
            (&[DueState::Void], 0, DueFrom::Overdue, EXIT_FINDINGS),
            (&[DueState::Waived], 0, DueFrom::ComingDue, EXIT_CLEAN),
            (&[], 1, DueFrom::ComingDue, EXIT_COULD_NOT_CHECK),
            (
                &[DueState::Recheck],
                1,
                DueFrom::Overdue,
                EXIT_COULD_NOT_CHECK,
            ),
            (&[DueState::Void], 1, DueFrom::Overdue, EXIT_FINDINGS),
            (&[DueState::Void], 1, DueFrom::Never, EXIT_CLEAN),
        ] {
            let list = list(states, n_broken);
            let found = exit_code_of_due(&list, fail_from);
            assert_eq!(found, code, "{states:?} {n_broken} {fail_from:?}");
        }
    }

    #[test]
    fn the_exit_code_follows_the_threshold_and_what_could_not_be_read() {
        use Severity::{Error, Note, Warning};
        let rows: [(&[Severity], usize, FailFrom, u8); 9] = [
            (&[], 0, FailFrom::Note, EXIT_CLEAN),
            (&[Note, Warning], 0, FailFrom::Error, EXIT_CLEAN),
            (&[Note, Error], 0, FailFrom::Error, EXIT_FINDINGS),
            (&[Warning], 0, FailFrom::Warning, EXIT_FINDINGS),
            (&[Note], 0, FailFrom::Warning, EXIT_CLEAN),
            (&[Note], 0, FailFrom::Note, EXIT_FINDINGS),
            (&[Error], 0, FailFrom::Never, EXIT_CLEAN),
            (&[], 1, FailFrom::Never, EXIT_COULD_NOT_CHECK),
            (&[Error], 1, FailFrom::Error, EXIT_COULD_NOT_CHECK),
        ];
        for (severities, n_failures, fail_from, code) in rows {
            let report = report(severities, n_failures);
            assert_eq!(
                exit_code(&report, fail_from),
                code,
                "{severities:?} {n_failures} {fail_from:?}"
            );
        }
    }
}

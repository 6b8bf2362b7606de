//! `settings`: what fits a machine.

use super::args::SettingsArguments;
use super::failure::CannotCheck;
use super::given::Given;
use super::root::Scope;
use super::{output, screen};
use crate::chart::{Asked, Chart, Wanted, chart};
use crate::cli::exit::{EXIT_CLEAN, EXIT_COULD_NOT_CHECK};
use crate::render;
use jiff::civil::Date;

/// Tells what fits a machine; `today` is the day where the arguments name none.
pub(super) fn settings(arguments: &SettingsArguments, today: Date) -> Result<u8, CannotCheck> {
    let scope = Scope::find(&[])?;
    let given = Given::folder(&scope);
    let read = |path: &str| given.read(path);
    let wanted = arguments.rate.zip(arguments.speed);
    let asked = Asked {
        machine: &arguments.machine,
        setup: arguments.setup.as_deref(),
        wanted: wanted.map(|(rate, speed)| Wanted { rate, speed }),
        today: arguments.today.unwrap_or(today),
    };
    let mut made = chart(given.listing(), &read, &asked)?;
    made.failures.extend_from_slice(given.failures());
    let look = screen::of_output(&arguments.screen);
    output::to_output(&(arguments.format.write)(&made, &look))?;
    let left_out = (arguments.format.leaves_out)(&made);
    output::to_errors(&render::each_in_a_line(&left_out));
    Ok(code(&made, arguments))
}

/// What could not be read, and errors of the records, may change what is told; a setup of which nothing is told is none.
fn code(chart: &Chart, arguments: &SettingsArguments) -> u8 {
    let look = || screen::of_errors(arguments.screen.color);
    let unread = chart.failures.iter().map(render::could_not_read);
    output::to_errors(&render::each_in_a_line(&unread.collect::<Vec<_>>()));
    let places = chart.errors.iter();
    let places: Vec<String> = places
        .map(|at| format!("{}:{}:{}", at.path, at.line, at.column))
        .collect();
    let may_change = render::may_change("settings", &places);
    if let Some(message) = &may_change {
        output::tell(message, "run `swathlint check`", look());
    }
    let tells_nothing = chart.setups.iter().all(|setup| setup.rows.is_empty());
    if tells_nothing {
        let message = "nothing can be calculated: the machine file lacks too much";
        output::tell(message, "write what is missing into the setup", look());
    }
    if tells_nothing || may_change.is_some() || !chart.failures.is_empty() {
        EXIT_COULD_NOT_CHECK
    } else {
        EXIT_CLEAN
    }
}

//! Whether to color and how wide to write: what was asked for, then the environment, then the terminal.
//!
//! Writes nothing.

use crate::cli::args::{ColorChoice, ScreenArguments};
use crate::render::Look;
use std::env;
use std::io::{self, IsTerminal};

/// Columns where there is no terminal to ask.
const USUAL_WIDTH: usize = 80;

/// Terminals narrower than this are written to as if they were so wide.
const LEAST_WIDTH: usize = 40;

/// What the environment says about color.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Environment {
    /// `NO_COLOR` is set and not empty.
    no_color: bool,
    /// `CLICOLOR_FORCE` is set, not empty and not 0.
    force: bool,
    /// `TERM` is `dumb`: a terminal that would print colors as letters.
    dumb: bool,
}

/// How to write to the standard output.
pub(crate) fn of_output(arguments: &ScreenArguments) -> Look {
    let is_terminal = io::stdout().is_terminal();
    let asked = arguments.width.map(usize::from);
    let width = asked
        .or_else(|| terminal_width().filter(|_| is_terminal))
        .unwrap_or(USUAL_WIDTH);
    Look {
        color: is_colored(arguments.color, environment(), is_terminal),
        width: width.max(LEAST_WIDTH),
    }
}

/// How to write to the standard error, whose color is decided on its own.
pub(crate) fn of_errors(color: ColorChoice) -> Look {
    Look {
        color: is_colored(color, environment(), io::stderr().is_terminal()),
        width: USUAL_WIDTH,
    }
}

/// How to write to a file, which is never colored.
pub(crate) fn of_file(arguments: &ScreenArguments) -> Look {
    Look {
        color: false,
        width: arguments.width.map_or(USUAL_WIDTH, usize::from),
    }
}

fn terminal_width() -> Option<usize> {
    terminal_size::terminal_size_of(io::stdout()).map(|(width, _)| usize::from(width.0))
}

fn environment() -> Environment {
    let set = |name: &str| env::var_os(name).filter(|value| !value.is_empty());
    Environment {
        no_color: set("NO_COLOR").is_some(),
        force: set("CLICOLOR_FORCE").is_some_and(|value| value != "0"),
        dumb: set("TERM").is_some_and(|value| value == "dumb"),
    }
}

/// The option goes before `NO_COLOR`, that before `CLICOLOR_FORCE`, that before what the stream is.
fn is_colored(choice: ColorChoice, environment: Environment, is_terminal: bool) -> bool {
    match choice {
        ColorChoice::Always => true,
        ColorChoice::Never => false,
        ColorChoice::Auto if environment.no_color => false,
        ColorChoice::Auto if environment.force => true,
        ColorChoice::Auto => is_terminal && !environment.dumb,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_option_goes_before_the_environment_and_that_before_the_terminal() {
        use ColorChoice::{Always, Auto, Never};
        let rows = [
            (Auto, [false, false, false], false, false),
            (Auto, [false, false, false], true, true),
            (Auto, [false, false, true], true, false),
            (Auto, [false, true, false], false, true),
            (Auto, [false, true, true], true, true),
            (Auto, [true, false, false], true, false),
            (Auto, [true, true, false], true, false),
            (Always, [true, false, true], false, true),
            (Never, [false, true, false], true, false),
        ];
        for (choice, [no_color, force, dumb], is_terminal, expected) in rows {
            let environment = Environment {
                no_color,
                force,
                dumb,
            };
            assert_eq!(
                is_colored(choice, environment, is_terminal),
                expected,
                "{choice:?} {environment:?} terminal {is_terminal}"
            );
        }
    }
}

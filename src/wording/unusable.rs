//! Why a machine or a setup that is asked for cannot be used, in words: the same for every command.

use crate::report::Unusable;
use crate::words::phrases::{list_some, name, plural};
use crate::words::spelling;
use std::error::Error;
use std::fmt;

impl fmt::Display for Unusable {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchMachine { name: machine, .. } => {
                write!(out, "there is no machine `{}`", name(machine))
            }
            Self::NoMachineFile { machine } => {
                write!(out, "{} has records, but no machine file", name(machine))
            }
            Self::BrokenMachine {
                machine,
                count,
                first,
            } => {
                let machine = name(machine);
                let Some(at) = first else {
                    return write!(out, "the machine file of {machine} could not be read");
                };
                let first = if *count == 1 { "" } else { "the first " };
                write!(
                    out,
                    "the machine file of {machine} has {}, {first}at {}:{}:{}",
                    plural(*count, "error"),
                    at.path,
                    at.line,
                    at.column
                )
            }
            Self::OutOfService { machine } => write!(out, "{} is out of service", name(machine)),
            Self::NoSetup { machine } => {
                write!(out, "the machine file of {} has no setup", name(machine))
            }
            Self::NoSuchSetup {
                machine,
                name: setup,
                ..
            } => write!(out, "{} has no setup `{}`", name(machine), name(setup)),
            Self::WhichSetup { machine, known } => {
                let setups = plural(known.len(), "setup");
                write!(out, "{} has {setups}, and none is named", name(machine))
            }
        }
    }
}

impl Error for Unusable {}

impl Unusable {
    /// What to do, beginning with a verb.
    pub fn help(&self) -> String {
        match self {
            Self::NoSuchMachine { known, .. } if known.is_empty() => {
                "add a machine file to machines/".to_owned()
            }
            Self::NoSuchMachine { name, known } => nearest(name, known)
                .unwrap_or_else(|| format!("name one of {}", list_some(&names(known), "and"))),
            Self::NoMachineFile { .. } => "add its machine file to machines/".to_owned(),
            Self::BrokenMachine { .. } => {
                "run `swathlint check`, and correct the machine file first".to_owned()
            }
            Self::OutOfService { .. } => {
                "name another machine, or correct its machine file".to_owned()
            }
            Self::NoSetup { .. } => "add a setup to the machine file: docs/records.md".to_owned(),
            Self::NoSuchSetup { name, known, .. } => {
                nearest(name, known).unwrap_or_else(|| add_setup(known))
            }
            Self::WhichSetup { known, .. } => add_setup(known),
        }
    }
}

fn nearest(written: &str, known: &[String]) -> Option<String> {
    let nearest = spelling::nearest(written, known.iter().map(String::as_str))?;
    Some(format!("did you mean `{}`?", name(nearest)))
}

fn add_setup(known: &[String]) -> String {
    let setups = names(known).into_iter();
    let setups: Vec<String> = setups.map(|name| format!("--setup {name}")).collect();
    format!("add {}", list_some(&setups, "or"))
}

fn names(known: &[String]) -> Vec<String> {
    known.iter().map(|known| name(known).into_owned()).collect()
}

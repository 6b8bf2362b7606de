//! What is wrong with the words of a command line, and what to write instead.

use crate::words::{phrases, spelling};
use clap::error::{ContextKind, ContextValue, ErrorKind};
use std::error::Error;

/// What is wrong with a command line that was refused, and what to do.
pub(super) fn told(refused: &clap::Error, command: Option<&str>) -> (String, String) {
    let told = Refused { refused, command };
    (told.message(), told.help())
}

struct Refused<'e> {
    refused: &'e clap::Error,
    /// The command that was asked for; none where it is what is wrong.
    command: Option<&'e str>,
}

impl Refused<'_> {
    fn message(&self) -> String {
        let argument = self.text(ContextKind::InvalidArg);
        let option = self.option();
        let value = self.text(ContextKind::InvalidValue);
        match self.refused.kind() {
            ErrorKind::InvalidSubcommand => {
                let word = self.text(ContextKind::InvalidSubcommand);
                format!("`{word}` is not a command{}", self.meant(&word))
            }
            ErrorKind::UnknownArgument if argument.starts_with('-') => {
                let of = self.command.unwrap_or("swathlint");
                format!("{of} has no option `{argument}`{}", self.meant(&argument))
            }
            ErrorKind::UnknownArgument => {
                let by = self.command.unwrap_or("swathlint");
                format!("{by} takes no further argument `{argument}`")
            }
            ErrorKind::InvalidValue | ErrorKind::ValueValidation if value.is_empty() => {
                format!("{option} needs a value")
            }
            ErrorKind::InvalidValue => {
                format!("`{value}` is not a value of {option}{}", self.meant(&value))
            }
            ErrorKind::ValueValidation => match self.refused.source() {
                Some(because) => format!("{option}: {because}"),
                None => format!("`{value}` is not a value of {option}"),
            },
            ErrorKind::TooManyValues => format!("{option} takes no value, so not `{value}`"),
            ErrorKind::TooFewValues | ErrorKind::WrongNumberOfValues | ErrorKind::NoEquals => {
                format!("{option} needs a value")
            }
            ErrorKind::MissingRequiredArgument => {
                format!("{} needs {option}", self.command.unwrap_or("swathlint"))
            }
            ErrorKind::MissingSubcommand => "swathlint needs a command".to_owned(),
            ErrorKind::ArgumentConflict => match self.text(ContextKind::PriorArg) {
                other if other.is_empty() || other == argument => {
                    format!("{option} may be given only once")
                }
                other => format!("{option} cannot be used with {}", name_of(&other)),
            },
            ErrorKind::InvalidUtf8 => "an argument is not UTF-8 text".to_owned(),
            ErrorKind::DisplayHelp
            | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
            | ErrorKind::DisplayVersion
            | ErrorKind::Io
            | ErrorKind::Format
            | _ => "these arguments cannot be read".to_owned(),
        }
    }

    fn help(&self) -> String {
        let values = self.all(ContextKind::ValidValue);
        match (self.refused.kind(), self.command) {
            (ErrorKind::InvalidValue, _) if !values.is_empty() => {
                format!("use one of {}", phrases::list_some(&values, "or"))
            }
            (_, Some(command)) => format!("see `swathlint {command} --help`"),
            (_, None) => "see `swathlint --help`".to_owned(),
        }
    }

    /// The option or argument at fault, without what stands for its value.
    fn option(&self) -> String {
        name_of(&self.text(ContextKind::InvalidArg))
    }

    /// What was probably meant by a word, as the end of a sentence.
    fn meant(&self, word: &str) -> String {
        let suggested = [
            ContextKind::SuggestedSubcommand,
            ContextKind::SuggestedArg,
            ContextKind::SuggestedValue,
        ];
        let suggested = suggested.into_iter().flat_map(|kind| self.all(kind));
        let known: Vec<String> = suggested.chain(self.all(ContextKind::ValidValue)).collect();
        let nearest = spelling::nearest(word, known.iter().map(String::as_str));
        nearest.map_or_else(String::new, |nearest| {
            format!("; did you mean `{nearest}`?")
        })
    }

    fn text(&self, kind: ContextKind) -> String {
        self.all(kind).into_iter().next().unwrap_or_default()
    }

    fn all(&self, kind: ContextKind) -> Vec<String> {
        match self.refused.get(kind) {
            Some(ContextValue::String(text)) => vec![text.clone()],
            Some(ContextValue::Strings(texts)) => texts.clone(),
            _ => Vec::new(),
        }
    }
}

/// An option or argument without what stands for its value: `--format` of `--format <FORMAT>`.
fn name_of(argument: &str) -> String {
    let name = argument.split([' ', '=']).next().unwrap_or(argument);
    name.trim_matches(['<', '>', '[', ']', '.']).to_owned()
}

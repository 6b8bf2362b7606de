//! `start`: a small working repository, with a first record to fill in.
//!
//! Nothing about a machine is guessed: what is not given is asked for at a terminal, and refused elsewhere. Nothing is
//! written before all of it is checked, and no file that is there already is touched.

mod checked;
mod facts;
mod files;
mod texts;
mod written;

use crate::cli::args::StartArguments;
use crate::cli::exit::EXIT_CLEAN;
use crate::cli::failure::CannotCheck;
use crate::cli::output;
use crate::draft::record_path;
use crate::render::Harmless;
use crate::words;
use checked::checks_clean;
use facts::Facts;
use files::Files;
use jiff::civil::Date;
use std::path::Path;
use texts::texts;

/// Writes the repository; `today` dates the first record where no option does.
pub(super) fn start(arguments: &StartArguments, today: Date) -> Result<u8, CannotCheck> {
    let date = arguments.date.unwrap_or(today);
    // What cannot be written in the end is told before anything is asked.
    let machine = arguments.machine.as_deref();
    let known = texts::paths(machine, date);
    written::is_free(&arguments.folder, known.iter().map(String::as_str))?;
    let facts = Facts::find(arguments)?;
    let files = texts(&facts, date)?;
    checks_clean(&files, date)?;
    written::is_free(&arguments.folder, files.keys().map(String::as_str))?;
    written::write(&arguments.folder, &files)?;
    output::to_output(&told(&arguments.folder, &facts, date, &files))?;
    Ok(EXIT_CLEAN)
}

/// What was written, what was assumed, and the next things to do.
fn told(folder: &Path, facts: &Facts, date: Date, files: &Files) -> Harmless {
    let machine = facts.get(facts::MACHINE);
    let record = record_path(machine, date);
    let shown = folder.display().to_string();
    let n_files = words::phrases::plural(files.len(), "file");
    let assumed = match facts.assumed().as_slice() {
        [] => String::new(),
        options => {
            let options = words::phrases::list(options, "and");
            format!("Assumed {options}: correct it in the files where it is not so.\n")
        }
    };
    let quoted = quoted(&shown);
    let said = format!(
        "Wrote {n_files} in {shown}.
{assumed}
Next:
1. Hold the machine file against the machine, and fleet.yaml against your instruments; then check both:
     cd {quoted}
     swathlint check
2. See what to bring and what to aim at. Fill in {record} at the machine, and check it:
     swathlint due
     swathlint check
   If the visit is on another day, rename the file and change the date in it.
3. Fill in OWNER, the zeros, and ADDRESS in both workflows, and @OWNER in .github/CODEOWNERS.
4. Put the records under version control, push them to where your group works, and open a pull request for a visit;
   README.md has the steps:
     git init -b main && git add . && git commit -m \"Calibration records\"
     pre-commit install
"
    );
    Harmless::lines(&said)
}

/// A folder as one word of a shell that no command takes for an option.
fn quoted(folder: &str) -> String {
    let lead = if folder.starts_with('-') { "./" } else { "" };
    words::shell::quoted(&format!("{lead}{folder}"))
}

#[cfg(test)]
mod tests {
    use super::quoted;

    #[test]
    fn a_shell_takes_the_folder_as_one_word() {
        for (word, shown) in [
            ("records", "records"),
            ("../a/b", "../a/b"),
            ("our records", "'our records'"),
            ("it's", r"'it'\''s'"),
            ("-x", "./-x"),
            ("$(x)", "'$(x)'"),
        ] {
            assert_eq!(quoted(word), shown);
        }
    }
}

//! The table of figures for people: rounded, a heading a visit.

use crate::render::format::{FigureFormat, FigureWriter, missing};
use crate::render::ink::{Ink, Look};
use crate::render::{Harmless, clean};
use crate::report::{FigureRow, FigureTotals};
use crate::words::dates;
use crate::words::numbers;
use crate::words::phrases::plural;

/// Digits behind the point for people at most.
const MOST_DECIMALS: usize = 5;

/// Columns that a heading that wraps is moved in.
const INDENT: usize = 2;

/// The part of a figure about all of its test or machine, which goes without saying.
const WHOLE: &str = "boom";

/// The format.
pub(super) static FORMAT: FigureFormat = FigureFormat {
    name: "table",
    about: "A table to read",
    writer: |look| Box::new(TableWriter::new(look)),
};

/// A table for people: a heading a visit, a line a figure.
struct TableWriter {
    look: Look,
    heading: String,
    figures: usize,
    missing: usize,
    /// The machine of the last row.
    machine: Option<String>,
    machines: usize,
}

impl TableWriter {
    fn new(look: Look) -> Self {
        Self {
            look,
            heading: String::new(),
            figures: 0,
            missing: 0,
            machine: None,
            machines: 0,
        }
    }
}

impl FigureWriter for TableWriter {
    fn machine(&mut self, rows: &[FigureRow]) -> Harmless {
        let mut out = String::new();
        for row in rows {
            let next = heading_of(row);
            if next != self.heading {
                if !self.heading.is_empty() {
                    out.push('\n');
                }
                let heading = clean::text(&next);
                out.push_str(&self.look.paragraph(Ink::Caption, &heading, "", INDENT));
                self.heading = next;
            }
            let mut name = row.figure.to_owned();
            if row.part != WHOLE {
                name.push_str(", ");
                name.push_str(&row.part);
            }
            if let Some(stage) = row.stage {
                name.push_str(", ");
                name.push_str(stage);
            }
            let line = format!("  {name}: {}{}", value(row), largest(row));
            out.push_str(&clean::text(&line));
            out.push('\n');
        }
        self.figures += rows.len();
        self.missing += rows.iter().filter(|row| row.value.is_err()).count();
        if let Some(last) = rows
            .last()
            .filter(|last| self.machine.as_ref() != Some(&last.machine))
        {
            self.machine = Some(last.machine.clone());
            self.machines += 1;
        }
        Harmless::painted(&out, &self.look)
    }

    /// Its last line tells it.
    fn leaves_out(&self, _: &FigureTotals) -> Vec<String> {
        Vec::new()
    }

    fn end(&mut self, totals: &FigureTotals) -> Harmless {
        let mut told = vec![format!(
            "{} of {}",
            plural(self.figures, "figure"),
            plural(self.machines, "machine"),
        )];
        if self.missing > 0 {
            told.push(format!("{} not calculated, readings missing", self.missing));
        }
        told.extend(missing(totals));
        let before = if self.heading.is_empty() { "" } else { "\n" };
        Harmless::lines(&format!("{before}{}\n", told.join("; ")))
    }
}

fn heading_of(row: &FigureRow) -> String {
    let date = row
        .date
        .map_or_else(|| "as it stands".to_owned(), dates::date);
    match &row.setup {
        Some(setup) => format!("{}, {date}, {setup}", row.machine),
        None => format!("{}, {date}", row.machine),
    }
}

fn value(row: &FigureRow) -> String {
    let value = match &row.value {
        Ok(value) => *value,
        Err(because) => return format!("not known: {because}"),
    };
    let is_whole = row.expanded.is_none() && (value - value.round()).abs() < 1e-9;
    let decimals = if is_whole {
        0
    } else if row.expanded.is_none() {
        2
    } else {
        numbers::decimals_for(row.expanded, Some(MOST_DECIMALS), value, &[])
    };
    let number = match row.expanded {
        Some(expanded) => numbers::with_uncertainty(value, expanded, decimals),
        None => numbers::number(value, decimals),
    };
    numbers::with_unit(&number, &row.unit)
}

fn largest(row: &FigureRow) -> String {
    row.contributions.first().map_or_else(String::new, |first| {
        format!("  ({} {})", first.what, numbers::percent(first.share, 0))
    })
}

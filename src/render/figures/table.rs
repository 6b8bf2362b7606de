//! The table of figures for people: rounded, a heading a visit.

use crate::render::format::Format;
use crate::render::ink::{Ink, Look};
use crate::render::{Harmless, clean};
use crate::report::{FigureRow, FigureTable};
use crate::words::dates;
use crate::words::numbers;
use crate::words::phrases::plural;

/// Digits behind the point for people at most.
const MOST_DECIMALS: usize = 5;

/// The format.
pub(super) static FORMAT: Format<FigureTable> = Format {
    name: "table",
    about: "A table to read",
    write: figure_table,
    leaves_out: super::failures,
};

/// The table for people: a heading a visit, a line a figure.
pub fn figure_table(table: &FigureTable, look: &Look) -> Harmless {
    let mut out = String::new();
    let mut heading = String::new();
    for row in &table.rows {
        let next = heading_of(row);
        if next != heading {
            if !heading.is_empty() {
                out.push('\n');
            }
            out.push_str(&look.paragraph(Ink::Caption, &clean::text(&next), "", INDENT));
            heading = next;
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
    if !out.is_empty() {
        out.push('\n');
    }
    out.push_str(&totals(table));
    out.push('\n');
    Harmless::painted(&out, look)
}

fn totals(table: &FigureTable) -> String {
    let mut totals = vec![format!(
        "{} of {}",
        plural(table.rows.len(), "figure"),
        plural(machines(table), "machine"),
    )];
    let missing = table.rows.iter().filter(|row| row.value.is_err()).count();
    if missing > 0 {
        totals.push(format!("{missing} not worked out for want of readings"));
    }
    if table.unreadable > 0 {
        totals.push(format!(
            "{} could not be made sense of: run `swathlint check`",
            plural(table.unreadable, "file"),
        ));
    }
    totals.join("; ")
}

/// Columns that a heading that wraps is moved in.
const INDENT: usize = 2;

/// The part of a figure about all of its test or machine, which goes without saying.
const WHOLE: &str = "boom";

fn machines(table: &FigureTable) -> usize {
    let mut names: Vec<&str> = table.rows.iter().map(|row| row.machine.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    names.len()
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
    format!("{number} {}", row.unit).trim_end().to_owned()
}

fn largest(row: &FigureRow) -> String {
    row.contributions.first().map_or_else(String::new, |first| {
        format!("  ({} {})", first.what, numbers::percent(first.share, 0))
    })
}

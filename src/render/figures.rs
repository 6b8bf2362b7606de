//! The table of figures: for people, as CSV, and as JSON lines.
//!
//! Rounds for people only; other programs get every digit.

use crate::render::cell::text;
use crate::render::ink::{Ink, Look};
use crate::render::jsonl::push_line;
use crate::render::{Harmless, clean};
use crate::report::{Contribution, FigureRow, FigureTable, FigureTotals, RowPlace};
use crate::words::dates;
use crate::words::numbers;
use crate::words::phrases::plural;
use serde::Serialize;

/// Digits behind the point for people at most.
const MOST_DECIMALS: usize = 5;

/// Changes when a field is renamed, removed or changes its meaning; not when one is added.
const SCHEMA_VERSION: u32 = 1;

/// Writes the figures of one machine after another, so that memory follows the largest machine.
pub trait FigureWriter {
    /// What stands before all figures.
    fn head(&mut self) -> Harmless {
        Harmless::default()
    }

    /// The figures of one machine.
    fn machine(&mut self, rows: &[FigureRow]) -> Harmless;

    /// What stands behind all figures.
    fn end(&mut self, _: &FigureTotals) -> Harmless {
        Harmless::default()
    }
}

/// A table for people: a heading a visit, a line a figure.
#[derive(Debug)]
pub struct FigureTableWriter {
    look: Look,
    heading: String,
    figures: usize,
    missing: usize,
    machines: usize,
}

impl FigureTableWriter {
    /// A table in a look.
    pub fn new(look: Look) -> Self {
        Self {
            look,
            heading: String::new(),
            figures: 0,
            missing: 0,
            machines: 0,
        }
    }
}

impl FigureWriter for FigureTableWriter {
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
        self.machines += usize::from(!rows.is_empty());
        Harmless::painted(&out, &self.look)
    }

    fn end(&mut self, totals: &FigureTotals) -> Harmless {
        let mut told = vec![format!(
            "{} of {}",
            plural(self.figures, "figure"),
            plural(self.machines, "machine"),
        )];
        if self.missing > 0 {
            told.push(format!(
                "{} not worked out for want of readings",
                self.missing
            ));
        }
        if totals.unreadable > 0 {
            told.push(format!(
                "{} could not be made sense of: run `swathlint check`",
                plural(totals.unreadable, "file"),
            ));
        }
        let before = if self.heading.is_empty() { "" } else { "\n" };
        Harmless::lines(&format!("{before}{}\n", told.join("; ")))
    }
}

/// One line a figure, with a heading line (RFC 4180); no cell of text can be taken for a formula.
#[derive(Debug)]
pub struct FigureCsvWriter;

impl FigureWriter for FigureCsvWriter {
    fn head(&mut self) -> Harmless {
        Harmless::csv(
            "machine,date,setup,figure,part,stage,value,expanded-uncertainty,unit,not-known-because,\
             path,line,column,contribution-1,share-1,place-1,contribution-2,share-2,place-2,\
             contribution-3,share-3,place-3,worked-out\r\n",
        )
    }

    fn machine(&mut self, rows: &[FigureRow]) -> Harmless {
        Harmless::csv(&rows.iter().map(csv_line).collect::<String>())
    }
}

/// One JSON object a figure.
#[derive(Debug)]
pub struct FigureJsonlWriter;

impl FigureWriter for FigureJsonlWriter {
    fn machine(&mut self, rows: &[FigureRow]) -> Harmless {
        let mut out = String::new();
        for row in rows {
            push_line(&mut out, &Line::new(row));
        }
        Harmless::json(&out)
    }
}

/// All figures of a fleet at once.
pub fn figure_text(table: &FigureTable, writer: &mut dyn FigureWriter) -> Harmless {
    let by_machine = table.rows.chunk_by(|one, next| one.machine == next.machine);
    let machines = by_machine.fold(writer.head(), |text, rows| text.and(&writer.machine(rows)));
    machines.and(&writer.end(&table.totals))
}

/// Columns that a heading that wraps is moved in.
const INDENT: usize = 2;

/// The part of a figure about all of its test or machine, which goes without saying.
const WHOLE: &str = "boom";

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

fn csv_line(row: &FigureRow) -> String {
    let mut cells = vec![
        text(&row.machine),
        row.date.map_or_else(String::new, dates::date),
        text(row.setup.as_deref().unwrap_or_default()),
        text(row.figure),
        text(&row.part),
        text(row.stage.unwrap_or_default()),
        row.value
            .as_ref()
            .map_or_else(|_| String::new(), f64::to_string),
        row.expanded.map_or_else(String::new, |u| u.to_string()),
        text(&row.unit),
        text(row.value.as_ref().err().map_or("", String::as_str)),
        text(&row.place.path),
        row.place.line.to_string(),
        row.place.column.to_string(),
    ];
    for at in 0..3 {
        let contribution = row.contributions.get(at);
        cells.push(text(contribution.map_or("", |one| one.what)));
        cells.push(contribution.map_or_else(String::new, |one| one.share.to_string()));
        cells.push(text(&contribution.map_or_else(String::new, place)));
    }
    cells.push(text(row.working.as_deref().unwrap_or_default()));
    let mut line = cells.join(",");
    line.push_str("\r\n");
    line
}

fn place(contribution: &Contribution) -> String {
    contribution.place.as_ref().map_or_else(
        || "default".to_owned(),
        |place| format!("{}:{}:{}", place.path, place.line, place.column),
    )
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct Line<'a> {
    schema_version: u32,
    machine: &'a str,
    date: Option<String>,
    setup: Option<&'a str>,
    figure: &'a str,
    part: &'a str,
    stage: Option<&'a str>,
    value: Option<f64>,
    expanded_uncertainty: Option<f64>,
    unit: &'a str,
    not_known_because: Option<&'a str>,
    place: PlaceFields<'a>,
    contributions: Vec<ContributionFields<'a>>,
    worked_out: Option<&'a str>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct PlaceFields<'a> {
    path: &'a str,
    line: u32,
    column: u32,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct ContributionFields<'a> {
    what: &'a str,
    share: f64,
    place: Option<PlaceFields<'a>>,
}

impl<'a> Line<'a> {
    fn new(row: &'a FigureRow) -> Self {
        let FigureRow {
            figure,
            machine,
            date,
            setup,
            stage,
            part,
            value,
            expanded,
            unit,
            place,
            contributions,
            working,
        } = row;
        Self {
            schema_version: SCHEMA_VERSION,
            machine,
            date: date.map(dates::date),
            setup: setup.as_deref(),
            figure,
            part,
            stage: *stage,
            value: value.as_ref().ok().copied(),
            expanded_uncertainty: *expanded,
            unit,
            not_known_because: value.as_ref().err().map(String::as_str),
            place: fields(place),
            contributions: contributions
                .iter()
                .map(|contribution| ContributionFields {
                    what: contribution.what,
                    share: contribution.share,
                    place: contribution.place.as_ref().map(fields),
                })
                .collect(),
            worked_out: working.as_deref(),
        }
    }
}

fn fields(place: &RowPlace) -> PlaceFields<'_> {
    PlaceFields {
        path: &place.path,
        line: place.line,
        column: place.column,
    }
}

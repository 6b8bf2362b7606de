//! The figures as comma-separated values, every digit of them.

use crate::render::Harmless;
use crate::render::cell::text;
use crate::render::format::{FigureFormat, FigureWriter};
use crate::report::{Contribution, FigureRow};
use crate::words::dates;

/// The format.
pub(super) static FORMAT: FigureFormat = FigureFormat {
    name: "csv",
    about: "Comma-separated values, one line per figure",
    writer: |_| Box::new(CsvWriter),
};

/// One line a figure, with a heading line (RFC 4180); no cell of text can be taken for a formula.
struct CsvWriter;

impl FigureWriter for CsvWriter {
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

//! What fits as comma-separated values (RFC 4180), every digit of them.

use crate::chart::{Chart, Row, SetupChart};
use crate::quantity::Quantity;
use crate::render::Harmless;
use crate::render::cell::{LINE_END, text};
use crate::render::chart::wording;
use crate::render::format::Format;

/// Sources of uncertainty that a line has room for.
const MOST_SHARES: usize = 3;

/// The format.
pub(super) static FORMAT: Format<Chart> = Format {
    name: "csv",
    about: "Comma-separated values, one line per value",
    write: |chart, _| csv(chart),
    leaves_out: not_told,
};

fn csv(chart: &Chart) -> Harmless {
    let mut out = String::from(
        "machine,setup,what,size,rated-flow,rated-pressure,fitted,tips,pressure,duration,speed,rate,\
         value,expanded-uncertainty,unit,mark,contribution-1,share-1,contribution-2,share-2,\
         contribution-3,share-3",
    );
    out.push_str(LINE_END);
    for setup in &chart.setups {
        for row in &setup.rows {
            out.push_str(&cells(chart, setup, row).join(","));
            out.push_str(LINE_END);
        }
    }
    Harmless::csv(&out)
}

fn cells(chart: &Chart, setup: &SetupChart, row: &Row) -> Vec<String> {
    let quantity =
        |one: Option<Quantity>| text(&one.map_or_else(String::new, |one| one.to_string()));
    let [flow, pressure] = match row.rated {
        Some(rated) => rated.map(Some),
        None => [None, None],
    };
    let mut cells = vec![
        text(&chart.machine),
        text(&setup.name),
        text(wording::kind(row.kind)),
        text(row.size.as_deref().unwrap_or_default()),
        quantity(flow),
        quantity(pressure),
        row.is_fitted.to_string(),
        text(row.rated.map_or("", |_| wording::tips(row.tips))),
        quantity(row.pressure),
        quantity(row.duration),
        quantity(row.speed),
        quantity(row.rate),
        row.value.to_string(),
        row.expanded.map_or_else(String::new, |u| u.to_string()),
        text(&row.unit.to_string()),
        text(row.mark.map_or("", wording::mark)),
    ];
    for at in 0..MOST_SHARES {
        let share = row.shares.get(at);
        cells.push(text(share.map_or("", |one| one.what)));
        cells.push(share.map_or_else(String::new, |one| one.share.to_string()));
    }
    cells
}

/// What has no line of its own.
fn not_told(chart: &Chart) -> Vec<String> {
    let setups = chart.setups.iter();
    let facts = setups.flat_map(|setup| {
        let told = wording::facts(chart, setup).into_iter();
        let is_left_out = |caption: &str| match caption {
            "does not add up" | "missing" | "mix" => true,
            "as caught" => setup.average.is_err(),
            _ => false,
        };
        let told = told.filter(move |(caption, _)| is_left_out(caption));
        told.map(|(caption, fact)| format!("{}, {caption}: {fact}", setup.name))
    });
    let cautions = wording::CAUTIONS.join("; ");
    facts.chain([format!("caution: {cautions}")]).collect()
}

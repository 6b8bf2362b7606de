//! What fits as a page: a table a part.
//!
//! Text from a record stands in code spans or escaped, where nothing in it is a mention, a link or markup.

use crate::chart::{Chart, SetupChart};
use crate::render::Harmless;
use crate::render::chart::wording::{self, Line, Part};
use crate::render::format::{Format, nothing};
use crate::render::marked::{span, text};

/// Characters of a name at most.
const MOST_OF_A_NAME: usize = 300;

/// The format.
pub(super) static FORMAT: Format<Chart> = Format {
    name: "markdown",
    about: "Tables, for a page",
    write: |chart, _| page(chart),
    leaves_out: nothing,
};

fn page(chart: &Chart) -> Harmless {
    let setups: String = chart
        .setups
        .iter()
        .map(|setup| of_setup(chart, setup))
        .collect();
    let cautions = wording::CAUTIONS.map(text).join("; ");
    let coverage = text(&wording::coverage(chart));
    Harmless::lines(&format!("{setups}Caution: {cautions}.\n\n{coverage}.\n"))
}

fn of_setup(chart: &Chart, setup: &SetupChart) -> String {
    let [machine, name] = [&chart.machine, &setup.name].map(|one| span(one, MOST_OF_A_NAME));
    let facts = wording::facts(chart, setup).into_iter();
    let facts = facts.map(|(caption, fact)| format!("- {caption}: {}\n", text(&fact)));
    let facts = facts.collect::<Vec<String>>().concat();
    let parts = wording::parts(setup);
    let parts: String = parts.iter().map(|part| of_part(part, setup)).collect();
    format!("## {machine}, {name}\n\n{facts}\n{parts}")
}

fn of_part(part: &Part<'_>, setup: &SetupChart) -> String {
    let heading = text(&part.heading);
    let lines: String = part.lines.iter().map(|line| of_line(line, setup)).collect();
    let below = [("target", &part.target), ("± from", &part.sources)];
    let below: String = below
        .into_iter()
        .filter_map(|(caption, told)| Some(format!("{caption}: {}\n\n", text(told.as_ref()?))))
        .collect();
    format!("### {heading}\n\n| for | new tips | tips as caught |\n|---|---|---|\n{lines}\n{below}")
}

fn of_line(line: &Line<'_>, setup: &SetupChart) -> String {
    let cell =
        |row: Option<_>| row.map_or_else(String::new, |row| text(&wording::told(row, setup)));
    let (new, as_caught) = (cell(line.new), cell(line.as_caught));
    format!("| {} | {new} | {as_caught} |\n", text(&line.what))
}

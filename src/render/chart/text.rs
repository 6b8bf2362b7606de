//! What fits for a person at a terminal or reading a log.
//!
//! Decides nothing, and cuts nothing.

use crate::chart::{Chart, SetupChart};
use crate::render::chart::wording::{self, Line, Part};
use crate::render::format::{Format, nothing};
use crate::render::ink::{INDENT, Ink, Look};
use crate::render::{Harmless, clean};
use crate::words::phrases::name;

/// The format.
pub(super) static FORMAT: Format<Chart> = Format {
    name: "text",
    about: "For people: setup by setup",
    write: text,
    leaves_out: nothing,
};

fn text(chart: &Chart, look: &Look) -> Harmless {
    let mut out = String::new();
    for setup in &chart.setups {
        out.push_str(&of_setup(chart, setup, *look));
        out.push('\n');
    }
    let cautions = wording::CAUTIONS.join("; ");
    out.push_str(&look.paragraph(Ink::Caption, "caution: ", &cautions, INDENT));
    let coverage = wording::coverage(chart);
    out.push_str(&look.paragraph(Ink::Caption, "", &clean::text(&coverage), INDENT));
    Harmless::painted(&out, look)
}

fn of_setup(chart: &Chart, setup: &SetupChart, look: Look) -> String {
    let heading = format!("{}, {}", chart.machine, name(&setup.name));
    let mut out = look.paragraph(Ink::Caption, &clean::text(&heading), "", INDENT);
    for (caption, fact) in wording::facts(chart, setup) {
        let ink = match (&setup.sum, caption) {
            (Some(sum), "does not add up") if !sum.is_kept => Ink::Warning,
            _ => Ink::Caption,
        };
        let lead = format!("{:INDENT$}{caption}: ", "");
        out.push_str(&look.paragraph(ink, &lead, &clean::text(&fact), 2 * INDENT));
    }
    for part in wording::parts(setup) {
        out.push_str(&of_part(&part, setup, look));
    }
    out
}

fn of_part(part: &Part<'_>, setup: &SetupChart, look: Look) -> String {
    let heading = format!("{:INDENT$}{}", "", clean::text(&part.heading));
    let mut out = look.paragraph(Ink::Caption, &heading, "", 2 * INDENT);
    for line in &part.lines {
        out.push_str(&of_line(line, setup, look));
    }
    let captioned = [("target", &part.target), ("± from", &part.sources)];
    for (caption, text) in captioned {
        if let Some(text) = text {
            let lead = format!("{:1$}{caption}: ", "", 2 * INDENT);
            out.push_str(&look.paragraph(Ink::Caption, &lead, &clean::text(text), 3 * INDENT));
        }
    }
    out
}

fn of_line(line: &Line<'_>, setup: &SetupChart, look: Look) -> String {
    let new = line.new.map(|new| wording::told(new, setup));
    let as_caught = line.as_caught.map(|row| wording::told(row, setup));
    let as_caught = as_caught.map(|told| format!("as caught {told}"));
    let told: Vec<String> = new.into_iter().chain(as_caught).collect();
    let is_fitted = line
        .new
        .is_some_and(|row| row.is_fitted && row.mark.is_some());
    let ink = if is_fitted { Ink::Note } else { Ink::Caption };
    let lead = format!("{:2$}{}: ", "", clean::text(&line.what), 2 * INDENT);
    look.paragraph(ink, &lead, &clean::text(&told.join("; ")), 3 * INDENT)
}

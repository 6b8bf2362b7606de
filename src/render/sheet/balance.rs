//! The section balance: what is read with each section off, against all sections on.

use super::heading::heading;
use super::html::{Html, element};
use super::lines::{lines, shares};
use super::piece::{Piece, boxes, cell, column, labeled, paragraph, row, table, to_do, value};
use crate::draft::{Entry, Field, Form, Kind, Part};
use crate::quantity::dimension::Dimension;
use crate::words::phrases::{capitalized, shortened};

/// The section balance of a form.
pub(super) fn balance(form: &Form, part: &Part) -> Option<Piece> {
    let at = |key| form.at(Field::Balance(key));
    let all_on = at("all-on")?;
    let is_by_pressure = matches!(&all_on.kind, Kind::Quantity(dimensions, _) if dimensions.contains(&Dimension::PRESSURE));
    let read = if is_by_pressure { "pressure" } else { "rate" };
    let conditions = [at("entered-speed"), at("rate-control"), Some(all_on)];
    let conditions: Vec<Html> = conditions.into_iter().flatten().map(value).collect();
    let in_a_row = conditions.len();
    let sections = (0..form.sections.len()).filter_map(|at| off(form, at));
    let head = ["as found", "as left"].map(|label| column(&labeled(all_on, label)));
    let head = [column("section off")].into_iter().chain(head);
    let pieces = [
        heading(form, part),
        limit(part, all_on),
        Some(boxes(conditions, in_a_row)),
        Some(table(
            "wide off",
            "What is read with each section off",
            head.collect(),
            sections.collect(),
        )),
        Some(what_to_do(is_by_pressure, read)),
    ];
    Some(pieces.into_iter().flatten().collect())
}

fn off(form: &Form, at: usize) -> Option<Html> {
    let found = form.at(Field::Off(at, "as-found"))?;
    let name = form.sections.get(at)?.name.as_deref().unwrap_or_default();
    let cells = [
        row(&shortened(name, 40)),
        cell(Some(found)),
        cell(form.at(Field::Off(at, "as-left"))),
    ];
    Some(element("tr", cells))
}

fn limit(part: &Part, all_on: &Entry) -> Option<Piece> {
    let ratios = part.ratios?;
    let (low, high) = shares(ratios)?;
    let mut words = format!("Right: {low} to {high} × all on");
    if let Some(aim) = all_on.aim
        && let Some((low, high)) = lines(aim.target, ratios)
    {
        let unit = all_on.kind.unit();
        words.extend([format!("; {} {unit}: {low} to {high}", aim.target_shown())]);
    }
    Some(paragraph("target", &(words + ".")))
}

fn what_to_do(is_by_pressure: bool, read: &str) -> Piece {
    let first = if is_by_pressure {
        "If a console controls the rate, switch automatic rate control off.".to_owned()
    } else {
        "Switch automatic rate control off. Check the width entered for each section.".to_owned()
    };
    let read = capitalized(read);
    let mend = format!(
        "{read} low: close the bypass of that section a little at a time. {read} high: open it. Stop when it reads as with all on."
    );
    to_do(&[first, mend])
}

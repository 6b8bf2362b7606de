//! The head of the sheet: which machine and setup, the visit as a whole, what to take care of.

use super::heading::cautions_of_all;
use super::html::{Html, element, of_class, text};
use super::piece::{BOXES, LETTERS_ACROSS, LINE, Piece, blank, circles, named, value};
use super::square::{sheet_name, square};
use crate::draft::{Field, Form};
use crate::words::dates;
use crate::words::phrases::{name, plural};

/// The code square is so high, and what stands beside it no higher.
const SQUARE: usize = 220;

/// Who may be asked where a label, a law and this sheet differ.
const LABEL: &str = "The label is the law.";

/// Machine, setup and day in words.
pub(super) fn title(form: &Form) -> String {
    format!("{}, {}", name(&form.machine), name(&form.setup.name))
}

/// The head of the sheet.
pub(super) fn head(form: &Form) -> Piece {
    let name = sheet_name(form);
    let square = square(&name);
    let beside = [
        element("h1", [text(&title(form))]),
        of_class("p", "setup", [text(&setup(form))]),
        visit(form),
    ];
    let beside = of_class("div", "beside", beside);
    let top = of_class("div", "top", std::iter::once(beside).chain(square));
    let cautions = format!("Before you start: {} {LABEL}", cautions_of_all(form));
    let lines = cautions.chars().count().div_ceil(LETTERS_ACROSS);
    let preparation = preparation(form);
    let height = SQUARE.max(115 + BOXES) + preparation.fixed + lines * LINE + 30;
    let all = [
        top,
        of_class("p", "cautions", [text(&cautions)]),
        preparation.html,
    ];
    Piece::new(element("header", all), height, 0)
}

/// The setup in a line.
fn setup(form: &Form) -> String {
    let told = &form.setup;
    let count: u32 = form.sections.iter().map(|section| section.nozzles).sum();
    let nozzles = plural(count as usize, "nozzle");
    let nozzles = match &told.spacing {
        Some(spacing) => format!("{nozzles} at {spacing}"),
        None => nozzles,
    };
    let told = [
        &form.course,
        &told.tips,
        &told.pressure,
        &told.speed,
        &told.rate,
    ];
    let told = told
        .into_iter()
        .flatten()
        .map(|text| name(text).into_owned());
    told.chain([nozzles]).collect::<Vec<_>>().join(" · ")
}

fn visit(form: &Form) -> Html {
    let at = |key| form.at(Field::Visit(key));
    let day = dates::date(form.day);
    let by = at("by").map(|entry| {
        named(
            entry,
            "initials",
            entry.usual.as_deref().unwrap_or_default(),
        )
    });
    let hours = at("hours").map(value);
    let all = [
        Some(blank("date", &day)),
        by,
        Some(blank("checked by", "")),
        hours,
    ];
    of_class("div", "boxes n4", all.into_iter().flatten())
}

/// What was prepared, to check off and to circle, in two lines.
fn preparation(form: &Form) -> Piece {
    let at = |key| form.at(Field::Preparation(key));
    let lines = [
        vec!["rinsed", "neutralized", "liquid"],
        vec!["protective-gear"],
    ];
    let lines = lines.map(|keys| circles(keys.into_iter().filter_map(at)));
    lines.into_iter().collect()
}

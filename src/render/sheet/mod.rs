//! A sheet of paper to write on at the machine, as one HTML file that asks for nothing from outside.
//!
//! Black on white, made for wet gloves: the boxes are as high as the paper allows. Decides nothing: what is due, what a
//! reading aims at and what was read last are the form's.

mod balance;
mod catch;
mod factor;
mod fit;
mod head;
mod heading;
mod html;
mod lines;
mod meter;
mod piece;
mod speed;
mod square;

pub use fit::Paper;
pub use square::sheet_name;

use crate::draft::{Form, Part};
use crate::procedure::Step;
use crate::render::Harmless;
use crate::render::format::Format;
use crate::words::dates;
use factor::Extent;
use fit::{Block, Rows, fitted};
use html::{Html, element, empty, of_class, style, style_string, text, with};
use piece::{Piece, Tenths};

/// How the sheet looks; what goes by the paper is put in.
const STYLE: &str = include_str!("sheet.css");

/// What the sheet may ask for: nothing.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'";

/// A visit to be put on paper.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// What the visit takes in.
    pub form: Form,
    /// The paper.
    pub paper: Paper,
}

/// Every format of a sheet, the first where none is named.
pub static SHEET_FORMATS: &[&Format<Sheet>] = &[&FORMAT];

static FORMAT: Format<Sheet> = Format {
    name: "print",
    about: "HTML to print on paper",
    write: |made, _| sheet(&made.form, made.paper),
    leaves_out: |_| Vec::new(),
};

/// The sheet of a visit.
pub fn sheet(form: &Form, paper: Paper) -> Harmless {
    let head = head::head(form);
    let ways = WAYS.map(|way| sections(form, way));
    let blocks = ways.clone().map(|sections| {
        let blocks = sections.into_iter().flat_map(|section| section.blocks);
        blocks.collect::<Vec<_>>()
    });
    let (way, rows) = fitted(head.fixed, &blocks, paper);
    let sections = ways.into_iter().nth(way).into_iter().flatten();
    let flow = of_class("main", "flow", sections.map(Section::html));
    Harmless::lines(&page(form, paper, rows, [head.html, flow]))
}

/// How much is on the sheet of what is due and of what is not: less where that saves a page, or lets nozzles have high boxes.
const WAYS: [[Extent; 2]; 5] = [
    [Extent::Whole, Extent::Whole],
    [Extent::Whole, Extent::NoBoxes],
    [Extent::NoBoxes, Extent::NoBoxes],
    [Extent::Whole, Extent::First],
    [Extent::NoBoxes, Extent::First],
];

/// A step on the sheet.
#[derive(Debug, Clone)]
struct Section {
    is_due: bool,
    blocks: Vec<Block>,
}

impl Section {
    fn html(self) -> Html {
        let class = if self.is_due { "due" } else { "not-due" };
        let blocks = self.blocks.into_iter().map(|block| {
            if block.groups.is_empty() {
                of_class("div", "whole", [block.piece.html])
            } else {
                block.piece.html
            }
        });
        of_class("section", class, blocks)
    }
}

/// Every step of the form.
fn sections(form: &Form, [of_due, of_others]: [Extent; 2]) -> Vec<Section> {
    let section = |part: &Part| {
        let is_due = part.due.is_some();
        let extent = if is_due { of_due } else { of_others };
        let whole = |piece: Piece| vec![Block::whole(piece)];
        let blocks = match part.step? {
            Step::Catch => catch::catch(form, part),
            Step::Flow => Some(whole(meter::meter(form, part, extent))),
            Step::Speed => Some(whole(speed::speed(form, part, extent))),
            Step::Balance => balance::balance(form, part).map(whole),
        };
        Some(Section {
            is_due,
            blocks: blocks?,
        })
    };
    form.parts.iter().filter_map(section).collect()
}

fn page(form: &Form, paper: Paper, rows: Rows, inside: [Html; 2]) -> String {
    let day = dates::date(form.day);
    let named = format!("{}, {day}", head::title(form));
    let style_sheet = STYLE
        .replace("@@size@@", paper.word())
        .replace("@@nozzle@@", &millimeters(rows.nozzle))
        .replace("@@other@@", &millimeters(rows.other))
        .replace("@@name@@", &style_string(&named));
    let title = element("title", [text(&format!("Calibration sheet: {named}"))]);
    let policy = [
        ("http-equiv", "Content-Security-Policy"),
        ("content", POLICY),
    ];
    let view = [("name", "viewport"), ("content", "width=device-width")];
    let head = [
        empty("meta", &[("charset", "utf-8")]),
        empty("meta", &policy),
        empty("meta", &view),
        title,
        style(&style_sheet),
    ];
    let body = element("body", inside);
    with("html", &[("lang", "en-US")], [element("head", head), body]).page()
}

fn millimeters(tenths: Tenths) -> String {
    format!("{}.{}mm", tenths / 10, tenths % 10)
}

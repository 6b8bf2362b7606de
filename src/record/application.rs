//! An application: what was sprayed, where, with how much of what.

use super::amendment::{self, Amendment};
use super::lowering::{Lowering, is_mapping};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::source::{FileId, Span, Spanned};
use crate::yaml::Node;
use jiff::civil::Date;

/// An application.
#[derive(Debug, Clone)]
pub struct Application {
    /// The file it stands in.
    pub file: FileId,
    /// The whole record, for what is missing in it.
    pub span: Span,
    /// The machine.
    pub machine: Option<Spanned<String>>,
    /// The setup; optional with only one setup.
    pub setup: Option<Spanned<String>>,
    /// The day.
    pub date: Option<Spanned<Date>>,
    /// Who sprayed.
    pub by: Option<Spanned<String>>,
    /// The hour meter before.
    pub hours_from: Option<Spanned<Quantity>>,
    /// The hour meter after.
    pub hours_to: Option<Spanned<Quantity>>,
    /// Where.
    pub place: Option<Spanned<String>>,
    /// The area covered.
    pub area: Option<Spanned<Quantity>>,
    /// How the area is known.
    pub area_by: Option<Spanned<AreaBy>>,
    /// The volume put down.
    pub volume: Option<Spanned<Quantity>>,
    /// How the volume is known.
    pub volume_by: Option<Spanned<VolumeBy>>,
    /// The fill meter, where it is not the fleet's usual one.
    pub fill_meter: Option<Spanned<String>>,
    /// The marks of the tank, where they are not the fleet's usual ones.
    pub tank_marks: Option<Spanned<String>>,
    /// What was mixed, tank by tank.
    pub tanks: Vec<Tank>,
    /// What was altered after the record had merged.
    pub amends: Vec<Amendment>,
}

/// How an area is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AreaBy {
    /// From a map of the course.
    Map,
    /// From the console: its speed and its widths.
    Console,
    /// Measured on the ground.
    Measured,
}

impl AreaBy {
    /// The word in records.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Map => "map",
            Self::Console => "console",
            Self::Measured => "measured",
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        [Self::Map, Self::Console, Self::Measured]
            .into_iter()
            .find(|by| by.word() == word)
    }
}

/// How the volume of an application is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VolumeBy {
    /// By a fill meter.
    FillMeter,
    /// By the marks of the tank.
    TankMarks,
    /// From the console: its flow meter.
    Console,
}

impl VolumeBy {
    /// The words in records.
    pub const fn words(self) -> &'static str {
        match self {
            Self::FillMeter => "fill meter",
            Self::TankMarks => "tank marks",
            Self::Console => "console",
        }
    }

    fn from_words(words: &str) -> Option<Self> {
        [Self::FillMeter, Self::TankMarks, Self::Console]
            .into_iter()
            .find(|by| by.words() == words)
    }
}

/// One tank of mix.
#[derive(Debug, Clone)]
pub struct Tank {
    /// All that stands for it.
    pub span: Span,
    /// What it was filled up to with water, the products in it.
    pub water: Option<Spanned<Quantity>>,
    /// The water that went in, the products left out.
    pub water_added: Option<Spanned<Quantity>>,
    /// The density of the mix, if it differs from water.
    pub density: Option<Spanned<Quantity>>,
    /// What was put into it.
    pub products: Vec<Product>,
}

/// A product in a tank.
#[derive(Debug, Clone)]
pub struct Product {
    /// All that stands for it.
    pub span: Span,
    /// Its name.
    pub name: Option<Spanned<String>>,
    /// The least of it that its label asks for on an area.
    pub label_min: Option<Spanned<Quantity>>,
    /// The most of it that its label allows on an area.
    pub label_max: Option<Spanned<Quantity>>,
    /// How much of it is in the tank.
    pub amount: Option<Spanned<Quantity>>,
    /// Whether the record gives a label and an amount, readable or not.
    pub gives: Gives,
}

/// What a record gives of a product, readable or not.
#[derive(Debug, Clone, Copy)]
pub struct Gives {
    /// Its label.
    pub label: bool,
    /// How much of it is in the tank.
    pub amount: bool,
}

/// What a label's rate may be: by volume or by weight.
const LABEL_RATES: [Dimension; 2] = [Dimension::RATE, Dimension::WEIGHED_RATE];

pub(super) fn lower(lowering: &mut Lowering, root: Node<'_>) -> Application {
    let hours = root.get("hours");
    Application {
        file: lowering.file(),
        span: root.span(),
        machine: Lowering::text(root, "machine"),
        setup: Lowering::text(root, "setup"),
        date: lowering.date(root, "date"),
        by: Lowering::text(root, "by"),
        hours_from: hours
            .and_then(|hours| lowering.quantity_or_0(hours, "from", &[Dimension::TIME])),
        hours_to: hours.and_then(|hours| lowering.quantity_or_0(hours, "to", &[Dimension::TIME])),
        place: Lowering::text(root, "place"),
        area: lowering.quantity(root, "area", &[Dimension::AREA]),
        area_by: Lowering::word(root, "area-by", AreaBy::from_word),
        volume: lowering.quantity(root, "volume", &[Dimension::VOLUME]),
        volume_by: Lowering::word(root, "volume-by", VolumeBy::from_words),
        fill_meter: Lowering::text(root, "fill-meter"),
        tank_marks: Lowering::text(root, "tank-marks"),
        tanks: Lowering::items(root, "tanks")
            .filter(|tank| is_mapping(*tank))
            .map(|tank| lower_tank(lowering, tank))
            .collect(),
        amends: amendment::lower(lowering, root),
    }
}

fn lower_tank(lowering: &mut Lowering, tank: Node<'_>) -> Tank {
    Tank {
        span: tank.span(),
        water: lowering.quantity(tank, "water", &[Dimension::VOLUME]),
        water_added: lowering.quantity(tank, "water-added", &[Dimension::VOLUME]),
        density: lowering.quantity(tank, "density", &[Dimension::DENSITY]),
        products: Lowering::items(tank, "products")
            .filter(|product| is_mapping(*product))
            .map(|product| lower_product(lowering, product))
            .collect(),
    }
}

fn lower_product(lowering: &mut Lowering, product: Node<'_>) -> Product {
    let label = product.get("label");
    Product {
        span: product.span(),
        name: Lowering::text(product, "name"),
        label_min: label.and_then(|label| lowering.quantity(label, "min", &LABEL_RATES)),
        label_max: label.and_then(|label| lowering.quantity(label, "max", &LABEL_RATES)),
        amount: lowering.quantity(product, "amount", &[Dimension::VOLUME, Dimension::MASS]),
        gives: Gives {
            label: label.is_some(),
            amount: product.get("amount").is_some(),
        },
    }
}

//! A mixing card for other programs: one JSON object for the card, one a load and one for all of them.
//!
//! Loses nothing: what could drive a terminal or a log is escaped, not replaced.

use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::render::Harmless;
use crate::render::format::{Format, nothing};
use crate::render::jsonl::push_line;
use crate::report::RowPlace;
use crate::tank_mix::{Basis, Card, Measured, Mix, MixedProduct, WorksAt};
use crate::wording::tank::{CAUTIONS, NOMINAL, NOT_KNOWN, against, beside, warning};
use crate::words::dates;
use serde::Serialize;

/// Changes when a field is renamed, removed or changes its meaning; not when one is added.
const SCHEMA_VERSION: u32 = 1;

/// The format.
pub(super) static FORMAT: Format<Card> = Format {
    name: "jsonl",
    about: "For programs: one JSON object for the card, one a load and one for all loads",
    write: |made, _| tank_jsonl(made),
    leaves_out: nothing,
};

/// The card as JSON Lines: `"kind": "card"`, then `"load"` each, then `"total"`; of a refused card the first alone.
pub fn tank_jsonl(card: &Card) -> Harmless {
    let mut out = String::new();
    push_line(&mut out, &CardLine::new(card));
    if let Ok(mix) = &card.outcome {
        for (at, load) in mix.loads.iter().enumerate() {
            let products = mix.products.iter();
            push_line(
                &mut out,
                &LoadLine {
                    kind: "load",
                    basis: mix.basis.word(),
                    loads: load.count,
                    is_full: Some(load.is_full),
                    area: Number::of(load.area, card.area.unit),
                    fill: Number::measured(load.fill),
                    products: products
                        .map(|product| ProductFields::of(product, product.amounts[at]))
                        .collect(),
                },
            );
        }
        push_line(&mut out, &total(card, mix));
    }
    Harmless::json(&out)
}

fn total<'a>(card: &Card, mix: &'a Mix) -> LoadLine<'a> {
    let products = mix.products.iter();
    let products = products.map(|product| ProductFields::of(product, product.total));
    LoadLine {
        kind: "total",
        basis: mix.basis.word(),
        loads: mix.loads.iter().map(|load| load.count).sum(),
        is_full: None,
        area: Number::written(&card.area),
        fill: Number::measured(mix.total),
        products: products.collect(),
    }
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct CardLine<'a> {
    kind: &'static str,
    schema_version: u32,
    machine: &'a str,
    course: Option<&'a str>,
    setup: &'a str,
    date: String,
    basis: &'static str,
    refused: Vec<ReasonFields>,
    numbers: Option<NumbersFields>,
    stands_on: Vec<TestFields<'a>>,
    beside: Vec<String>,
    warnings: Vec<String>,
    not_known: Vec<&'static str>,
    cautions: Vec<&'static str>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct ReasonFields {
    says: String,
    to_do: String,
    place: Option<PlaceFields>,
}

/// The first character of what is at the place: one-based.
#[derive(Serialize)]
struct PlaceFields {
    path: String,
    line: u32,
    column: u32,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct NumbersFields {
    basis: &'static str,
    rate: Number,
    uncertainty: Option<Number>,
    told_by: Option<&'static str>,
    nominal_rate: Option<Number>,
    area: Number,
    tank: Number,
    area_of_tank: Number,
    works_at: WorksAtFields,
}

/// The speed is null where it is driven as in the last speed test.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct WorksAtFields {
    pressure: Option<Number>,
    speed: Option<Number>,
    as_driven: bool,
}

#[derive(Serialize)]
struct TestFields<'a> {
    step: &'a str,
    date: String,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct LoadLine<'a> {
    kind: &'static str,
    basis: &'static str,
    loads: u32,
    is_full: Option<bool>,
    area: Number,
    fill: Number,
    products: Vec<ProductFields<'a>>,
}

#[derive(Serialize)]
struct ProductFields<'a> {
    name: &'a str,
    rate: Number,
    amount: Number,
}

impl<'a> ProductFields<'a> {
    fn of(product: &'a MixedProduct, amount: Measured) -> Self {
        Self {
            name: &product.name,
            rate: Number::written(&product.rate),
            amount: Number::measured(amount),
        }
    }
}

impl WorksAtFields {
    fn of(works_at: &WorksAt) -> Self {
        Self {
            pressure: works_at.pressure.as_ref().map(Number::written),
            speed: works_at.speed.as_ref().map(Number::written),
            as_driven: works_at.as_driven,
        }
    }
}

#[derive(Serialize)]
struct Number {
    value: f64,
    unit: String,
}

impl Number {
    fn of(si: f64, unit: Unit) -> Self {
        Self {
            value: Quantity::in_unit(si, unit),
            unit: unit.to_string(),
        }
    }

    fn written(quantity: &Quantity) -> Self {
        Self {
            value: quantity.decimal.to_f64(),
            unit: quantity.unit.to_string(),
        }
    }

    fn measured(amount: Measured) -> Self {
        Self {
            value: amount.value(),
            unit: amount.unit.to_string(),
        }
    }
}

impl<'a> CardLine<'a> {
    fn new(card: &'a Card) -> Self {
        let mix = card.outcome.as_ref();
        let refusals = card.outcome.as_ref().err().into_iter().flatten();
        let refused = refusals.map(|refusal| {
            let against = against(refusal);
            let place = against.at.map(|at| {
                let RowPlace { path, line, column } = at;
                PlaceFields { path, line, column }
            });
            ReasonFields {
                says: against.says,
                to_do: against.to_do,
                place,
            }
        });
        let numbers = mix.ok().map(|mix| NumbersFields {
            basis: mix.basis.word(),
            rate: Number::of(mix.rate, mix.unit),
            uncertainty: mix.expanded.map(|expanded| Number::of(expanded, mix.unit)),
            told_by: card.told_by.filter(|_| mix.basis == Basis::Actual),
            nominal_rate: mix
                .beside
                .as_ref()
                .map(|beside| Number::written(&beside.nominal)),
            area: Number::written(&card.area),
            tank: Number::written(&card.tank),
            area_of_tank: Number::of(mix.area_of_tank, card.area.unit),
            works_at: WorksAtFields::of(&card.works_at),
        });
        let stands_on = card.stands_on.iter().map(|(step, day)| TestFields {
            step,
            date: dates::date(*day),
        });
        let is_mixed = mix.is_ok();
        let if_mixed = |lines: &[&'static str]| -> Vec<&'static str> {
            lines.iter().copied().filter(|_| is_mixed).collect()
        };
        let is_nominal = is_mixed && card.basis == Basis::Nominal;
        let nominal = is_nominal.then_some(NOMINAL).into_iter();
        Self {
            kind: "card",
            schema_version: SCHEMA_VERSION,
            machine: &card.machine,
            course: card.course.as_deref(),
            setup: &card.setup,
            date: dates::date(card.today),
            basis: card.basis.word(),
            refused: refused.collect(),
            numbers,
            stands_on: stands_on.collect(),
            beside: mix.map_or_else(|_| Vec::new(), |mix| beside(card, mix)),
            warnings: card.warnings.iter().map(warning).collect(),
            not_known: if_mixed(&NOT_KNOWN),
            cautions: nominal.chain(if_mixed(&CAUTIONS)).collect(),
        }
    }
}

//! A mixing card as comma-separated values (RFC 4180): one number a line, each with the rate it stands on.

use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::render::Harmless;
use crate::render::cell::{LINE_END, text};
use crate::render::format::{Format, nothing};
use crate::tank_mix::{Card, Measured, Mix};
use crate::wording::tank::{CAUTIONS, NOT_KNOWN, against, warning};
use crate::words::{dates, numbers};

/// The format.
pub(super) static FORMAT: Format<Card> = Format {
    name: "csv",
    about: "Comma-separated values, one line per number",
    write: |made, _| tank_csv(made),
    leaves_out: nothing,
};

/// One row, less what every row has.
#[derive(Default)]
struct Row {
    kind: &'static str,
    loads: String,
    product: String,
    quantity: String,
    unit: String,
    uncertainty: String,
    says: String,
}

/// One line a number, with a heading line; what a card refuses or warns of has a line without a number.
pub fn tank_csv(card: &Card) -> Harmless {
    let mut out =
        String::from("machine,setup,date,basis,kind,loads,product,quantity,unit,uncertainty,says");
    out.push_str(LINE_END);
    let rows = match &card.outcome {
        Ok(mix) => of_mix(card, mix),
        Err(refusals) => {
            let against = refusals.iter().map(against);
            let says = against.map(|against| format!("{}; do: {}", against.says, against.to_do));
            says.map(|says| said("refused", says)).collect()
        }
    };
    let warnings = card
        .warnings
        .iter()
        .map(|one| said("warning", warning(one)));
    let cautions = NOT_KNOWN.iter().chain(&CAUTIONS);
    let cautions = cautions.map(|caution| said("caution", (*caution).to_owned()));
    let cautions = cautions.filter(|_| card.outcome.is_ok());
    for row in rows.into_iter().chain(warnings).chain(cautions) {
        let cells = [
            text(&card.machine),
            text(&card.setup),
            dates::date(card.today),
            card.basis.word().to_owned(),
            row.kind.to_owned(),
            row.loads,
            text(&row.product),
            row.quantity,
            row.unit,
            row.uncertainty,
            text(&row.says),
        ];
        out.push_str(&cells.join(","));
        out.push_str(LINE_END);
    }
    Harmless::csv(&out)
}

fn said(kind: &'static str, says: String) -> Row {
    Row {
        kind,
        says,
        ..Row::default()
    }
}

/// So many significant digits of a computed value.
const DIGITS: usize = 5;

fn of(kind: &'static str, si: f64, unit: Unit) -> Row {
    Row {
        kind,
        quantity: numbers::significant(Quantity::in_unit(si, unit), DIGITS),
        unit: unit.to_string(),
        ..Row::default()
    }
}

fn written(kind: &'static str, quantity: Quantity) -> Row {
    Row {
        kind,
        quantity: quantity.decimal.to_string(),
        unit: quantity.unit.to_string(),
        ..Row::default()
    }
}

fn measured(kind: &'static str, amount: Measured) -> Row {
    let value = amount.value();
    Row {
        kind,
        quantity: numbers::number(value, numbers::decimals_needed(value, 3)),
        unit: amount.unit.to_string(),
        ..Row::default()
    }
}

fn of_mix(card: &Card, mix: &Mix) -> Vec<Row> {
    let in_unit = |si: f64| numbers::significant(Quantity::in_unit(si, mix.unit), 2);
    let mut rows = vec![
        Row {
            uncertainty: mix.expanded.map(in_unit).unwrap_or_default(),
            ..of("rate", mix.rate, mix.unit)
        },
        written("area", card.area),
        written("tank", card.tank),
        of("area-of-tank", mix.area_of_tank, card.area.unit),
    ];
    if let Some(beside) = &mix.beside {
        rows.push(written("nominal-rate", beside.nominal));
    }
    for (at, load) in mix.loads.iter().enumerate() {
        let loads = load.count.to_string();
        let mut push = |row: Row| {
            rows.push(Row {
                loads: loads.clone(),
                ..row
            });
        };
        push(of("load-area", load.area, card.area.unit));
        push(measured("load-fill", load.fill));
        for product in &mix.products {
            push(Row {
                product: product.name.clone(),
                ..measured("load-product", product.amounts[at])
            });
        }
    }
    rows.push(measured("total-fill", mix.total));
    for product in &mix.products {
        let of_product = |row: Row| Row {
            product: product.name.clone(),
            ..row
        };
        rows.push(of_product(written("product-rate", product.rate)));
        rows.push(of_product(measured("total-product", product.total)));
    }
    rows
}

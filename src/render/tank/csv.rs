//! A mixing card as comma-separated values (RFC 4180): one number or sentence a line, each with the rate it stands on.

use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::render::Harmless;
use crate::render::cell::{LINE_END, text};
use crate::render::format::{Format, nothing};
use crate::tank_mix::{Basis, Card, Measured, Mix};
use crate::wording::tank as wording;
use crate::words::{dates, numbers};

/// The format.
pub(super) static FORMAT: Format<Card> = Format {
    name: "csv",
    about: "Comma-separated values, one line per number or sentence",
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

/// One line a number, with a heading line; what a card says in words has a line without a number.
pub fn tank_csv(card: &Card) -> Harmless {
    let mut out =
        String::from("machine,setup,date,basis,kind,loads,product,quantity,unit,uncertainty,says");
    out.push_str(LINE_END);
    let rows = match &card.outcome {
        Ok(mix) => of_mix(card, mix),
        Err(refusals) => {
            let against = refusals.iter().map(wording::against);
            against.map(|one| said("refused", refused(&one))).collect()
        }
    };
    let warnings = card.warnings.iter();
    let warnings = warnings.map(|one| said("warning", wording::warning(one)));
    for row in rows.into_iter().chain(warnings).chain(cautions(card)) {
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

fn refused(against: &wording::Against) -> String {
    let place = against.at.as_ref().map(wording::place);
    let place = place.map_or_else(String::new, |place| format!("; {place}"));
    format!("{}; do: {}{place}", against.says, against.to_do)
}

/// What holds for every card with numbers.
fn cautions(card: &Card) -> impl Iterator<Item = Row> {
    let nominal = (card.basis == Basis::Nominal).then_some(&wording::NOMINAL);
    let all = nominal.into_iter().chain(&wording::NOT_KNOWN);
    let all = all.chain(&wording::CAUTIONS);
    let all = all.filter(|_| card.outcome.is_ok());
    all.map(|caution| said("caution", (*caution).to_owned()))
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
    let told_by = card.told_by.filter(|_| mix.basis == Basis::Actual);
    let in_unit = |si: f64| numbers::significant(Quantity::in_unit(si, mix.unit), 2);
    let mut rows = vec![
        Row {
            uncertainty: mix.expanded.map(in_unit).unwrap_or_default(),
            says: told_by.unwrap_or_default().to_owned(),
            ..of("rate", mix.rate, mix.unit)
        },
        written("area", card.area),
        written("tank", card.tank),
        of("area-of-tank", mix.area_of_tank, card.area.unit),
    ];
    rows.extend(works_at(card));
    let tests = wording::last_tests(card).into_iter();
    rows.extend(tests.map(|test| said("last-test", test)));
    rows.extend(beside(card, mix));
    rows.extend(of_loads(card, mix));
    rows
}

/// Where to spray.
fn works_at(card: &Card) -> impl Iterator<Item = Row> {
    let works_at = card.works_at;
    let pressure = works_at.pressure.map(|one| written("pressure", one));
    let speed = works_at.speed.map(|one| written("speed", one));
    let as_driven = works_at.as_driven;
    let as_driven = as_driven.then(|| said("as-driven", wording::AS_DRIVEN.to_owned()));
    [pressure, speed, as_driven].into_iter().flatten()
}

/// The nominal rate, and what comes of mixing for it.
fn beside(card: &Card, mix: &Mix) -> impl Iterator<Item = Row> {
    let beside = mix.beside.as_ref();
    let nominal = beside.map(|beside| written("nominal-rate", beside.nominal));
    let says = wording::beside(card, mix).into_iter();
    let says = says.map(|says| said("nominal-beside-actual", says));
    nominal.into_iter().chain(says)
}

fn of_loads(card: &Card, mix: &Mix) -> Vec<Row> {
    let mut rows = Vec::new();
    for (at, load) in mix.loads.iter().enumerate() {
        let loads = load.count.to_string();
        let mut push = |row: Row| {
            rows.push(Row {
                loads: loads.clone(),
                ..row
            });
        };
        push(of("load-area", load.area, card.area.unit));
        push(Row {
            says: wording::load(load, mix),
            ..measured("load-fill", load.fill)
        });
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

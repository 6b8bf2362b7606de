//! Readings beside the most that what they were read with can show: a jug's capacity, a gauge's span, the tank.

use super::instrument::{Bench, Used, gauge_span};
use super::shown::Shown;
use crate::figure::primitive::What;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::record::Calibration;
use crate::record::calibration::{CatchTest, Reading, Readings, SectionReadings};
use crate::record::instrument::Purpose;
use crate::record::machine::Machine;
use crate::source::{Placed, Spanned};
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::iter;

/// A reading beside the most there can be.
#[derive(Debug, Clone)]
pub struct Bounded {
    /// The reading.
    pub read: Shown,
    /// The most there can be.
    pub most: Shown,
    /// The instrument's name; none where nobody declared it, or for a tank.
    pub name: Option<String>,
    /// Whether the most is declared in a file.
    pub is_declared: bool,
}

/// What a visit read that cannot be more than something, the highest reading of each.
#[derive(Debug, Default)]
pub struct Bounds {
    /// What was caught in each jug.
    pub jugs: Vec<Bounded>,
    /// The pressures read on each gauge.
    pub gauges: Vec<Bounded>,
    /// The volume of a meter test, and the tank's.
    pub known_volume: Vec<Bounded>,
}

pub(super) fn bounds(
    bench: &mut Bench<'_>,
    calibration: &Calibration,
    machine: &Machine,
) -> Bounds {
    let file = calibration.file;
    Bounds {
        jugs: jugs(bench, calibration),
        gauges: gauges(bench, calibration),
        known_volume: {
            let volumes = calibration.meter_tests.iter();
            let volumes = volumes.filter_map(|test| test.known_volume);
            let volumes = volumes.filter(|volume| volume.value.dimension() == Dimension::VOLUME);
            let highest = volumes.max_by(|one, other| by_value(&one.value, &other.value));
            let read = highest.map(|volume| volume.in_file(file));
            let filled = read.and_then(|read| of_tank(bench, read, machine));
            filled.into_iter().collect()
        },
    }
}

/// A volume beside the tank's; none where the machine's file does not tell the tank's.
pub(in crate::figure) fn of_tank(
    bench: &mut Bench<'_>,
    read: Placed<Quantity>,
    machine: &Machine,
) -> Option<Bounded> {
    let tank = machine.tank?;
    Some(Bounded {
        read: declared(bench, read),
        most: declared(bench, tank),
        name: None,
        is_declared: true,
    })
}

/// The highest reading of each jug whose capacity is declared.
fn jugs(bench: &mut Bench<'_>, calibration: &Calibration) -> Vec<Bounded> {
    let mut highest: BTreeMap<String, (Placed<Quantity>, Placed<Quantity>)> = BTreeMap::new();
    for test in &calibration.catch_tests {
        let Some(unit) = test.unit else { continue };
        let jug = bench.used(Purpose::Jug, test.jug.as_ref());
        let (Some(capacity), Dimension::VOLUME) = (jug.capacity(), unit.value.dimension()) else {
            continue;
        };
        let Used {
            name: Some(name), ..
        } = jug
        else {
            continue;
        };
        for decimal in caught(test) {
            let value = Quantity {
                decimal: decimal.value,
                unit: unit.value,
            };
            let span = decimal.span;
            let read = Spanned { value, span }.in_file(calibration.file);
            let known = highest.entry(name.clone()).or_insert((read, capacity));
            if by_value(&known.0.value, &value).is_lt() {
                known.0 = read;
            }
        }
    }
    let highest = highest.into_iter();
    highest
        .map(|(name, (read, capacity))| Bounded {
            read: declared(bench, read),
            most: declared(bench, capacity),
            name: Some(name),
            is_declared: true,
        })
        .collect()
}

/// Every amount that was caught in a test.
fn caught(test: &CatchTest) -> Vec<Spanned<Decimal>> {
    let cells = match test.caught.as_ref().map(|caught| &caught.readings) {
        None => Vec::new(),
        Some(Readings::Flat(cells)) => cells.iter().collect(),
        Some(Readings::BySection(sections)) => sections
            .iter()
            .flat_map(|(_, readings)| match readings {
                SectionReadings::All(cells) => cells.iter().collect::<Vec<_>>(),
                SectionReadings::Some(cells) => cells.iter().map(|(_, cell)| cell).collect(),
            })
            .collect(),
    };
    let readings = cells.into_iter().flat_map(|cell| cell.readings.iter());
    let amounts = readings.filter_map(|reading| match reading {
        Reading::Caught(decimal) => Some(*decimal),
        Reading::Missed(_) | Reading::Unreadable(_) => None,
    });
    amounts.collect()
}

/// The highest pressure read on each gauge; one that is not declared has the span that is assumed of it.
fn gauges(bench: &mut Bench<'_>, calibration: &Calibration) -> Vec<Bounded> {
    let mut highest: BTreeMap<Option<String>, Highest> = BTreeMap::new();
    for (gauge, read) in pressures(calibration) {
        let used = bench.used(Purpose::Gauge, gauge);
        let span = used.span();
        if used.declared.is_some() && span.is_none() {
            continue; // It is declared, and nobody knows to what.
        }
        let read = read.in_file(calibration.file);
        let name = used.declared.and(used.name);
        let known = highest.entry(name).or_insert(Highest { read, span });
        if by_value(&known.read.value, &read.value).is_lt() {
            known.read = read;
        }
    }
    let highest = highest.into_iter();
    highest
        .filter_map(|(name, Highest { read, span })| {
            let read = declared(bench, read);
            let most = if let Some(span) = span {
                declared(bench, span)
            } else {
                let quantity = gauge_span()?;
                Shown {
                    quantity,
                    id: bench.primitives.standard(What::Declared, quantity),
                    place: read.place,
                }
            };
            Some(Bounded {
                read,
                most,
                name,
                is_declared: span.is_some(),
            })
        })
        .collect()
}

/// The highest reading of a gauge, with its span where that is declared.
struct Highest {
    read: Placed<Quantity>,
    span: Option<Placed<Quantity>>,
}

/// Every pressure of a visit, with the gauge it names.
fn pressures(
    calibration: &Calibration,
) -> impl Iterator<Item = (Option<&Spanned<String>>, Spanned<Quantity>)> {
    let catches = calibration.catch_tests.iter();
    let caught = catches.filter_map(|test| Some((test.gauge.as_ref(), test.pressure?)));
    let boom_end_gauge = calibration.boom_end_gauge.as_ref();
    let boom_end = calibration.boom_end_pressure;
    let boom_end = boom_end.map(|read| (boom_end_gauge, read));
    let balance = calibration.section_balance.iter().flat_map(|balance| {
        let off = balance.sections_off.iter();
        let off = off.flat_map(|test| [test.as_found, test.as_left]);
        let all = iter::once(balance.all_on).chain(off).flatten();
        let pressures = all.filter(|read| read.value.dimension() == Dimension::PRESSURE);
        pressures.map(|read| (balance.gauge.as_ref(), read))
    });
    caught.chain(boom_end).chain(balance)
}

fn declared(bench: &mut Bench<'_>, read: Placed<Quantity>) -> Shown {
    Shown {
        quantity: read.value,
        id: bench.declared(read.value, read.place),
        place: read.place,
    }
}

fn by_value(one: &Quantity, other: &Quantity) -> Ordering {
    one.si().total_cmp(&other.si())
}

//! Mixes held to published examples and to their own sums.

use super::{product, quantity};
use proptest::prelude::*;
use std::collections::BTreeMap;
use swathlint::quantity::Quantity;
use swathlint::quantity::unit::Unit;
use swathlint::tank_mix::{Actual, Job, Mix, MixedAt, Product, Refused, shares};

fn mixed(job: &Job<'_>) -> Mix {
    job.mix().unwrap().unwrap().0
}

/// A row of published numbers as the job that it is of.
fn published(inputs: &BTreeMap<&str, &str>) -> Mix {
    let rate = quantity(inputs["rate"]);
    let products = [product("product", inputs["product"], None)];
    mixed(&Job {
        area: quantity(inputs["area"]),
        tank: quantity(inputs["tank"]),
        products: &products,
        equal_loads: false,
        rate: MixedAt::Actual {
            actual: Actual {
                value: rate.si(),
                expanded: 0.0,
                unit: rate.unit,
            },
            nominal: None,
        },
    })
}

#[test]
fn mixes_agree_with_what_is_printed_and_disagree_with_its_traps() {
    let table = include_str!("../../published/tank-mix.csv");
    let mut lines = table.lines();
    let header = "what,inputs,printed,unit,tolerance,agrees,mark,source,title,note";
    assert_eq!(lines.next(), Some(header));
    let (mut rows, mut traps) = (0, 0);
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        let [
            what,
            inputs,
            printed,
            unit,
            tolerance,
            agrees,
            mark,
            source,
            ..,
        ] = cells[..]
        else {
            panic!("{line}");
        };
        assert_eq!(cells.len(), 10, "{line}");
        assert!(
            ["seen", "computed"].contains(&mark) && !source.is_empty(),
            "{line}"
        );
        let inputs = inputs
            .split("; ")
            .map(|input| input.split_once('=').unwrap());
        let mix = published(&inputs.collect());
        let product = &mix.products[0];
        let si = match what {
            "product-of-full-load" => product.amounts[0].si(),
            "product-of-job" => product.needed,
            "volume-of-job" => mix
                .loads
                .iter()
                .map(|load| f64::from(load.count) * load.needed)
                .sum(),
            "area-of-full-load" => mix.area_of_tank,
            "loads-of-job" => f64::from(mix.loads.iter().map(|load| load.count).sum::<u32>()),
            other => panic!("{other}"),
        };
        let unit = if unit.is_empty() {
            Unit::ONE
        } else {
            Unit::parse(unit, &[]).unwrap()
        };
        let places = printed
            .split_once('.')
            .map_or(0, |(_, places)| places.len());
        let half = (0..places).fold(0.5, |half, _| half / 10.0);
        let tolerance = tolerance.parse().unwrap_or(half) * (1.0 + 1e-9);
        let found = Quantity::in_unit(si, unit);
        let is_near = (found - printed.parse::<f64>().unwrap()).abs() <= tolerance;
        assert_eq!(is_near, agrees == "yes", "found {found}: {line}");
        rows += 1;
        traps += usize::from(agrees == "no");
    }
    assert!(rows > 12 && traps > 0, "{rows} rows, {traps} traps");
}

const RATES: [&str; 8] = [
    "fl oz/acre",
    "fl oz/1000 ft2",
    "L/ha",
    "kg/ha",
    "lb/acre",
    "pt/acre",
    "wt oz/1000 ft2",
    "imp fl oz/acre",
];

fn number(value: f64, unit: &str) -> Quantity {
    quantity(&format!("{value:.3} {unit}"))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Of all loads together: area, water and products; rounded amounts add up, and no load is over its rate.
    #[test]
    fn loads_add_up_and_are_never_over(
        area in 0.05_f64..60.0, rate in 12.0_f64..90.0, tank in 20.0_f64..400.0, equal: bool,
        of_product in 0.5_f64..60.0, unit in 0_usize..RATES.len(), uncertainty in 0.0_f64..0.1,
    ) {
        let rate = number(rate, "gal/acre");
        let unit = RATES[unit];
        let of_product = if unit.contains("1000") { of_product / 43.56 } else { of_product };
        let products = [Product {
            name: "x".to_owned(), rate: number(of_product.max(0.02), unit), labels: Vec::new(),
        }];
        let job = Job {
            area: number(area, "acres"),
            tank: number(tank, "gal"),
            products: &products,
            equal_loads: equal,
            rate: MixedAt::Actual {
                actual: Actual { value: rate.si(), expanded: uncertainty * rate.si(), unit: rate.unit },
                nominal: Some(number(40.0, "gal/acre")),
            },
        };
        let mix = match job.mix().unwrap() {
            Ok((mix, _)) => mix,
            Err(refused) => {
                prop_assert!(matches!(&refused[..], [Refused::TooLittle { product, .. }] if product == "x"), "{refused:?}");
                return Ok(());
            }
        };
        let near = |one: f64, other: f64| (one - other).abs() <= 1e-9 * other.abs();
        let sum = |of: &dyn Fn(&swathlint::tank_mix::Load) -> f64| -> f64 {
            mix.loads.iter().map(|load| f64::from(load.count) * of(load)).sum()
        };
        let (area, tank) = (job.area.si(), job.tank.si());
        prop_assert!(near(sum(&|load| load.area), area));
        prop_assert!(near(sum(&|load| load.needed), area * rate.si()));
        let product = &mix.products[0];
        prop_assert!(near(product.needed, area * products[0].rate.si()));
        let mut thousandths = 0;
        let mut fill = 0;
        for (load, amount) in mix.loads.iter().zip(&product.amounts) {
            thousandths += amount.thousandths() * u64::from(load.count);
            fill += load.fill.thousandths() * u64::from(load.count);
            let exact = products[0].rate.si() * load.area;
            prop_assert!(amount.si() <= exact * (1.0 + 1e-9), "rounded up");
            // Concentration times rate: what goes on an area is never more than was asked for.
            if !load.is_full {
                prop_assert!(load.needed * (1.0 - 1e-9) <= load.fill.si());
            }
            prop_assert!(load.fill.si() <= tank * (1.0 + 1e-9));
            prop_assert!(load.needed <= tank * (1.0 + 1e-9));
        }
        prop_assert_eq!(thousandths, product.total.thousandths());
        prop_assert_eq!(fill, mix.total.thousandths());
        if equal {
            prop_assert_eq!(mix.loads.len(), 1);
        }
    }

    /// Whatever a label allows, a card either keeps to it or has no number; the nominal rate makes no difference.
    #[test]
    fn no_card_is_over_a_label(
        of_product in 1_u32..60, max in 1_u32..60, actual in 30.0_f64..50.0, nominal: bool, knows_actual: bool,
    ) {
        let rate = format!("{of_product} fl oz/acre");
        let most = format!("{max} fl oz/acre");
        let products = [product("x", &rate, Some(&most)), product("y", "1 fl oz/acre", None)];
        let actual = number(actual, "gal/acre");
        let (meant, measured) = (quantity("40 gal/acre"), Actual {
            value: actual.si(), expanded: 0.0, unit: actual.unit,
        });
        let job = Job {
            area: quantity("9 acres"),
            tank: quantity("140 gal"),
            products: &products,
            equal_loads: false,
            rate: if nominal {
                MixedAt::Nominal { nominal: meant, actual: knows_actual.then_some(measured) }
            } else {
                MixedAt::Actual { actual: measured, nominal: Some(meant) }
            },
        };
        let on_ground = match (nominal, knows_actual) {
            (true, true) => f64::from(of_product) * (actual.si() / quantity("40 gal/acre").si()),
            _ => f64::from(of_product),
        };
        let is_over = max < of_product || f64::from(max) * (1.0 + 1e-9) < on_ground;
        match job.mix().unwrap() {
            Ok((mix, _)) => {
                prop_assert!(!is_over);
                for (load, amount) in mix.loads.iter().zip(&mix.products[0].amounts) {
                    let most = quantity(&most).si() * load.area;
                    prop_assert!(amount.si() <= most * (1.0 + 1e-9));
                }
            }
            // The part load may be a splash.
            Err(refused) if refused.iter().all(|one| matches!(one, Refused::TooLittle { .. })) => {
                prop_assert!(!is_over);
            }
            Err(refused) => {
                prop_assert!(is_over, "{refused:?}");
                prop_assert!(matches!(refused[..], [Refused::OverLabel(_) | Refused::OverLabelOnGround(_)]));
            }
        }
    }

    #[test]
    fn no_numbers_make_it_panic(area: f64, rate: f64, tank: f64, equal: bool) {
        if let Some(shares) = shares(area, rate, tank, equal) {
            prop_assert!(shares.iter().all(|share| share.area.is_finite() && share.count > 0));
        }
    }
}

//! A mixing card in words.

use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::report::RowPlace;
use crate::tank_mix::{
    Basis, COARSE, Card, LabelFrom, Leftover, Load, Measured, Mix, NoActual, OverLabel, Refusal,
    Refused, SMALL_LOAD, StepTold, Unknown, Warning, WorksAt,
};
use crate::words::{dates, numbers, phrases};

/// What whoever mixes takes care of; common practice, no source.
pub static CAUTIONS: [&str; 8] = [
    "the label is the law: it goes before this card. Read it again before you mix",
    "the certified applicator in charge and local rules decide whether to spray, what, and how much",
    "wear the protective gear that the label requires, while you mix too",
    "mix in the order that the labels give, and only products that their labels let go together",
    "begin each load with clean water, half of what it is filled up to, with the agitation on; then the products, then water up to its mark",
    "mix on the wash-down or mixing pad, away from wells and drains, and keep water from flowing back into the supply",
    "use a jug and a scale kept for products alone; rinse them and the empty containers into the tank",
    "mix only what you spray on the day; put what is left only where the label allows",
];

/// What a card does not know; common practice, no source.
pub static NOT_KNOWN: [&str; 2] = [
    "what stays in the sump, the pump, and the lines is not in these numbers: nobody has recorded it",
    "the fill marks hold for mix in an empty, level tank, with the products in it",
];

/// Of a nominal card.
pub static NOMINAL: &str = "every number of this card is for the setup's own rate. Do not spray by it until the machine is ready";

/// How a speed is kept that the operator drives.
pub static AS_DRIVEN: &str = "in the gear and at the throttle of the last speed test";

/// Why there is no quantity, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Against {
    /// What speaks against it.
    pub says: String,
    /// What to do, beginning with a verb.
    pub to_do: String,
    /// The line that makes it so.
    pub at: Option<RowPlace>,
}

/// A volume, an area or a rate in SI units, to four significant digits at most.
fn about(si: f64, unit: Unit) -> String {
    let value = Quantity::in_unit(si, unit);
    let decimals = numbers::decimals_for(None, None, value, &[]);
    unit.behind(&numbers::number(value, decimals))
}

/// The same to two digits: the difference of two numbers that are nearly alike.
fn roughly(si: f64, unit: Unit) -> String {
    let value = Quantity::in_unit(si, unit);
    unit.behind(&numbers::significant(value, 2))
}

/// An area in the unit that was asked for.
pub fn area(square_meters: f64, card: &Card) -> String {
    about(square_meters, card.area.unit)
}

/// A rate with its uncertainty, where it has one.
pub fn rate(mix: &Mix) -> String {
    let value = Quantity::in_unit(mix.rate, mix.unit);
    let expanded = mix.expanded.map(|one| Quantity::in_unit(one, mix.unit));
    let decimals = numbers::decimals_for(expanded, None, value, &[]);
    let number = match expanded {
        Some(expanded) => numbers::with_uncertainty(value, expanded, decimals),
        None => numbers::number(value, decimals),
    };
    mix.unit.behind(&number)
}

/// An amount that is measured out: `138 fl oz (1 gal 10 fl oz)`, `2.15 L`.
pub fn measured(amount: Measured) -> String {
    let value = amount.value();
    match amount.unit {
        Unit::MILLILITER if 1_000.0 <= value => return printed(value / 1_000.0, Unit::LITER),
        Unit::GRAM if 1_000.0 <= value => return printed(value / 1_000.0, Unit::KILOGRAM),
        _ => {}
    }
    let Some((unit, larger)) = amount.unit.counted_up() else {
        return printed(value, amount.unit);
    };
    let whole = amount.thousandths() / (larger * 1_000);
    let shown = printed(value, amount.unit);
    if whole == 0 {
        return shown;
    }
    let whole = unit.behind(&whole.to_string());
    let rest = amount.less_whole(larger);
    if rest.is_zero() {
        format!("{shown} ({whole})")
    } else {
        format!("{shown} ({whole} {})", printed(rest.value(), amount.unit))
    }
}

fn printed(value: f64, unit: Unit) -> String {
    let decimals = numbers::decimals_needed(value, 3);
    unit.behind(&numbers::number(value, decimals))
}

/// Where to spray: at which pressure and speed, or as the speed test was driven; none where the records do not say.
pub fn spray_at(card: &Card) -> Option<String> {
    let WorksAt {
        pressure,
        speed,
        as_driven,
    } = card.works_at;
    let set = [pressure, speed].into_iter().flatten();
    let set: Vec<String> = set
        .map(|one| marked(&one.to_string(), card.basis))
        .collect();
    let at = (!set.is_empty()).then(|| format!("at the setup's {}", phrases::list(&set, "and")));
    let driven = as_driven.then(|| AS_DRIVEN.to_owned());
    let both: Vec<String> = at.into_iter().chain(driven).collect();
    (!both.is_empty()).then(|| format!("spray {}", both.join(", ")))
}

/// Each test that the actual rate stands on, with its day.
pub fn last_tests(card: &Card) -> Vec<String> {
    let done = card.stands_on.iter();
    done.map(|(step, day)| format!("{step} {}", dates::date(*day)))
        .collect()
}

/// A place that a reason stands on.
pub fn place(at: &RowPlace) -> String {
    format!("at {}:{}:{}", at.path, at.line, at.column)
}

/// What a load of a mix is called: `2 full loads`, `1 part load`, and `3 loads` where none is full.
pub fn load(load: &Load, mix: &Mix) -> String {
    let noun = match (load.is_full, mix.loads.len()) {
        (true, _) => "full load",
        (false, 1) => "load",
        (false, _) => "part load",
    };
    phrases::plural(load.count as usize, noun)
}

/// What the nominal rate is beside the actual one, and what comes of mixing for it; nothing where both are not known.
pub fn beside(card: &Card, mix: &Mix) -> Vec<String> {
    let Some(beside) = &mix.beside else {
        return Vec::new();
    };
    let off = numbers::signed_percent(beside.off, 1);
    let mut said = vec![format!(
        "the nominal rate is {}; the actual rate is {off} off it",
        beside.nominal
    )];
    let on_area = beside.products.iter().map(|product| {
        let per_area = about(product.per_area, product.unit);
        let over = if product.is_over_label {
            ", over the label maximum"
        } else {
            ""
        };
        format!("{per_area} of {}{over}", phrases::name(&product.name))
    });
    let on_area: Vec<String> = on_area.collect();
    let tank = about(beside.area_of_tank, card.area.unit);
    let mut mixed =
        format!("mixed for the nominal rate, a full tank would have product for {tank}");
    if !on_area.is_empty() {
        let on_area = phrases::list(&on_area, "and");
        mixed = format!("{mixed} and put on {on_area}");
    }
    said.push(mixed);
    said.push(match beside.leftover {
        Leftover::Mix(volume) => {
            let volume = roughly(volume, card.tank.unit.of_tank());
            format!("of a job mixed for the nominal rate, about {volume} would be left over")
        }
        Leftover::Area(left) => {
            let left = roughly(left, card.area.unit);
            format!("a job mixed for the nominal rate would run out about {left} early")
        }
    });
    said
}

/// Why there is no quantity.
pub fn against(refusal: &Refusal) -> Against {
    match refusal {
        Refusal::NotReady(step) => Against {
            says: step_says(step),
            to_do: step.to_do.clone().unwrap_or_else(|| {
                format!("do the {} and merge its record, then ask again", step.name)
            }),
            at: step.at.clone(),
        },
        Refusal::NotKnown(Unknown::Unread(at)) => Against {
            says: "a record that cannot be read may be the latest, so nobody knows whether the machine is ready".to_owned(),
            to_do: "run `swathlint check` and correct the record".to_owned(),
            at: Some(at.clone()),
        },
        Refusal::NotKnown(Unknown::ErrorSince(at)) => Against {
            says: "a record of this machine has an error since its last tests, so what it says may not count".to_owned(),
            to_do: "run `swathlint check` and correct the record".to_owned(),
            at: Some(at.clone()),
        },
        Refusal::NotKnown(Unknown::UnreadLabel { product, path }) => Against {
            says: format!("{path} has an error and names {}: its label maximum may not count", phrases::name(product)),
            to_do: "run `swathlint check` and correct the record. Or read the label, and give its maximum with --label-max".to_owned(),
            at: None,
        },
        Refusal::SumOff(at) => Against {
            says: "the setup's tips, pressure, speed, and rate do not fit each other".to_owned(),
            to_do: "run `swathlint settings` for this machine. Correct the machine file, then ask again".to_owned(),
            at: Some(at.clone()),
        },
        Refusal::NotKnown(Unknown::Unsaid { steps, keys }) => Against {
            says: format!(
                "the machine file does not say whether the machine has a {}",
                phrases::list(steps, "or a")
            ),
            to_do: format!("add {} to the machine file", phrases::list(keys, "and")),
            at: None,
        },
        Refusal::NoActual(why) => Against {
            says: match why {
                NoActual::NotTested => "no test on record tells the actual rate of the setup as it is declared now",
                NoActual::NotDeclared => "the setup has no rate, and no test on record tells the actual one",
            }
            .to_owned(),
            to_do: "do the calibration of this setup and merge its record, then ask again".to_owned(),
            at: None,
        },
        Refusal::Mix(refused) => mix_refused(refused),
    }
}

fn mix_refused(refused: &Refused) -> Against {
    let (says, to_do) = match refused {
        Refused::OverLabel(over) => (
            format!(
                "the rate of {} is over its label maximum of {}",
                phrases::name(&over.product),
                label(over)
            ),
            match &over.from {
                LabelFrom::Asked => format!("lower the rate to {} or less", over.max),
                LabelFrom::Record { .. } => format!(
                    "read the label. Lower the rate to {} or less; if this is another product, give it a name of its own",
                    over.max
                ),
            },
        ),
        Refused::OverLabelOnGround(over) => (
            format!(
                "mixed for the nominal rate, {} would go on over its label maximum of {} at the actual rate last measured",
                phrases::name(&over.product),
                label(over)
            ),
            "calibrate and mix for the actual rate, or lower the rate of the product".to_owned(),
        ),
        Refused::FillsTank => (
            "the products alone would fill a load, or weigh more than its water can carry"
                .to_owned(),
            "check the units of the products' rates".to_owned(),
        ),
        Refused::TooLittle {
            product,
            is_enough_in_equal_loads,
        } => (
            format!(
                "a load takes less of {} than a jug or a scale can be read to",
                phrases::name(product)
            ),
            if *is_enough_in_equal_loads {
                "add --equal-loads: the part load is too small"
            } else {
                "check the unit of its rate and of the area"
            }
            .to_owned(),
        ),
    };
    Against {
        says,
        to_do,
        at: None,
    }
}

/// A label's maximum with where it comes from; another label is another product.
fn label(over: &OverLabel) -> String {
    match &over.from {
        LabelFrom::Asked => over.max.to_string(),
        LabelFrom::Record { day, path } => {
            format!(
                "{} (on record since {}, {path})",
                over.max,
                dates::date(*day)
            )
        }
    }
}

fn step_says(step: &StepTold) -> String {
    format!("{} {}: {}", step.name, step.state.word(), step.because)
}

/// What is to be said beside a card.
pub fn warning(warning: &Warning) -> String {
    match warning {
        Warning::Despite(refusal) => {
            let Against { says, to_do, .. } = against(refusal);
            format!("not ready to spray, {says}. Do first: {to_do}")
        }
        Warning::Due(step) => step_says(step),
        Warning::Waived { step, waivers } => {
            let waivers = waivers.iter().map(|(reason, until)| {
                let reason = reason.as_deref().unwrap_or("without a reason");
                match until {
                    Some(until) => format!("{reason}, until {}", dates::date(*until)),
                    None => reason.to_owned(),
                }
            });
            let waivers: Vec<String> = waivers.collect();
            let waivers = phrases::list(&waivers, "and");
            format!("{}. Waived: {waivers}. The waived problem remains", step_says(step))
        }
        Warning::NotCounted(says) => format!("{says}; this card stands on an older test"),
        Warning::HoursUnread(steps) => format!(
            "nothing counts the hours of use since the {}: read the hour meter",
            phrases::list(steps, "and the")
        ),
        Warning::PartTested => {
            "part of the actual rate is taken as declared, not tested; the uncertainty allows for it".to_owned()
        }
        Warning::LaidUp(until) => {
            format!("the machine is laid up until {}", dates::date(*until))
        }
        Warning::Found { errors, warnings } => {
            let count = |count: usize, noun| (0 < count).then(|| phrases::plural(count, noun));
            let found = [count(*errors, "error"), count(*warnings, "warning")];
            let found: Vec<String> = found.into_iter().flatten().collect();
            let found = phrases::list(&found, "and");
            format!("the records of this machine have {found}: read them with `swathlint check`")
        }
        Warning::OtherTank { in_file, is_larger } => {
            let larger = if *is_larger { ", which is less" } else { "" };
            format!("the machine file has a tank of {in_file}{larger}")
        }
        Warning::NoMaximum { product } => {
            let product = phrases::name(product);
            format!("no label maximum of {product} is known: it is not checked. Add --label-max")
        }
        Warning::UnlikeRecord { product, path } => format!(
            "{path} has the label of {} by weight for volume, or the other way around: not checked",
            phrases::name(product)
        ),
        Warning::OtherLabel { product, max, path } => format!(
            "{path} has a label maximum of {max} for {}, below this rate: read the label",
            phrases::name(product)
        ),
        Warning::LaterRecords(count) => format!(
            "{} of this machine of later days left out: they may make it not ready",
            phrases::plural(*count, "record")
        ),
        Warning::NotHeldAgainstActual { product, max } => format!(
            "what goes on of {} is not checked against its label maximum of {max}: the actual rate is not known",
            phrases::name(product)
        ),
        Warning::MayExceed {
            product,
            up_to,
            unit,
            max,
        } => format!(
            "with the uncertainty of the actual rate, up to {} of {} may go on; the label maximum is {max}",
            about(*up_to, *unit),
            phrases::name(product)
        ),
        Warning::UnderLabel { product, rate, min } => format!(
            "{rate} of {} is under its label minimum of {min}",
            phrases::name(product)
        ),
        Warning::Coarse { product } => format!(
            "a load takes so little of {} that rounding down leaves out more than {}: measure it finer",
            phrases::name(product),
            numbers::percent(COARSE, 0)
        ),
        Warning::SmallLoad { is_beside_full } => {
            let help = if *is_beside_full {
                "See --equal-loads"
            } else {
                "Add area to the job, or use a smaller sprayer"
            };
            let least = numbers::percent(SMALL_LOAD, 0);
            format!("a load is less than {least} of the tank: the pump may not take it up or stir it. {help}")
        }
    }
}

/// A number as it is marked in every format that has words: nothing of a nominal card is taken for a calibrated one.
pub fn marked(number: &str, basis: Basis) -> String {
    match basis {
        Basis::Actual => number.to_owned(),
        Basis::Nominal => format!("{number} (nominal)"),
    }
}

//! `tank`: the mixing card before a job.

use super::also_write::{self, Target};
use super::args::TankArguments;
use super::exit::{EXIT_CLEAN, EXIT_FINDINGS};
use super::failure::CannotCheck;
use super::given::Given;
use super::root::Scope;
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::tank_mix::{Asked, CannotMix, Card, Label, LabelFrom, Product};
use crate::words::spelling;
use jiff::civil::Date;

/// What a rate of a product, and of its label, may be: by volume or by weight.
const RATES: [Dimension; 2] = [Dimension::RATE, Dimension::WEIGHED_RATE];

/// The card of a job, and the files to write it to.
pub(super) fn card(
    arguments: &TankArguments,
    today: Date,
) -> Result<(Card, Vec<Target<Card>>), CannotCheck> {
    let asked = asked(arguments)?;
    let scope = Scope::find(&[])?;
    let given = Given::folder(&scope);
    let targets = also_write::targets(&arguments.also_write, &scope.root)?;
    if let Some(failure) = given.failures().first() {
        return Err(cannot(&CannotMix::NotRead {
            path: failure.path.clone(),
            reason: failure.reason.clone(),
        }));
    }
    let read = |path: &str| given.read(path);
    let today = arguments.today.unwrap_or(today);
    let card = crate::projection::tank(given.listing(), &read, today, &asked);
    Ok((card.map_err(|because| cannot(&because))?, targets))
}

/// A refused card fails, whatever it is asked for.
pub(super) fn exit_code(card: &Card) -> u8 {
    match card.outcome {
        Ok(_) => EXIT_CLEAN,
        Err(_) => EXIT_FINDINGS,
    }
}

fn cannot(cannot: &CannotMix) -> CannotCheck {
    CannotCheck::Asked {
        message: cannot.to_string(),
        help: cannot.help(),
    }
}

fn asked(arguments: &TankArguments) -> Result<Asked, CannotCheck> {
    let mut products = Vec::new();
    for (name, rate) in pairs(&arguments.products) {
        if name.trim().is_empty() {
            return Err(CannotCheck::Asked {
                message: "a product has no name".to_owned(),
                help: "write --product NAME RATE, as in --product iron '3 fl oz/1000 ft2'"
                    .to_owned(),
            });
        }
        products.push(Product {
            name: name.clone(),
            rate: rate_of("--product", name, rate)?,
            labels: Vec::new(),
        });
    }
    let limits = [
        ("--label-max", &arguments.label_max),
        ("--label-min", &arguments.label_min),
    ];
    for (option, given) in limits {
        for (name, rate) in pairs(given) {
            let limit = rate_of(option, name, rate)?;
            let product = named(&mut products, option, name)?;
            let (min, max) = match option {
                "--label-max" => (None, Some(limit)),
                _ => (Some(limit), None),
            };
            set(product, option, min, max)?;
        }
    }
    Ok(Asked {
        machine: arguments.machine.clone(),
        setup: arguments.setup.clone(),
        area: arguments.area,
        tank: arguments.tank,
        products,
        equal_loads: arguments.equal_loads,
        nominal: arguments.nominal,
    })
}

/// The values of an option that takes two: the arguments refuse any other number.
fn pairs(values: &[String]) -> impl Iterator<Item = (&String, &String)> {
    values.chunks_exact(2).map(|pair| (&pair[0], &pair[1]))
}

fn rate_of(option: &str, name: &str, text: &str) -> Result<Quantity, CannotCheck> {
    super::args::above_zero(text, &RATES).map_err(|because| CannotCheck::Asked {
        message: format!("{option} {name}: {because}"),
        help: "write a rate per area, as in '12 fl oz/acre', '0.5 fl oz/1000 ft2', or '1.2 L/ha'"
            .to_owned(),
    })
}

fn named<'p>(
    products: &'p mut [Product],
    option: &str,
    name: &str,
) -> Result<&'p mut Product, CannotCheck> {
    let known: Vec<String> = products
        .iter()
        .map(|product| product.name.clone())
        .collect();
    let mut own = products.iter_mut();
    own.find(|product| product.name == *name)
        .ok_or_else(|| CannotCheck::Asked {
            message: format!("{option} names `{name}`, which no --product does"),
            help: match spelling::nearest(name, known.iter().map(String::as_str)) {
                Some(nearest) => format!("did you mean `{nearest}`?"),
                None => "name the product as with --product".to_owned(),
            },
        })
}

/// Puts a limit to the label that whoever asks gives; each limit once.
fn set(
    product: &mut Product,
    option: &str,
    min: Option<Quantity>,
    max: Option<Quantity>,
) -> Result<(), CannotCheck> {
    if product.labels.is_empty() {
        product.labels.push(Label {
            min: None,
            max: None,
            from: LabelFrom::Asked,
        });
    }
    let label = &mut product.labels[0];
    if min.is_some() && label.min.is_some() || max.is_some() && label.max.is_some() {
        return Err(CannotCheck::Asked {
            message: format!("{option} names {} twice", product.name),
            help: "give each limit of a label once".to_owned(),
        });
    }
    label.min = label.min.or(min);
    label.max = label.max.or(max);
    Ok(())
}

//! Applications made ready for formulas: what was put down on what, and how each step stood then.

use super::super::primitive::What;
use super::super::rate::found::RatesFound;
use super::super::visit::assumed;
use super::super::visit::density::{MixDensity, water};
use super::super::visit::instrument::{
    Bench, Used, rectangular, rectangular_at_two_ends, rectangular_step,
};
use super::super::visit::{Bounded, Shown, of_tank};
use super::amount::Amount;
use super::sprayed_rate::{SprayedRate, Telling};
use crate::fleet::{Event, History, Moment};
use crate::history::{FailingTests, StepState, Timeline, Until};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::Application;
use crate::record::application::{AreaBy, Gives, Tank, VolumeBy};
use crate::record::instrument::Purpose;
use crate::record::machine::{Machine, Setup};
use crate::source::{Place, Span, Spanned};

/// One application.
#[derive(Debug)]
pub struct Spraying<'a> {
    /// The record.
    pub application: &'a Application,
    /// When.
    pub moment: Moment,
    /// The machine as it was.
    pub machine: &'a Machine,
    /// The setup it sprayed with, by its place in the machine file.
    pub setup: Option<(u16, &'a Setup)>,
    /// How the steps it stands on stood right before it.
    pub steps: Vec<StepState>,
    /// The area covered.
    pub area: Option<Amount>,
    /// The volume put down.
    pub volume: Option<Amount>,
    /// The rate it was meant to put down.
    pub rate: Option<Shown>,
    /// The rates it put down, by whatever tells one: its own area and volume, and the calibrations before it.
    pub rates: Vec<SprayedRate>,
    /// The products in its tanks, in the record's order.
    pub products: Vec<Mixed>,
    /// What is in the fullest of its tanks, beside the tank's volume.
    pub filled: Option<Bounded>,
    /// The densities of its mixes, by the tank's place in the record.
    pub densities: Vec<(u16, MixDensity)>,
}

/// A product in a tank.
#[derive(Debug, Clone)]
pub struct Mixed {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub place: Place,
    /// How much of it is in the tank.
    pub amount: Option<Shown>,
    /// What makes up the volume of the tank: what it was filled up to, or the water and what was added to it by volume.
    pub tank: Vec<Shown>,
    /// The least the label requires on an area.
    pub min: Option<Shown>,
    /// The most the label allows on an area.
    pub max: Option<Shown>,
    /// What the record gives of it, readable or not.
    pub gives: Gives,
}

impl Spraying<'_> {
    /// A place in the application's record.
    pub fn place(&self, span: Span) -> Place {
        Place {
            file: self.application.file,
            span,
        }
    }

    /// Where it is named in findings: at its date.
    pub fn dated(&self) -> Place {
        let date = self.application.date.map(|date| date.span);
        self.place(date.unwrap_or(self.application.span))
    }
}

/// The applications up to a day, earliest first.
pub(super) fn of<'a>(
    bench: &mut Bench<'_>,
    history: &'a History,
    timeline: &Timeline<'_>,
    failing: &FailingTests,
    rates: &RatesFound,
    until: &Until,
) -> Vec<Spraying<'a>> {
    history
        .applications
        .iter()
        .filter_map(|application| {
            let date = application.date?.value;
            let hours = application.hours_from.as_ref();
            let meters = &history.hour_meters;
            let moment = meters.moment(date, application.file, hours, Event::Application);
            let machine = history.machine_at(&moment)?;
            if !until.includes(&moment) {
                return None; // It has not happened yet; `date-in-future` tells of it.
            }
            bench.turn_to(application.file);
            let setup = machine.setup_index(application.setup.as_ref());
            let setup = setup.and_then(|index| {
                let setup = machine.setups.get(usize::from(index))?;
                Some((index, &**setup))
            });
            let index = setup.map(|(index, _)| index);
            let steps = timeline.steps_with(index, Until::Before(moment), failing);
            let rate = setup.and_then(|(_, setup)| setup.rate).map(|rate| Shown {
                quantity: rate.value,
                id: bench.declared(rate.value, rate.place),
                place: rate.place,
            });
            let area = area(bench, application);
            let volume = volume(bench, application);
            let telling = setup.map(|setup| Telling {
                machine,
                setup,
                rate,
                rates,
                moment,
            });
            let by_record = volume.zip(area).map(|(volume, area)| {
                let unit = rate.map_or(Unit::GALLON_PER_ACRE, |rate| rate.quantity.unit);
                SprayedRate::by_record(volume, area, unit)
            });
            let told = telling.and_then(|telling| telling.rate(bench));
            Some(Spraying {
                application,
                moment,
                machine,
                setup,
                steps,
                area,
                volume,
                rate,
                rates: told.into_iter().chain(by_record).collect(),
                products: products(bench, application),
                filled: filled(bench, application, machine),
                densities: densities(bench, application, setup.map(|(_, setup)| setup)),
            })
        })
        .collect()
}

fn area(bench: &mut Bench<'_>, application: &Application) -> Option<Amount> {
    let area = application.area.as_ref()?;
    let (name, within) = match application.area_by.map(|by| by.value) {
        Some(AreaBy::Map) => ("map", &assumed::MAPPED_AREA),
        Some(AreaBy::Measured) => ("measured", &assumed::MEASURED_AREA),
        Some(AreaBy::Console) => ("console", &assumed::CONSOLE_AREA),
        None => ("unsaid", &assumed::CONSOLE_AREA),
    };
    // One place on one map is off alike however often it is sprayed.
    let at = application.place.as_ref().map_or("", |place| &place.value);
    let used = Used::called(format!("{name} {at}"));
    let scale = bench.shared(What::AreaScale, &used, |primitives, place| {
        primitives.factor(What::AreaScale, rectangular(within.size), place)
    });
    let reading = written(bench, What::Declared, area, 0.0);
    Some(Amount { reading, scale })
}

fn volume(bench: &mut Bench<'_>, application: &Application) -> Option<Amount> {
    let volume = application.volume.as_ref()?;
    let digit = rectangular_step(volume.value.resolution());
    let (step, scale) = match application.volume_by.map(|by| by.value) {
        Some(VolumeBy::FillMeter) => {
            let meter = bench.used(Purpose::FillMeter, application.fill_meter.as_ref());
            let step = meter.read_to(&volume.value);
            let scale = bench.scale(What::KnownVolumeScale, &meter, &assumed::FILL_METER);
            (step.map_or(digit, rectangular_step), scale)
        }
        Some(VolumeBy::TankMarks) => {
            let tanks = u32::try_from(application.tanks.len().max(1)).unwrap_or(1);
            let marks = bench
                .used(Purpose::TankMarks, application.tank_marks.as_ref())
                .of_its_own("tank marks");
            let mark = marks.read_to(&volume.value);
            let mark =
                mark.unwrap_or_else(|| assumed::TANK_MARK.size.max(volume.value.resolution()));
            // Each tank was read at both ends.
            let step = rectangular_at_two_ends(mark / 2.0) * f64::from(tanks).sqrt();
            let scale = bench.scale(What::KnownVolumeScale, &marks, &assumed::TANK_MARKS);
            (step, scale)
        }
        Some(VolumeBy::Console) | None => {
            let console = Used::called("console".to_owned());
            let scale = bench.scale(What::KnownVolumeScale, &console, &assumed::CONSOLE_VOLUME);
            (digit, scale)
        }
    };
    let reading = written(bench, What::AppliedVolume, volume, step);
    Some(Amount { reading, scale })
}

/// What a tank was filled up to, the product included; at least the water that was added.
fn filled(bench: &mut Bench<'_>, application: &Application, machine: &Machine) -> Option<Bounded> {
    let tanks = application.tanks.iter();
    let tanks = tanks.filter_map(|tank| tank.water.or(tank.water_added));
    let fullest = tanks.max_by(|one, other| one.value.si().total_cmp(&other.value.si()))?;
    of_tank(bench, fullest.in_file(application.file), machine)
}

fn products(bench: &mut Bench<'_>, application: &Application) -> Vec<Mixed> {
    let mut mixed = Vec::new();
    for tank in &application.tanks {
        let amounts: Vec<Option<Shown>> = tank
            .products
            .iter()
            .map(|product| Some(written_to_its_digit(bench, product.amount.as_ref()?)))
            .collect();
        let contents = contents(bench, tank, &amounts);
        for (product, amount) in tank.products.iter().zip(&amounts) {
            let mut label = |rate: &Option<Spanned<Quantity>>| {
                let rate = rate.as_ref()?;
                Some(written(bench, What::Declared, rate, 0.0))
            };
            let (min, max) = (label(&product.label_min), label(&product.label_max));
            let name = product.name.as_ref();
            mixed.push(Mixed {
                place: bench.place(name.map_or(product.span, |name| name.span)),
                name: name.map_or_else(|| "the product".to_owned(), |name| name.value.clone()),
                amount: *amount,
                tank: contents.clone(),
                min,
                max,
                gives: product.gives,
            });
        }
    }
    mixed
}

/// What makes up the volume of a tank; nothing where it is not on record.
///
/// A tank is filled up to a mark with the products in it. Only where the record says what water was added, what went in by
/// volume comes on top.
fn contents(bench: &mut Bench<'_>, tank: &Tank, amounts: &[Option<Shown>]) -> Vec<Shown> {
    if let Some(filled) = &tank.water {
        return vec![written_to_its_digit(bench, filled)];
    }
    let Some(added) = &tank.water_added else {
        return Vec::new();
    };
    let mut contents = vec![written_to_its_digit(bench, added)];
    let by_volume = |amount: &&Shown| amount.quantity.dimension() == Dimension::VOLUME;
    contents.extend(amounts.iter().flatten().filter(by_volume));
    contents
}

fn densities(
    bench: &mut Bench<'_>,
    application: &Application,
    setup: Option<&Setup>,
) -> Vec<(u16, MixDensity)> {
    let factor = setup.and_then(|setup| setup.density_factor);
    (0_u16..)
        .zip(&application.tanks)
        .filter_map(|(index, tank)| {
            let density = tank.density.as_ref()?;
            let water = bench.primitives.standard(What::Density, water()?);
            let density = MixDensity {
                density: written(bench, What::Declared, density, 0.0),
                water,
                factor: factor.map(|factor| {
                    let quantity = Quantity {
                        decimal: factor.value,
                        unit: Unit::ONE,
                    };
                    Shown {
                        quantity,
                        id: bench.declared(quantity, factor.place),
                        place: factor.place,
                    }
                }),
            };
            Some((index, density))
        })
        .collect()
}

fn written_to_its_digit(bench: &mut Bench<'_>, quantity: &Spanned<Quantity>) -> Shown {
    let digit = rectangular_step(quantity.value.resolution());
    written(bench, What::Mixed, quantity, digit)
}

fn written(
    bench: &mut Bench<'_>,
    what: What,
    quantity: &Spanned<Quantity>,
    uncertainty: f64,
) -> Shown {
    let place = bench.place(quantity.span);
    Shown {
        quantity: quantity.value,
        id: bench
            .primitives
            .written(what, quantity.value, uncertainty, place),
        place,
    }
}

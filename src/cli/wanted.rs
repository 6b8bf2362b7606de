//! A rate and a speed that are wanted, as given on the command line.

use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;

/// The fastest speed and the greatest rate that are taken, and the least part of each; our choice, far beyond any sprayer.
const FASTEST: &str = "60 mph";
const GREATEST: &str = "10000 gal/acre";
const LEAST_PART: f64 = 1e-6;

/// Reads a wanted rate.
pub(super) fn parse_rate(text: &str) -> Result<Quantity, String> {
    parse(
        text,
        Dimension::RATE,
        GREATEST,
        "`40 gal/acre` or `375 L/ha`",
    )
}

/// Reads a wanted speed.
pub(super) fn parse_speed(text: &str) -> Result<Quantity, String> {
    parse(text, Dimension::SPEED, FASTEST, "`4.2 mph` or `6.8 km/h`")
}

fn parse(text: &str, wanted: Dimension, most: &str, examples: &str) -> Result<Quantity, String> {
    let quantity = Quantity::parse(text, &[wanted])
        .map_err(|fault| format!("{}; write it as in {examples}", fault.message()))?;
    let bound = Quantity::parse(most, &[wanted]).map_or(f64::INFINITY, |most| most.si());
    let least = LEAST_PART * bound;
    if (least..=bound).contains(&quantity.si()) {
        Ok(quantity)
    } else {
        Err(format!(
            "`{quantity}` must be above zero and at most {most}; write it as in {examples}"
        ))
    }
}

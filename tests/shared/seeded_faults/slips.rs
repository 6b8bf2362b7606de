//! Slips of the pen: what is written otherwise than it was read.

use super::draw::Draw;
use super::faults::Truth;
use super::machine::{Machine, Reading};
use super::visit::Visit;

/// What is written wrong; nothing where all was written as it was read.
pub(super) fn write_wrong(
    cause: &'static str,
    machine: &mut Machine,
    visit: &mut Visit,
    last: Option<&Visit>,
    draw: &mut Draw,
) -> Vec<Truth> {
    let truth = match cause {
        "time-misread" => Some(time(visit, draw)),
        "unit-mistaken" => Some(unit(machine, visit, draw)),
        "point-slipped" => Some(point(visit, draw)),
        "digits-swapped" => digits(visit, draw),
        "pressure-misread"
            if visit.pressure == machine.pressure && !was_caught_at_another(machine, visit) =>
        {
            let ratio = draw.one_of(&[0.6, 0.7, 0.75, 1.25, 1.4]);
            scale(&mut visit.pressure, ratio);
            Some(Truth::of(cause, ratio - 1.0))
        }
        "sheet-sum-wrong" => {
            let ratio = draw.one_of(&[0.75, 0.8, 1.2, 1.3]);
            let field = if draw.is(0.5) {
                &mut machine.speed
            } else {
                &mut machine.rate
            };
            scale(field, ratio);
            Some(Truth::of(cause, ratio - 1.0).under("setups"))
        }
        "values-exchanged" => exchange(visit, last.is_some(), draw),
        "factor-turned" => visit.volume.as_mut().and_then(|test| {
            let (before, after) = test.factor.as_mut()?;
            let ratio = before.number / after.number;
            *after = Reading::of(before.number * ratio, after.decimals, after.unit);
            Some(Truth::of(cause, ratio - 1.0))
        }),
        "copied-from-last-visit" => last.map(|last| {
            visit.caught.clone_from(&last.caught);
            Truth::of(cause, 0.0)
        }),
        _ => None,
    };
    truth.into_iter().collect()
}

/// Whether the boom as a whole is so far from rated that the catch was made at another pressure.
fn was_caught_at_another(machine: &Machine, visit: &Visit) -> bool {
    let amounts: f64 = visit.caught.iter().map(|caught| caught.number).sum();
    let ml = match visit.unit {
        "fl oz" => 29.57,
        "wt oz" => 28.35,
        _ => 1.0,
    };
    let n: f64 = visit.caught.iter().map(|_| 1.0).sum();
    let flow = amounts / n * ml / visit.duration.number;
    (flow / machine.rated() - 1.0).abs() > 0.08
}

fn scale(reading: &mut Reading, ratio: f64) {
    *reading = Reading::of(reading.number * ratio, reading.decimals, reading.unit);
}

fn time(visit: &mut Visit, draw: &mut Draw) -> Truth {
    const CAUSE: &str = "time-misread";
    let of = draw.below(4);
    let (time, in_another_unit, key) = match (of, visit.volume.as_mut(), visit.speed.as_mut()) {
        (2, Some(volume), _) => (&mut volume.duration, "s", "meter-tests"),
        (3, _, Some(speed)) => (&mut speed.runs[1].0, "min", "speed-tests"),
        _ => (&mut visit.duration, "min", "catch-tests"),
    };
    let truth = match draw.below(4) {
        0 => {
            time.unit = in_another_unit;
            Truth::of(
                CAUSE,
                if in_another_unit == "s" {
                    1.0 / 60.0 - 1.0
                } else {
                    59.0
                },
            )
        }
        1 => {
            *time = Reading::of(time.number / 10.0, time.decimals + 1, time.unit);
            Truth::of(CAUSE, -0.9)
        }
        2 => {
            *time = Reading::of(time.number / 2.0, time.decimals + 1, time.unit);
            Truth::of(CAUSE, -0.5)
        }
        _ => {
            scale(time, 2.0);
            Truth::of(CAUSE, 1.0)
        }
    };
    truth.under(key)
}

/// The number stays, and another unit stands behind it.
fn unit(machine: &mut Machine, visit: &mut Visit, draw: &mut Draw) -> Truth {
    let mistaken = |unit: &'static str| match unit {
        "fl oz" => "mL",
        "mL" | "g" => "fl oz",
        "psi" => "bar",
        "bar" => "psi",
        "gal" => "L",
        "L" => "gal",
        "ft" => "m",
        "m" => "ft",
        "in" => "cm",
        "cm" => "in",
        "mph" => "km/h",
        "km/h" => "mph",
        "gal/acre" => "L/ha",
        "L/ha" => "gal/acre",
        other => other,
    };
    let truth = Truth::of("unit-mistaken", 0.0);
    let of = draw.below(8);
    let (field, key) = match (of, visit.volume.as_mut(), visit.speed.as_mut()) {
        (0, ..) if !machine.is_weighed => {
            visit.unit = mistaken(visit.unit);
            return truth;
        }
        (1, Some(volume), _) => (&mut volume.known, "meter-tests"),
        (2, _, Some(speed)) => (&mut speed.distance, "speed-tests"),
        (3, ..) => (&mut machine.spacing, "setups"),
        (4, ..) => (&mut machine.speed, "setups"),
        (5, ..) => (&mut machine.rate, "setups"),
        (6, ..) => (&mut machine.pressure, "setups"),
        _ => (&mut visit.pressure, "catch-tests"),
    };
    field.unit = mistaken(field.unit);
    truth.under(key)
}

/// A zero too many or too few: in one nozzle's reading, the known volume, or the course.
fn point(visit: &mut Visit, draw: &mut Draw) -> Truth {
    let is_up = draw.is(0.5);
    let truth = Truth::of("point-slipped", if is_up { 9.0 } else { -0.9 });
    let nozzle = draw.below(visit.caught.len());
    let of = draw.below(6);
    let (reading, truth) = match (of, visit.volume.as_mut(), visit.speed.as_mut()) {
        (0, Some(volume), _) => (&mut volume.known, truth.under("meter-tests")),
        (1, _, Some(speed)) => (&mut speed.distance, truth.under("speed-tests")),
        _ => (&mut visit.caught[nozzle], truth.at(nozzle)),
    };
    *reading = if is_up {
        Reading::of(
            reading.number * 10.0,
            reading.decimals.saturating_sub(1),
            reading.unit,
        )
    } else {
        Reading::of(reading.number / 10.0, reading.decimals + 1, reading.unit)
    };
    truth
}

/// Two neighboring digits exchanged, the point between them not counted; nothing where that is hardly to be seen.
fn digits(visit: &mut Visit, draw: &mut Draw) -> Option<Truth> {
    for _ in 0..40 {
        let nozzle = draw.below(visit.caught.len());
        let reading = &visit.caught[nozzle];
        let text = format!("{:.*}", reading.decimals, reading.number);
        let places: Vec<usize> = (0..text.len())
            .filter(|at| text.as_bytes()[*at] != b'.')
            .collect();
        let pair = draw.below(places.len() - 1);
        let mut swapped = text.into_bytes();
        swapped.swap(places[pair], places[pair + 1]);
        let number: f64 = String::from_utf8(swapped).unwrap().parse().unwrap();
        let size = number / reading.number - 1.0;
        if size.abs() > 0.05 && number > 0.0 {
            visit.caught[nozzle] = Reading::of(number, reading.decimals, reading.unit);
            return Some(Truth::of("digits-swapped", size).at(nozzle));
        }
    }
    None
}

/// Known and shown exchanged behind a factor worked out from the right ones; or the factor before and after, which the last
/// visit tells.
fn exchange(visit: &mut Visit, has_last: bool, draw: &mut Draw) -> Option<Truth> {
    let test = visit.volume.as_mut()?;
    let shown = test.shown.as_mut()?;
    let (before, after) = test.factor.as_mut()?;
    let size = shown.number / test.known.number - 1.0;
    if !has_last || draw.is(0.5) {
        std::mem::swap(shown, &mut test.known);
    } else {
        std::mem::swap(before, after);
    }
    Some(Truth::of("values-exchanged", size).under("meter-tests"))
}

//! Meter tests made ready: the first as found, the last as left, and each correction of the factor.

use super::correction::{corrected_at, correction};
use super::instrument::{self, Bench, rectangular, rectangular_step};
use super::shown::Shown;
use super::stages::Stages;
use crate::figure::primitive::{PrimitiveId, What};
use crate::outcome::Step;
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::record::Calibration;
use crate::record::calibration::{KnownBy, MeterTest};
use crate::source::{Place, Spanned};

/// One meter test.
#[derive(Debug, Clone, Copy)]
pub struct Meter {
    /// Where the test stands.
    pub place: Place,
    /// The volume known by other means.
    pub known: Option<KnownVolume>,
    /// What the console showed.
    pub shown: Option<Shown>,
    /// How long it took.
    pub duration: Option<Shown>,
}

/// A volume known by other means than the meter under test.
#[derive(Debug, Clone, Copy)]
pub struct KnownVolume {
    /// As written.
    pub quantity: Quantity,
    /// The reading: a volume or a weight.
    pub reading: PrimitiveId,
    /// The scale of what it is known by; none where it is known from the catch.
    pub scale: Option<PrimitiveId>,
    /// The density that makes a volume of a weight.
    pub density: Option<PrimitiveId>,
    /// By which means it is known.
    pub known_by: Option<KnownBy>,
    /// Where it stands.
    pub place: Place,
}

/// A correction of the flow factor.
#[derive(Debug, Clone, Copy)]
pub struct MeterFactor {
    /// The test that asked for it.
    pub meter: Meter,
    /// The factor during the test.
    pub before: Shown,
    /// The factor as left.
    pub after: Shown,
}

pub(super) fn stages(
    bench: &mut Bench<'_>,
    calibration: &Calibration,
    not_tested_again: &mut Vec<(Step, Place)>,
) -> (Stages<Meter>, Vec<(u16, MeterFactor)>) {
    let tests = &calibration.meter_tests;
    let meters: Vec<Meter> = tests.iter().map(|test| meter(bench, test)).collect();
    let factors = (0_u16..)
        .zip(tests)
        .zip(&meters)
        .filter_map(|((index, test), &meter)| {
            let (before, after) = correction(bench, test.factor.as_ref())?;
            let factor = MeterFactor {
                meter,
                before,
                after,
            };
            Some((index, factor))
        })
        .collect();
    let corrected_last = tests
        .last()
        .and_then(|test| corrected_at(test.factor.as_ref()));
    if let Some(span) = corrected_last {
        not_tested_again.push((Step::Flow, bench.place(span)));
    }
    (Stages::of(meters, corrected_last.is_some()), factors)
}

fn meter(bench: &mut Bench<'_>, test: &MeterTest) -> Meter {
    Meter {
        place: bench.place(test.span),
        known: test.known_volume.as_ref().map(|volume| {
            let known_by = test.known_by.map(|known_by| known_by.value);
            known_volume(bench, test, volume, known_by)
        }),
        shown: test.shown.as_ref().map(|shown| bench.shown(shown)),
        duration: test.duration.as_ref().map(|duration| bench.timed(duration)),
    }
}

fn known_volume(
    bench: &mut Bench<'_>,
    test: &MeterTest,
    volume: &Spanned<Quantity>,
    known_by: Option<KnownBy>,
) -> KnownVolume {
    let digit = rectangular_step(volume.value.resolution());
    let weighed = volume.value.dimension() == Dimension::MASS;
    let (uncertainty, scale) = match known_by {
        Some(KnownBy::Catch) => (digit, None),
        Some(KnownBy::Weighed) => {
            let scale = bench.used("scale", test.scale.as_ref());
            let step = scale
                .graduation(&volume.value)
                .map_or(digit, rectangular_step);
            (
                step,
                Some(bench.scale(What::ScaleScale, &scale, instrument::SCALE_TOLERANCE)),
            )
        }
        // Half a mark at the start and half a mark at the end, independent of each other.
        Some(KnownBy::TankMarks) => {
            let end = rectangular(instrument::TANK_MARK / 2.0);
            ((2.0 * end * end).sqrt(), None)
        }
        Some(KnownBy::FillMeter) | None => {
            let fill_meter = bench.used("fill-meter", test.fill_meter.as_ref());
            let step = fill_meter
                .graduation(&volume.value)
                .map_or(digit, rectangular_step);
            (
                step,
                Some(bench.scale(
                    What::KnownVolumeScale,
                    &fill_meter,
                    instrument::REFILL_METER_TOLERANCE,
                )),
            )
        }
    };
    let place = bench.place(volume.span);
    KnownVolume {
        quantity: volume.value,
        reading: bench.primitives.written(
            What::KnownVolumeReading,
            volume.value,
            uncertainty,
            place,
        ),
        scale,
        density: weighed.then(|| bench.density_of_water()),
        known_by,
        place,
    }
}

//! One nozzle of a catch: what the figures of single nozzles are computed from.

use crate::fact::Fact;
use crate::figure::visit::{Catch, CaughtNozzle, Scaled, Visit};
use crate::outcome::{Key, Part, Stage, Step};
use crate::source::Place;
use crate::working::Expression;

/// One nozzle of a catch.
#[derive(Clone, Copy)]
pub(crate) struct OfNozzle<'v> {
    /// The catch.
    pub(crate) catch: &'v Catch,
    /// The nozzle.
    pub(crate) nozzle: &'v CaughtNozzle,
}

impl OfNozzle<'_> {
    /// Its key.
    pub(crate) fn key(&self, visit: &Visit<'_>, stage: Stage) -> Key {
        let part = Part::Nozzle {
            section: self.nozzle.nozzle.section,
            number: self.nozzle.nozzle.number,
        };
        visit.key(Step::Catch, Some(stage), part)
    }

    /// Where its readings stand.
    pub(crate) fn place(&self) -> Place {
        self.nozzle.place.unwrap_or(self.catch.place)
    }

    /// Its readings as written: `41.0 fl oz`, or the mean of repeats.
    pub(crate) fn read(&self) -> Option<Fact> {
        let read = self.as_read()?;
        Some(match &self.nozzle.scaled {
            Some(Scaled { from, to }) => {
                let [from, to] = [from, to].map(|pressure| Fact::Written(pressure.quantity));
                Fact::phrase("{} at {}, scaled to {}", [read, from, to])
            }
            None => read,
        })
    }

    fn as_read(&self) -> Option<Fact> {
        let count = self.nozzle.readings.len();
        if count == 1 {
            let only = self.nozzle.readings.first()?;
            return Some(Fact::Written(only.quantity));
        }
        let (_, mean) = self.mean_amount()?;
        Some(Fact::phrase(
            "mean of {} readings {}",
            [Fact::whole(count), mean],
        ))
    }

    /// The mean of what was read of it, beside how many readings there are: `40.25 fl oz (mean of 3)`.
    pub(crate) fn mean_of_readings(&self) -> Option<Expression> {
        let (mean, shown) = self.mean_amount()?;
        let count = Fact::whole(self.nozzle.readings.len());
        let shown = Fact::phrase("{} (mean of {})", [shown, count]);
        Some(Expression::number(mean, shown))
    }

    fn mean_amount(&self) -> Option<(f64, Fact)> {
        let readings = &self.nozzle.readings;
        let unit = readings.first()?.quantity.unit;
        let amounts: f64 = readings.iter().map(|reading| reading.quantity.si()).sum();
        let mean = amounts / f64::from(u32::try_from(readings.len()).ok()?);
        Some((mean, Fact::computed(mean, unit)))
    }
}

//! A record as it would be with some of its numbers mended.
//!
//! Each number is found by where it stands. What a mend would make too large to write is left as it is.

use super::calibration::{
    CatchTest, Caught, Cell, FactorChange, MeterTest, Reading, Readings, Run, SectionBalance,
    SectionReadings, SectionsOffReading, SpeedTest,
};
use super::machine::{Boom, Rated, Section, Setup};
use super::{Calibration, Machine};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::source::{FileId, Place, Placed, Spanned};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What becomes of each number that is mended, by where it stands.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Mends(BTreeMap<Place, Mended>);

/// What becomes of one number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mended {
    /// By what it is multiplied; nothing makes more of a 0.
    pub times: f64,
    /// What is written instead of it, in its unit, and multiplied, where it is 0.
    pub instead: Option<f64>,
}

/// A number that can be multiplied.
trait Number: Copy {
    fn scaled(self, ratio: f64) -> Option<Self>;

    /// Another positive number in the same unit.
    fn with(self, number: f64) -> Option<Self>;
}

impl Number for Quantity {
    fn scaled(self, ratio: f64) -> Option<Self> {
        Quantity::scaled(&self, ratio)
    }

    fn with(self, number: f64) -> Option<Self> {
        let decimal = self.decimal.with(number)?;
        Some(Self { decimal, ..self })
    }
}

impl Number for Decimal {
    fn scaled(self, ratio: f64) -> Option<Self> {
        Decimal::scaled(self, ratio)
    }

    fn with(self, number: f64) -> Option<Self> {
        Self::whole(1).scaled(number)
    }
}

impl Mends {
    /// Multiplies the number at a place by a ratio, beside what multiplies it already.
    pub fn multiply(&mut self, place: Place, ratio: f64) {
        self.at(place).times *= ratio;
    }

    /// Writes a number, in the unit of the one at a place, instead of the 0 there: that is multiplied.
    pub fn write(&mut self, place: Place, number: f64) {
        self.at(place).instead = Some(number);
    }

    fn at(&mut self, place: Place) -> &mut Mended {
        let unchanged = Mended {
            times: 1.0,
            instead: None,
        };
        self.0.entry(place).or_insert(unchanged)
    }

    /// What is mended, in the order of its places.
    pub fn each(&self) -> impl Iterator<Item = (Place, Mended)> + '_ {
        self.0.iter().map(|(place, mended)| (*place, *mended))
    }

    fn number<N: Number>(&self, number: N, place: Place) -> N {
        let mended = self.0.get(&place).and_then(|mended| {
            let Mended { times, instead } = *mended;
            match instead {
                Some(instead) => number.with(instead * times),
                None => number.scaled(times),
            }
        });
        mended.unwrap_or(number)
    }

    fn placed<N: Number>(&self, placed: &mut Option<Placed<N>>) {
        if let Some(placed) = placed {
            placed.value = self.number(placed.value, placed.place);
        }
    }

    fn within(&self, file: FileId) -> Within<'_> {
        Within { mends: self, file }
    }

    /// A calibration with its numbers mended.
    pub fn calibration(&self, calibration: &Calibration) -> Calibration {
        let mut mended = calibration.clone();
        let within = self.within(calibration.file);
        for test in &mut mended.catch_tests {
            within.catch_test(test);
        }
        for test in &mut mended.meter_tests {
            within.meter_test(test);
        }
        for test in &mut mended.speed_tests {
            within.speed_test(test);
        }
        if let Some(balance) = &mut mended.section_balance {
            within.section_balance(balance);
        }
        within.spanned(&mut mended.boom_end_pressure);
        mended
    }

    /// A machine with its numbers mended.
    pub fn machine(&self, machine: &Machine) -> Machine {
        let mut mended = machine.clone();
        self.boom(Arc::make_mut(&mut mended.boom));
        for setup in &mut mended.setups {
            self.setup(Arc::make_mut(setup));
        }
        mended
    }

    fn boom(&self, boom: &mut Boom) {
        self.placed(&mut boom.spacing);
        for Section { entered_width, .. } in &mut boom.sections {
            self.placed(entered_width);
        }
    }

    fn setup(&self, setup: &mut Setup) {
        self.placed(&mut setup.pressure);
        self.placed(&mut setup.speed);
        self.placed(&mut setup.rate);
        if let Some(Rated { flow, pressure, .. }) = &mut setup.rated {
            flow.value = self.number(flow.value, flow.place);
            // A size is written once for both: it is the flow that a mend of it is of.
            if pressure.place != flow.place {
                pressure.value = self.number(pressure.value, pressure.place);
            }
        }
    }
}

/// Mends of what stands in one file.
struct Within<'m> {
    mends: &'m Mends,
    file: FileId,
}

impl Within<'_> {
    fn one<N: Number>(&self, one: &mut Spanned<N>) {
        let place = Place {
            file: self.file,
            span: one.span,
        };
        one.value = self.mends.number(one.value, place);
    }

    fn spanned<N: Number>(&self, spanned: &mut Option<Spanned<N>>) {
        if let Some(one) = spanned {
            self.one(one);
        }
    }

    fn catch_test(&self, test: &mut CatchTest) {
        self.spanned(&mut test.pressure);
        self.spanned(&mut test.duration);
        if let Some(Caught { readings, .. }) = &mut test.caught {
            match readings {
                Readings::Flat(cells) => cells.iter_mut().for_each(|cell| self.cell(cell)),
                Readings::BySection(sections) => {
                    for (_, section) in sections {
                        self.section_readings(section);
                    }
                }
            }
        }
    }

    fn section_readings(&self, section: &mut SectionReadings) {
        match section {
            SectionReadings::All(cells) => cells.iter_mut().for_each(|cell| self.cell(cell)),
            SectionReadings::Some(cells) => {
                for (_, cell) in cells {
                    self.cell(cell);
                }
            }
        }
    }

    fn cell(&self, cell: &mut Cell) {
        let mended = cell.readings.iter().map(|reading| match reading {
            Reading::Caught(decimal) => {
                let mut decimal = *decimal;
                self.one(&mut decimal);
                Reading::Caught(decimal)
            }
            Reading::Missed(span) => Reading::Missed(*span),
            Reading::Unreadable(span) => Reading::Unreadable(*span),
        });
        cell.readings = mended.collect();
    }

    fn meter_test(&self, test: &mut MeterTest) {
        self.spanned(&mut test.known_volume);
        self.spanned(&mut test.duration);
        self.spanned(&mut test.shown);
        self.factor(&mut test.factor);
    }

    fn factor(&self, factor: &mut Option<FactorChange>) {
        if let Some(FactorChange { before, after, .. }) = factor {
            self.spanned(before);
            self.spanned(after);
        }
    }

    fn speed_test(&self, test: &mut SpeedTest) {
        self.spanned(&mut test.distance);
        for Run { elapsed, shown, .. } in &mut test.runs {
            self.spanned(elapsed);
            self.spanned(shown);
        }
        self.factor(&mut test.factor);
    }

    fn section_balance(&self, balance: &mut SectionBalance) {
        self.spanned(&mut balance.entered_speed);
        self.spanned(&mut balance.all_on);
        for SectionsOffReading {
            as_found, as_left, ..
        } in &mut balance.sections_off
        {
            self.spanned(as_found);
            self.spanned(as_left);
        }
    }
}

//! What visits found of what makes the rate: what is sprayed or caught after them stands on it.

use crate::fleet::Moment;
use crate::quantity::Quantity;
use crate::source::Place;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// A part of what makes the rate, each found by a test of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RatePart {
    /// The true volume over the one the console shows.
    Meter,
    /// The distance the console shows over the true one.
    Distance,
    /// What a nozzle puts out on average, over the nozzle spacing.
    Output,
    /// The true speed.
    Speed,
}

/// One part as a visit left it.
#[derive(Debug, Clone, Copy)]
pub struct RateFound {
    /// The value in SI units, or a ratio.
    pub value: f64,
    /// Its standard uncertainty.
    pub uncertainty: f64,
    /// When.
    pub day: Date,
    /// Where it was read.
    pub place: Place,
}

/// What a part is of: the setup, and what the setup declared of it that day; none for all setups.
///
/// After a setup got another pressure or another speed, the earlier test says nothing of it.
pub type FoundFor = Option<(u16, Option<Quantity>)>;

/// A visit's test of a part: what it is of, when, and what was found; nothing where the visit left it unknown.
#[derive(Debug)]
struct Tested {
    of: FoundFor,
    when: Moment,
    found: Option<RateFound>,
}

/// What the visits of a machine found of what makes its rate.
#[derive(Debug, Default)]
pub struct RatesFound(BTreeMap<(RatePart, Option<u16>), Vec<Tested>>);

impl RatesFound {
    /// Adds what a visit made of a part; visits come earliest first.
    pub fn add(&mut self, part: RatePart, of: FoundFor, when: Moment, found: Option<RateFound>) {
        let of_part = self.0.entry((part, of.map(|(setup, _)| setup)));
        of_part.or_default().push(Tested { of, when, found });
    }

    /// What the last visit so far that tested a part found; none where it left it unknown, or where nobody tested it.
    pub fn latest(&self, part: RatePart, of: FoundFor) -> Option<RateFound> {
        let tested = self.0.get(&(part, of.map(|(setup, _)| setup)))?;
        tested.last()?.found_for(of)
    }

    /// What the last visit before a moment that tested a part found; none where it left it unknown, or where nobody tested it.
    pub fn last(&self, part: RatePart, of: FoundFor, before: &Moment) -> Option<RateFound> {
        let tested = self.0.get(&(part, of.map(|(setup, _)| setup)))?;
        // They are by day, as the visits are that found them.
        let end = tested.partition_point(|test| test.when.day <= before.day);
        let mut earlier = tested[..end].iter().rev();
        earlier
            .find(|test| test.when.is_before(before))?
            .found_for(of)
    }
}

impl Tested {
    fn found_for(&self, of: FoundFor) -> Option<RateFound> {
        self.found.filter(|_| self.of == of)
    }
}

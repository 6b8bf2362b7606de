//! What a test asks for: what to set its factor to, or by what to multiply it.

use super::console_factor::ConsoleFactor;
use crate::fact::{Digits, Fact};
use crate::figure::plausible::may_be_entered;
use crate::figure::visit::{MeterFactor, Shown, SpeedFactor, Visit};
use crate::source::Place;

/// `set the flow factor from 620 to 663.5 pulses/gal`, where the factor is on record; else by what to
/// multiply it. `read` is where the console's number of the test stands.
pub(crate) fn asked_for(
    visit: &Visit<'_>,
    factor: ConsoleFactor,
    (shown, known): (f64, f64),
    read: Place,
) -> Fact {
    if shown <= 0.0 {
        return Fact::Words(
            "check the sensor, its plug, and its wiring, because the console counted nothing",
        );
    }
    let name = factor.name();
    if !may_be_entered(shown / known) {
        return Fact::phrase(
            "check what the console showed, what it is held against, and their units before you change the {}",
            [name],
        );
    }
    let Some(meaning) = factor.meaning(&visit.subject.machine.console) else {
        return Fact::phrase(
            "multiply the {} by {} if it is pulses per amount, divide by it if not",
            [name, Fact::significant(shown / known, 4)],
        );
    };
    let in_the_console = Factors::of(visit, factor);
    match (
        in_the_console.during(read),
        in_the_console.as_left,
        computed(visit, factor, (shown, known), read),
    ) {
        (Some(during), Some(left), Some(new)) if during.place == left.place => {
            let now = Fact::Written(left.quantity);
            Fact::phrase("set the {} from {} to {}", [name, now, new])
        }
        (_, Some(left), Some(new)) => {
            let left = Fact::Written(left.quantity);
            Fact::phrase(
                "check that the {} in the console, {} as left, is about {}",
                [name, left, new],
            )
        }
        _ => Fact::phrase(
            "multiply the {} by {}",
            [name, Fact::significant(meaning.change(&shown, &known), 4)],
        ),
    }
}

/// The factor that a test gives the console; none where its factor is not on record, what it means is not known, or what
/// the test read is to be checked first.
pub(crate) fn computed(
    visit: &Visit<'_>,
    factor: ConsoleFactor,
    (shown, known): (f64, f64),
    read: Place,
) -> Option<Fact> {
    let meaning = factor.meaning(&visit.subject.machine.console)?;
    if !may_be_entered(shown / known) {
        return None;
    }
    let during = Factors::of(visit, factor).during(read)?;
    let new = during.quantity.si() * meaning.change(&shown, &known);
    Some(meaning.with_unit(new, one_digit_more(&during)))
}

/// One digit more than a factor has in the console.
pub(crate) fn one_digit_more(factor: &Shown) -> Digits {
    Digits::Decimals(usize::from(factor.quantity.decimal.places()) + 1)
}

/// What a visit tells of a factor of the console.
struct Factors {
    /// Where each test stands that changed it, with the factor it was run with and the one it left, in order.
    changes: Vec<(Place, Shown, Shown)>,
    begun: Option<Shown>,
    /// The factor when the visit ended, where it is on record.
    as_left: Option<Shown>,
}

impl Factors {
    fn of(visit: &Visit<'_>, factor: ConsoleFactor) -> Self {
        let changes: Vec<(Place, Shown, Shown)> = match factor {
            ConsoleFactor::Flow => {
                let changes = visit.flow_factors.iter();
                let test = |(_, one): &(u16, MeterFactor)| (one.meter.place, one.before, one.after);
                changes.map(test).collect()
            }
            ConsoleFactor::Speed => {
                let changes = visit.speed_factors.iter();
                let test =
                    |(_, one): &(u16, SpeedFactor)| (one.course.place, one.before, one.after);
                changes.map(test).collect()
            }
        };
        let mut begun = visit.begun.iter();
        let begun = begun.find(|(step, _)| *step == factor.step());
        let begun = begun.map(|(_, factor)| *factor);
        let left = changes.last().map(|(_, _, after)| *after);
        Self {
            as_left: left.or(begun),
            changes,
            begun,
        }
    }

    /// The factor that a test was run with, where it is on record: that of the test itself, or what one before it left.
    fn during(&self, read: Place) -> Option<Shown> {
        let is_its_own =
            |test: &Place| test.span.start <= read.span.start && read.span.end <= test.span.end;
        let mut tests = self.changes.iter();
        let own = tests.find(|(test, ..)| is_its_own(test));
        let earlier = || {
            let mut earlier = self.changes.iter().rev();
            earlier.find(|(test, ..)| test.span.end <= read.span.start)
        };
        own.map(|(_, before, _)| *before)
            .or_else(|| earlier().map(|(_, _, after)| *after))
            .or(self.begun)
    }
}

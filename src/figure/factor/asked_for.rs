//! What a test asks for: what to set its factor to, or by what to multiply it.

use super::console_factor::ConsoleFactor;
use crate::fact::{Digits, Fact};
use crate::figure::visit::{Shown, Visit};

/// `set the flow factor from 620 to 663.5 pulses/gal`, where the factor is on record; else by what to
/// multiply it.
pub(crate) fn asked_for(visit: &Visit<'_>, factor: ConsoleFactor, shown: f64, known: f64) -> Fact {
    let name = factor.name();
    let Some(meaning) = factor.meaning(&visit.subject.machine.console) else {
        return Fact::phrase(
            "multiply the {} by {} if it is pulses per amount, divide by it if not",
            [name, Fact::significant(shown / known, 4)],
        );
    };
    let change = meaning.change(&shown, &known);
    match in_the_console(visit, factor) {
        Some(now) => {
            let new = now.quantity.si() * change;
            let new = meaning.with_unit(new, one_digit_more(&now));
            let now = Fact::Written(now.quantity);
            Fact::phrase("set the {} from {} to {}", [name, now, new])
        }
        None => Fact::phrase(
            "multiply the {} by {}",
            [name, Fact::significant(change, 4)],
        ),
    }
}

/// One digit more than a factor has in the console.
pub(crate) fn one_digit_more(factor: &Shown) -> Digits {
    Digits::Decimals(usize::from(factor.quantity.decimal.places()) + 1)
}

/// The factor in the console when the visit ended, where it is on record.
fn in_the_console(visit: &Visit<'_>, factor: ConsoleFactor) -> Option<Shown> {
    let corrected = match factor {
        ConsoleFactor::Flow => visit.flow_factors.last().map(|(_, factor)| factor.after),
        ConsoleFactor::Speed => visit.speed_factors.last().map(|(_, factor)| factor.after),
    };
    let mut begun = visit.begun.iter();
    let begun = begun.find(|(step, _)| *step == factor.step());
    corrected.or_else(|| begun.map(|(_, factor)| *factor))
}

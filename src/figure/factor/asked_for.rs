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
    match (
        in_the_console(visit, factor),
        computed(visit, factor, shown, known),
    ) {
        (Some(now), Some(new)) => {
            let now = Fact::Written(now.quantity);
            Fact::phrase("set the {} from {} to {}", [name, now, new])
        }
        _ => Fact::phrase(
            "multiply the {} by {}",
            [name, Fact::significant(meaning.change(&shown, &known), 4)],
        ),
    }
}

/// The factor that a test gives the console; none where its factor is not on record, or what it means is not known.
pub(crate) fn computed(
    visit: &Visit<'_>,
    factor: ConsoleFactor,
    shown: f64,
    known: f64,
) -> Option<Fact> {
    let meaning = factor.meaning(&visit.subject.machine.console)?;
    let now = in_the_console(visit, factor)?;
    let new = now.quantity.si() * meaning.change(&shown, &known);
    Some(meaning.with_unit(new, one_digit_more(&now)))
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

//! A section's bypass was turned the wrong way: as left it is farther off than as found.

use crate::cause::check::CrossCheck;
use crate::cause::content::Effect;
use crate::cause::hypothesis::{At, Change, Hypothesis};
use crate::cause::seen::Seen;
use crate::cause::value::Value;

/// Each section that is farther off as left, and to the same side.
pub(super) fn turned(seen: &Seen<'_>, effect: Effect) -> Vec<Hypothesis> {
    let sections = (0..)
        .zip(&seen.readings.sections)
        .map(|(section, _)| section);
    let turned = sections.filter_map(|section| {
        let (found, uncertainty) = seen.one(CrossCheck::BypassFound(section))?;
        let (left, _) = seen.one(CrossCheck::BypassLeft(section))?;
        // What is within its uncertainty was left as it was.
        let is_off = found.abs() > uncertainty;
        let farther = left / found;
        (is_off && farther > 1.0).then(|| {
            Hypothesis::new(
                At::Section(section),
                Change::Effect {
                    on: vec![
                        (Value::BypassFound(section), 1.0),
                        (Value::BypassLeft(section), farther),
                    ],
                    effect,
                },
            )
        })
    });
    turned.collect()
}

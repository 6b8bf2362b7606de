//! What a meter test takes in, and the factor of a test.

use super::again::in_round;
use super::making::{Making, entry};
use crate::draft::form::{Entry, Field, ROUNDS};
use crate::draft::scalar;
use crate::draft::typed::Kind;
use crate::procedure::Step;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::calibration::KnownBy;
use crate::words::phrases;

impl Making<'_> {
    pub(super) fn meter(&self) -> Vec<Entry> {
        let unit = self.tank_unit();
        let round = |round: usize| {
            let field = |key| Field::Meter(round, key);
            let dimensions = vec![Dimension::VOLUME, Dimension::MASS];
            let mut known = entry(
                field("known-volume"),
                "known volume",
                Kind::Quantity(dimensions, unit),
            );
            "what you sprayed out, known by other means than the console"
                .clone_into(&mut known.hint);
            let words = &KnownBy::WORDS;
            let mut known_by = entry(field("known-by"), "known by", Kind::OneOf(words));
            known_by.hint = phrases::list(words, "or");
            known_by.usual = self.last.text(field("known-by")).map(|word| scalar(&word));
            let minutes = Kind::Quantity(vec![Dimension::TIME], Unit::MINUTE);
            let mut duration = entry(field("duration"), "minutes", minutes).optional();
            "how long you sprayed".clone_into(&mut duration.hint);
            let shown = Kind::Quantity(vec![Dimension::VOLUME], unit);
            let mut shown = entry(field("shown"), "console shows", shown);
            "what the console shows; target: the known volume".clone_into(&mut shown.hint);
            for entry in [&mut known, &mut duration, &mut shown] {
                entry.last = self.last.text(entry.field);
            }
            let mut entries = vec![known, known_by, duration, shown];
            entries.extend(self.factor(Step::Flow, [field("before"), field("after")], round));
            in_round(round, entries)
        };
        (0..ROUNDS).flat_map(round).collect()
    }

    /// The factor before and after a test: before, as it was left last.
    pub(super) fn factor(
        &self,
        step: Step,
        [before, after]: [Field; 2],
        round: usize,
    ) -> [Entry; 2] {
        let name = step
            .procedure()
            .factor
            .map_or("factor", |factor| factor.name);
        let mut was = entry(before, &format!("{name} before"), Kind::Number).optional();
        let mut set = entry(after, &format!("{name} entered"), Kind::Number).optional();
        let standing = self.steps.iter().find(|standing| standing.step == step);
        let meaning = standing.and_then(|standing| self.factor_meaning(standing));
        let last = meaning.and_then(|meaning| meaning.last);
        if round == 0 {
            was.usual.clone_from(&last);
            set.last = last;
        } else {
            // What the test before left, changed or not, is what this one begins with.
            let earlier = [after, before].map(Field::in_round_before);
            was.as_in = earlier.into_iter().flatten().map(Field::name).collect();
        }
        [was, set]
    }
}

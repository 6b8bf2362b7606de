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
        let [volume, amount] = [
            &[Dimension::VOLUME][..],
            &[Dimension::VOLUME, Dimension::MASS],
        ];
        let read = |keys: [&'static str; 2], dimensions: &[Dimension]| {
            let fields = keys.map(|key| Field::Meter(0, key));
            let unit = self.last.unit(fields, dimensions);
            unit.unwrap_or(self.units().tank)
        };
        let known_in = read(["known-volume", "shown"], amount);
        let shown_in = read(["shown", "known-volume"], volume);
        let round = |round: usize| {
            let field = |key| Field::Meter(round, key);
            let mut known = self.read(field("known-volume"), "known volume", amount, known_in);
            "what you sprayed out, known by other means than the console"
                .clone_into(&mut known.hint);
            let words = &KnownBy::WORDS;
            let mut known_by = entry(field("known-by"), "known by", Kind::OneOf(words));
            known_by.hint = phrases::list(words, "or");
            known_by.usual = self.last.known_by().map(|by| scalar(by.words()));
            let minutes = &[Dimension::TIME];
            let duration = self.read(field("duration"), "minutes", minutes, Unit::MINUTE);
            let mut duration = duration.optional();
            "how long you sprayed".clone_into(&mut duration.hint);
            let mut shown = self.read(field("shown"), "console shows", volume, shown_in);
            "what the console shows; target: the known volume".clone_into(&mut shown.hint);
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

//! The sources of error of a visit, each with the values that share it.

use crate::cause::{Readings, Value};
use crate::figure::{PrimitiveId, Primitives, What};
use crate::source::Place;
use std::collections::BTreeMap;

/// One source of error: how far one standard uncertainty of it moves the logarithm of each value that shares it.
#[derive(Debug, Clone)]
pub(super) struct Error {
    /// The instrument that it is of, where that is declared and is as wrong at the next visit.
    instrument: Option<(What, Place)>,
    moves: Vec<(Value, f64)>,
}

/// The sources of error of a visit, and of the earlier one that it is held against.
#[derive(Debug, Clone, Default)]
pub(super) struct Errors {
    own: BTreeMap<PrimitiveId, Error>,
    earlier: Vec<Error>,
}

impl Errors {
    /// A source of error that is a value itself, or a factor of one.
    pub(super) fn of(&mut self, value: Value, id: PrimitiveId, power: f64, all: &Primitives) {
        self.added_to(value, id, power, all.get(id).value, all);
    }

    /// A source of error that is added to a value of a size.
    pub(super) fn added_to(
        &mut self,
        value: Value,
        id: PrimitiveId,
        power: f64,
        size: f64,
        all: &Primitives,
    ) {
        let primitive = all.get(id);
        let moved = power * primitive.uncertainty / size;
        if !moved.is_finite() || moved == 0.0 {
            return;
        }
        let error = self.own.entry(id).or_insert_with(|| Error {
            instrument: primitive
                .place
                .filter(|_| primitive.what.lasts())
                .map(|place| (primitive.what, place)),
            moves: Vec::new(),
        });
        if error.moves.iter().all(|(of, _)| *of != value) {
            error.moves.push((value, moved));
        }
    }

    /// Adds those of an earlier visit: an instrument that both used is as wrong in both.
    pub(super) fn join(&mut self, earlier: &[Error]) {
        for error in earlier {
            let mut own = self.own.values_mut();
            let shared =
                own.find(|own| own.instrument.is_some() && own.instrument == error.instrument);
            match shared {
                Some(shared) => shared.moves.extend(&error.moves),
                None => self.earlier.push(error.clone()),
            }
        }
    }

    /// Each of them.
    pub(super) fn into_list(self) -> Vec<Error> {
        self.own.into_values().chain(self.earlier).collect()
    }

    /// Tells all of them to the readings.
    pub(super) fn tell(&self, readings: &mut Readings) {
        for error in self.own.values().chain(&self.earlier) {
            readings.error(&error.moves, 1.0);
        }
    }
}

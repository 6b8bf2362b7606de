//! A test that is made again: which of its values are those of the first.

use crate::draft::form::{Entry, Field};

/// The values of a test that is made again: its instruments are those of the first unless somebody says otherwise. What is
/// read anew is in the record only where somebody read it; pressure and time too, without which the test is not whole.
pub(super) fn in_round(round: usize, mut entries: Vec<Entry>) -> Vec<Entry> {
    if 0 < round {
        for entry in &mut entries {
            entry.is_optional = !matches!(entry.field, Field::Catch(_, "pressure" | "duration"));
            if entry.as_in.is_empty() {
                entry.as_in = condition_of(entry.field)
                    .map(Field::name)
                    .into_iter()
                    .collect();
            }
        }
    }
    entries
}

/// The same condition in the first round; none of a reading.
fn condition_of(field: Field) -> Option<Field> {
    match field {
        Field::Catch(_, "pressure" | "duration") => None,
        Field::Catch(_, key) => Some(Field::Catch(0, key)),
        Field::Meter(_, key @ "known-by") => Some(Field::Meter(0, key)),
        Field::Speed(_, key @ ("distance" | "surface" | "tank" | "measured-by" | "watch")) => {
            Some(Field::Speed(0, key))
        }
        Field::Visit(_)
        | Field::Preparation(_)
        | Field::Nozzle { .. }
        | Field::Meter(..)
        | Field::Speed(..)
        | Field::Run(..)
        | Field::Balance(_)
        | Field::Off(..) => None,
    }
}

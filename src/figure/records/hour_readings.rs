//! Readings of the hour meter, each beside the one before it, as members of a figure.

use crate::figure::member::Member;
use crate::figure::standing::{EarlierReading, Standing};
use crate::outcome::{Key, Part};

/// A machine's first reading has nothing to be held against, and is no member.
pub(super) fn hour_readings<'v>(standing: &'v Standing<'v>) -> Vec<Member<&'v EarlierReading>> {
    let records = standing.records.iter();
    let readings = records.flat_map(|record| {
        let numbered = (0_u16..).zip(&record.hours);
        numbered.map(move |(index, reading)| (record, index, reading))
    });
    let members = readings.filter_map(|(record, index, reading)| {
        let place = reading.now.place;
        let key = Key {
            part: Part::Test(index),
            ..standing.key_of(record)
        };
        Some(match reading.earlier.as_ref()? {
            Err(because) => Member::unavailable(key, *because, None, place),
            Ok(earlier) => Member::new(key, earlier, place).against(earlier.used.then.place),
        })
    });
    members.collect()
}

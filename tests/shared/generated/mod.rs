//! Small fleets drawn by chance: machines of every build, what happened to them, and what their group decided.
//!
//! The same seed gives the same files. Most records are well formed; a share has a slip, and some cannot be read at all.

mod group;
mod machine;
pub(crate) mod opened;

pub(crate) use group::rule;

use jiff::ToSpan;
use jiff::civil::{Date, date};
use std::collections::BTreeMap;

/// A fleet, and days to ask about it on.
#[derive(Debug)]
pub(crate) struct Fleet {
    /// Its files by path.
    pub(crate) files: BTreeMap<String, String>,
    /// Ten days, from its first records to long after its last.
    pub(crate) days: Vec<Date>,
}

/// The machines of a fleet, in the order they are taken.
pub(crate) const MACHINES: [&str; 4] = ["avocet", "dunlin", "heron", "stint"];
/// The setups of a machine, in the order they are taken.
pub(crate) const SETUPS: [&str; 3] = ["fairways", "greens", "tees"];
/// The courses.
pub(crate) const COURSES: [&str; 2] = ["harrow-fen", "saltmere"];

/// All of it begins this day.
const FIRST: Date = date(2024, 1, 10);
/// So many days a history lasts, about.
const LASTS: u64 = 600;

/// The fleet of a seed.
pub(crate) fn fleet(seed: u64) -> Fleet {
    let mut chance = Chance(seed);
    let mut files = BTreeMap::new();
    let machines = &MACHINES[..=chance.index(MACHINES.len())];
    for machine in machines {
        machine::write(&mut chance, machine, &mut files);
    }
    group::write(&mut chance, machines, &mut files);
    let tenth = LASTS / 8;
    let days = (1..=10).map(|nth| {
        let after = i64::try_from(nth * tenth + chance.below(tenth)).unwrap();
        FIRST + after.days()
    });
    Fleet {
        days: days.collect(),
        files,
    }
}

/// Draws one number after the other by `SplitMix64` (Steele, Lea and Flood 2014).
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn seeded(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, end: u64) -> u64 {
        self.next() % end
    }

    pub(crate) fn index(&mut self, len: usize) -> usize {
        usize::try_from(self.below(u64::try_from(len).unwrap())).unwrap()
    }

    /// Whether something happens that does so in so many of a hundred cases.
    pub(crate) fn of_hundred(&mut self, cases: u64) -> bool {
        self.below(100) < cases
    }

    fn one_of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.index(choices.len())]
    }

    /// `value` give or take a share of it.
    fn near(&mut self, value: f64, share: f64) -> f64 {
        let step = f64::from(u32::try_from(self.below(2_001)).unwrap());
        value * (1.0 + share * (step / 1_000.0 - 1.0))
    }

    /// The items in another order.
    pub(crate) fn shuffled<T>(&mut self, mut items: Vec<T>) -> Vec<T> {
        for at in (1..items.len()).rev() {
            items.swap(at, self.index(at + 1));
        }
        items
    }

    /// A day of the history, now and then one after it.
    fn day(&mut self) -> Date {
        FIRST + i64::try_from(self.below(LASTS + LASTS / 4)).unwrap().days()
    }
}

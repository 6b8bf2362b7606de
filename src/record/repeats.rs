//! What was read of one thing: once as a rule, again now and then.

use std::ops::Deref;

/// Readings of one thing, in their order; a list that needs no room of its own for a single one.
#[derive(Debug, Clone)]
pub enum Repeats<T> {
    /// It was read once.
    Once(T),
    /// It was read several times, or not at all.
    Several(Vec<T>),
}

impl<T> Deref for Repeats<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        match self {
            Self::Once(reading) => std::slice::from_ref(reading),
            Self::Several(readings) => readings,
        }
    }
}

impl<T> FromIterator<T> for Repeats<T> {
    fn from_iter<I: IntoIterator<Item = T>>(readings: I) -> Self {
        let mut readings = readings.into_iter();
        match (readings.next(), readings.next()) {
            (Some(only), None) => Self::Once(only),
            (first, second) => {
                let several = first.into_iter().chain(second).chain(readings);
                Self::Several(several.collect())
            }
        }
    }
}

impl<'r, T> IntoIterator for &'r Repeats<T> {
    type Item = &'r T;
    type IntoIter = std::slice::Iter<'r, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_readings_are_kept_in_their_order() {
        for count in 0..4 {
            let readings: Repeats<u32> = (0..count).collect();
            assert_eq!(*readings, (0..count).collect::<Vec<_>>());
        }
    }
}

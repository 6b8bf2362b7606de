//! One thing as found and as left.

use crate::outcome::Stage;

/// One thing as found and as left.
#[derive(Debug)]
pub struct Stages<T> {
    /// As found, where that differs from as left.
    pub found: Option<T>,
    /// As left; none where it was not tested, or corrected and not tested again.
    pub left: Option<T>,
}

impl<T> Default for Stages<T> {
    fn default() -> Self {
        Self {
            found: None,
            left: None,
        }
    }
}

impl<T> Stages<T> {
    /// The first of several tests as found and the last as left, which nobody knows where the last
    /// one ends with a correction.
    pub(super) fn of(tests: Vec<T>, corrected_last: bool) -> Self {
        let mut tests = tests.into_iter();
        let (first, last) = (tests.next(), tests.next_back());
        match (last, corrected_last) {
            (_, true) => Self {
                found: first,
                left: None,
            },
            (None, false) => Self {
                found: None,
                left: first,
            },
            (last @ Some(_), false) => Self {
                found: first,
                left: last,
            },
        }
    }

    /// Both, as far as they exist.
    pub fn each(&self) -> impl Iterator<Item = (Stage, &T)> {
        let found = self.found.iter().map(|test| (Stage::AsFound, test));
        found.chain(self.left.iter().map(|test| (Stage::AsLeft, test)))
    }

    /// One of them.
    pub fn at(&self, stage: Stage) -> Option<&T> {
        match stage {
            Stage::AsFound => self.found.as_ref(),
            Stage::AsLeft => self.left.as_ref(),
        }
    }
}

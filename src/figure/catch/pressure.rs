//! Pressures as they were read: shared by what is rated at one and what one is held against.

use crate::fact::Fact;
use crate::figure::number::Number;
use crate::figure::visit::{Pressure, Visit};
use crate::working::Expression;

impl Pressure {
    /// What the gauge shows plus the gauge's error.
    pub(crate) fn value<N: Number>(&self, visit: &Visit<'_>) -> N {
        let input = |id| N::input(&visit.primitives, id);
        input(self.reading).plus(&input(self.error))
    }

    /// Its value, shown as it is written.
    pub(crate) fn as_written(&self) -> Expression {
        Expression::number(self.quantity.si(), Fact::Written(self.quantity))
    }
}

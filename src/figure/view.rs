//! What figures of a stratum are computed from: the readings of a visit, or how a machine stands.

use super::primitive::Primitives;
use super::visit::Subject;
use crate::fact::Fact;
use crate::outcome::Key;
use jiff::civil::Date;

/// A stratum of figures: readings come first, then state. There is no way back.
pub trait Stratum: 'static {
    /// What its figures see.
    type View<'v>: View;
}

/// What figures of either stratum see.
pub trait View {
    /// The machine.
    fn subject(&self) -> &Subject<'_>;
    /// The sources of error.
    fn primitives(&self) -> &Primitives;
    /// The name of the setup of a key.
    fn setup_name(&self, key: &Key) -> Option<&str>;
    /// The day whose limits are in force at a key.
    fn day(&self, key: &Key) -> Date;
    /// What was sprayed with what was found at a key, where that is on record.
    fn sprayed_before(&self, key: &Key) -> Option<Fact>;
    /// The part a key names.
    fn part(&self, key: &Key) -> Fact;
}

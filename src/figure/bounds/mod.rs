//! Figures of readings that are more than there can be: more than a jug, a gauge or a tank has.

mod beyond;
pub(super) mod of_record;
pub(super) mod of_visit;

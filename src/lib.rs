//! swathlint recomputes the calibration of boom sprayers from the raw readings in their records and says what does not hold.

pub mod source;
pub mod quantity;
pub mod words;
pub mod diagnostic;
pub mod yaml;
pub mod schema;
pub mod report;
pub mod render;

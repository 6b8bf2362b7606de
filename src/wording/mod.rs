//! English, put to facts and findings last: another language is another module like this one.

mod cannot_mix;
mod compared;
mod explained;
pub mod facts;
pub mod findings;
pub mod relaxed;
pub mod shown;
pub mod steps;
pub mod tank;
mod unusable;
pub mod visit;

pub use compared::compared_in_words;

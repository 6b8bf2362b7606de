//! English, put to facts and findings last: another language is another module like this one.

pub mod facts;
pub mod findings;
pub mod relaxed;
pub mod shown;
pub mod steps;

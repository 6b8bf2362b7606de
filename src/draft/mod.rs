//! A visit in the making: what there is to read, what each reading aims at, what was read so far, and the record of it.
//!
//! One form serves whoever fills in a record by hand, on paper, at a terminal or on a phone, so that the record is the same.
//! Decides nothing of a machine: which steps it has, and what a reading aims at, is the assessment's. An empty reading is not
//! filled in, so that a begun record is no fault and does no step.

mod aims;
mod asked;
mod begin;
mod commands;
mod dialogue;
mod entered;
mod form;
mod going_on;
mod known;
mod last;
mod next;
mod place;
mod read_back;
mod said;
mod scalar;
mod session;
mod state;
mod stays;
mod text;
mod typed;
mod wanted;

pub use begin::form;
pub use dialogue::{Answer, Dialogue, Question};
pub use entered::Entered;
pub use form::{Aim, Entry, FactorMeaning, Field, Form, Part, ROUNDS, SectionTold, SetupTold};
pub use going_on::{Changed, GoneOn};
pub use known::time_of_a_course;
pub use place::{Kept, RecordPlace, record_place};
pub use scalar::scalar;
pub use state::{Mark, Next, Said, Session, SoFar};
pub use stays::{Readiness, Stays};
pub use text::{Extent, Written, record_path, text};
pub use typed::{Kind, MISSED, Refused};
pub use wanted::Wanted;

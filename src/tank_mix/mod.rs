//! What goes into the tank before a job: the loads for an area, the water and the products of each.
//!
//! Arithmetic and limits alone: whether a machine is ready, and at what rate it sprays, is decided elsewhere and given. Where
//! something speaks against a number there is none, but the reason. Puts no words to a card.

mod asked;
mod card;
mod label;
mod loads;
mod measured;
mod mix;
mod mixed;
mod on_record;

pub use asked::{Asked, CannotMix, MOST_TANK, Product, WrongProduct};
pub use card::{Card, NoActual, Refusal, StepTold, Unknown, Warning, WorksAt};
pub use label::{Label, LabelFrom, OverLabel};
pub use loads::{MOST_LOADS, Share, shares};
pub use measured::Measured;
pub use mix::{COARSE, Job, MixOrNot, MixedAt, SMALL_LOAD};
pub use mixed::{Actual, Basis, Beside, BesideProduct, Leftover, Load, Mix, MixedProduct, Refused};
pub use on_record::{OnRecord, labels_on_record};

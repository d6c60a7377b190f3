//! Repeats of stages 2 to 4 under elevation error: the error itself, and what a number of repeats says.
//!
//! Takes a model of the error, gives error fields ([`FieldSource`]) and parcel shifts; takes outcomes of
//! repeats, gives likelihoods with their intervals ([`Likelihood`]), ranges, and whether enough repeats were
//! made ([`Plan`]). Guarantees: a realisation's error hangs on seed and number alone, never on threads or on
//! the order of work. Must never touch files or run the stages itself (the pipeline does).

mod error_model;
mod field;
mod likelihood;
mod plan;
mod plausible;
mod verdict;

pub use error_model::{ErrorModel, SHORT_RANGE, SHORT_SHARE, correlation};
pub use field::{FieldPair, FieldSource, parcel_shift};
pub use likelihood::{Likelihood, Spread, unseen_at_most};
pub use plausible::Plausible;
pub use plan::{FEWEST, Plan, REALISATIONS, STEP};
pub use verdict::Verdict;

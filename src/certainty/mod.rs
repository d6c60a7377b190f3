//! Repeats of stages 2 to 4 under elevation error: the error itself, and what a number of repeats says.
//!
//! Takes a model of the error, gives error fields ([`FieldSource`]) and parcel shifts, and what shots of the
//! ground make of them ([`Conditioning`]); takes outcomes of repeats, gives likelihoods with their intervals
//! ([`Likelihood`]), ranges, whether enough repeats were made ([`Plan`]), and which shots would tell most of
//! what they leave open ([`telling_shots`]). Guarantees: a realisation's error hangs on seed and number
//! alone, never on threads or on the order of work. Must never touch files or run the stages itself (the
//! pipeline does).

mod calibration;
mod conditioning;
mod covariance;
mod error_model;
mod field;
mod kriging;
mod likelihood;
mod plan;
mod reading;
mod settling;
mod shift;
mod verdict;

pub use calibration::GroundToError;
pub use conditioning::{Conditioning, Observed};
pub use covariance::{Covariance, parts};
pub use error_model::{ErrorModel, SHORT_RANGE, SHORT_SHARE, SHOT_ACCURACY, correlation};
pub use field::{FieldPair, FieldSource};
pub use kriging::{Kriging, NotApart, Weights};
pub use likelihood::{Likelihood, Spread, unseen_at_most};
pub use plan::{FEWEST, Plan, REALISATIONS, STEP};
pub use reading::Reading;
pub use settling::{Comparison, Errors, Question, Telling, telling_shots};
pub use shift::parcel_shifts;
pub use verdict::Verdict;

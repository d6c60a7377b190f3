//! What can be wrong with a drain.

use super::super::quantities::QuantityError;
use crate::units::OutOfRange;

/// A drain that can't be designed.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum DrainError {
    /// A growth of the water that makes no sense.
    #[error(
        "place {place} of the water's growth is {share} at {station_m} m: places must rise from 0, shares from 0 to 1"
    )]
    Growth {
        /// Which, from 1.
        place: usize,
        /// Its station.
        station_m: f64,
        /// Its share.
        share: f64,
    },
    /// A number outside what a formula takes.
    #[error("{0}")]
    OutOfRange(#[from] OutOfRange),
    /// Quantities that can't be told.
    #[error("{0}")]
    Quantity(#[from] QuantityError),
}

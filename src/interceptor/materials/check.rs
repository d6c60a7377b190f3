//! Ranges of figures.

use crate::units::OutOfRange;
use std::ops::RangeInclusive;

/// A figure that can't be.
pub(super) type Fault = OutOfRange;

/// Holds a figure against its range.
pub(super) fn within(
    what: &'static str,
    found: f64,
    range: RangeInclusive<f64>,
    words: &'static str,
) -> Result<(), Fault> {
    if range.contains(&found) { Ok(()) } else { Err(OutOfRange { what, found, range: words }) }
}

//! Time of overland flow by Kerby.

use crate::units::{Grade, Length, Time};

/// Longest way for which the equation holds.
#[must_use]
pub const fn longest() -> Length {
    Length::from_ft(1200.0)
}

/// Time over land.
///
/// # Method
/// t = 1.44 (L N)^0.467 S^-0.235, in min and m, with the retardance N of the ground (0.02 pavement to 0.8 forest litter).
///
/// # Source
/// Roussel and others, Time-Parameter Estimation for Applicable Texas Watersheds, TxDOT research report 0-4696-2 (2005),
/// page 29.
///
/// # Valid range
/// Up to [`longest`].
#[must_use]
pub fn travel_time(length: Length, retardance: f64, grade: Grade) -> Time {
    Time::from_min(1.44 * (length.as_m() * retardance).powf(0.467) * grade.get().powf(-0.235))
}

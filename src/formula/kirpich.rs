//! Time of channel flow by Kirpich.

use crate::units::{Grade, Length, Time};

/// Time along a main channel.
///
/// # Method
/// t = 0.0195 L^0.77 S^-0.385, in min and m.
///
/// # Source
/// Roussel and others, Time-Parameter Estimation for Applicable Texas Watersheds, TxDOT research report 0-4696-2 (2005).
#[must_use]
pub fn travel_time(length: Length, grade: Grade) -> Time {
    Time::from_min(0.0195 * length.as_m().powf(0.77) * grade.get().powf(-0.385))
}

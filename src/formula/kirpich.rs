//! Time of channel flow by Kirpich.

use crate::units::{Grade, Length, Time};

/// Time along a main channel.
///
/// # Method
/// t = 0.0078 L^0.77 S^-0.385, in min and ft.
///
/// # Units
/// In metres the source prints the constant 0.0195, rounded: its times lie 0.15 % above those of the foot form, by which
/// the source works its example, and which is ours.
///
/// # Source
/// Roussel and others, Time-Parameter Estimation for Applicable Texas Watersheds, TxDOT research report 0-4696-2 (2005).
///
/// # Example
/// ```
/// use lotshed::formula::kirpich::travel_time;
/// use lotshed::units::{Grade, Length};
/// // 4780 ft at 0.95 %: 32 min (the report, page 30).
/// let t = travel_time(Length::from_ft(4780.0), Grade::new(0.0095).unwrap());
/// assert!((t.as_min() - 32.0).abs() < 0.5);
/// ```
#[must_use]
pub fn travel_time(length: Length, grade: Grade) -> Time {
    let (l_ft, s) = (length.as_ft(), grade.get());
    Time::from_min(0.0078 * l_ft.powf(0.77) * s.powf(-0.385))
}

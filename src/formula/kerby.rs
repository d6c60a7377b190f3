//! Time of overland flow by Kerby.

use crate::units::{Grade, Length, Retardance, Time};

/// Longest way for which the equation holds.
#[must_use]
pub const fn longest() -> Length {
    Length::from_ft(1200.0)
}

/// Time over land.
///
/// # Method
/// t = 0.828 (L N)^0.467 S^-0.235, in min and ft, with the retardance N of the ground.
///
/// # Units
/// In metres the source prints the constant 1.44, rounded: its times lie 0.15 % below those of the foot form, by which
/// the source works its example, and which is ours.
///
/// # Source
/// Roussel and others, Time-Parameter Estimation for Applicable Texas Watersheds, TxDOT research report 0-4696-2 (2005),
/// page 29.
///
/// # Valid range
/// Up to [`longest`].
///
/// # Example
/// ```
/// use lotshed::formula::kerby::travel_time;
/// use lotshed::units::{Grade, Length, Retardance};
/// // 500 ft of average grass at 2 %: 25 min (the report, page 30).
/// let (n, s) = (Retardance::new(0.40).unwrap(), Grade::new(0.02).unwrap());
/// let t = travel_time(Length::from_ft(500.0), n, s);
/// assert!((t.as_min() - 25.0).abs() < 0.5);
/// ```
#[must_use]
pub fn travel_time(length: Length, retardance: Retardance, grade: Grade) -> Time {
    let (l_ft, n, s) = (length.as_ft(), retardance.get(), grade.get());
    Time::from_min(0.828 * (l_ft * n).powf(0.467) * s.powf(-0.235))
}

//! Time of overland flow by the formula for airports.

use crate::units::{Grade, Length, RunoffCoefficient, Time};

/// Time over land.
///
/// # Method
/// t = 1.8 (1.1 - C) L^0.5 / S^(1/3), in min, ft and percent. The grade is handed over as fall by length, so that a
/// fraction can't be taken for percent.
///
/// # Source
/// US FAA, advisory circular 150/5320-5 (from memory), as quoted second-hand with an example of San Diego County (2003).
///
/// # Example
/// ```
/// use lotshed::formula::airport::travel_time;
/// use lotshed::units::{Grade, Length, RunoffCoefficient};
/// // 100 ft at 8 %, C 0.1: 1.8 x 1.0 x 10 / 2 = 9 min.
/// let c = RunoffCoefficient::new(0.1).unwrap();
/// let t = travel_time(c, Length::from_ft(100.0), Grade::new(0.08).unwrap());
/// assert!((t.as_min() - 9.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn travel_time(coefficient: RunoffCoefficient, length: Length, grade: Grade) -> Time {
    let (c, l_ft, s_percent) = (coefficient.get(), length.as_ft(), 100.0 * grade.get());
    Time::from_min(1.8 * (1.1 - c) * l_ft.sqrt() / s_percent.cbrt())
}

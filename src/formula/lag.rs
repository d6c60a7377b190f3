//! Time of concentration by the lag method of the curve number.

use super::curve_number::retention;
use crate::units::{CurveNumber, Grade, Length, Time};

/// Share of the time of concentration that the lag is.
///
/// # Source
/// USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), equation 15-3.
pub const LAG_SHARE: f64 = 0.6;

/// Curve numbers for which the method holds.
///
/// # Source
/// USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), section 630.1502.
pub const NUMBERS: [f64; 2] = [50.0, 95.0];

/// Time of concentration.
///
/// # Method
/// Tc = L^0.8 (S + 1)^0.7 / (1140 Y^0.5), in h, ft, in and percent.
///
/// # Source
/// USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), equation 15-4b.
///
/// # Valid range
/// Curve numbers in the range of [`NUMBERS`].
///
/// # Example
/// ```
/// use lotshed::formula::lag::time_of_concentration;
/// use lotshed::units::{CurveNumber, Grade, Length};
/// // 3865 ft at 4.79 %, CN 63: 1.14 h (the handbook, section 630.1504).
/// let number = CurveNumber::new(63.0).unwrap();
/// let t = time_of_concentration(Length::from_ft(3865.0), number, Grade::new(0.0479).unwrap());
/// assert!((t.as_h() - 1.14).abs() < 0.005);
/// ```
#[must_use]
pub fn time_of_concentration(length: Length, number: CurveNumber, land_grade: Grade) -> Time {
    let (l_ft, s_in, y_percent) = (length.as_ft(), retention(number).as_in(), 100.0 * land_grade.get());
    Time::from_h(l_ft.powf(0.8) * (s_in + 1.0).powf(0.7) / (1140.0 * y_percent.sqrt()))
}

//! Time of sheet flow, and how long a sheet stays one.

use crate::units::{Grade, Length, RainIntensity, SheetRoughness, Time};

/// What ends a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetLimit {
    /// The fixed length.
    Fixed,
    /// Roughness and fall.
    ByRoughness,
    /// Nothing: the whole way is a sheet.
    WholeWay,
}

/// Longest sheet by the fixed rule: 100 ft.
///
/// # Source
/// USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), pages 15-6 and 15-7. TR-55 (1986), page 3-3,
/// allowed 300 ft.
#[must_use]
pub const fn longest_fixed() -> Length {
    Length::from_ft(100.0)
}

/// Longest sheet by roughness and fall.
///
/// # Method
/// L = 100 S^0.5 / n, in ft (McCuen and Spiess).
///
/// # Source
/// USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), equation 15-9.
///
/// # Example
/// ```
/// use lotshed::formula::sheet_flow::longest_by_roughness;
/// use lotshed::units::{Grade, SheetRoughness};
/// // n 0.5 at 1 %: 100 x 0.1 / 0.5 = 20 ft.
/// let longest = longest_by_roughness(SheetRoughness::new(0.5).unwrap(), Grade::new(0.01).unwrap());
/// assert!((longest.as_ft() - 20.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn longest_by_roughness(n: SheetRoughness, grade: Grade) -> Length {
    Length::from_ft(100.0 * grade.get().sqrt() / n.get())
}

/// Time of sheet flow by the 2-year, 24-hour rain.
///
/// # Method
/// T = 0.007 (n L)^0.8 / (P^0.5 s^0.4), in h, ft and in.
///
/// # Source
/// USDA SCS, Urban Hydrology for Small Watersheds, Technical Release 55 (1986), equation 3-3.
///
/// # Example
/// ```
/// use lotshed::formula::sheet_flow::travel_time;
/// use lotshed::units::{Grade, Length, SheetRoughness};
/// // 100 ft of dense grass at 1 %, 3.6 in of rain: 0.30 h (the book, example 3-1).
/// let (n, s) = (SheetRoughness::new(0.24).unwrap(), Grade::new(0.01).unwrap());
/// let t = travel_time(n, Length::from_ft(100.0), Length::from_in(3.6), s);
/// assert!((t.as_h() - 0.30).abs() < 0.005);
/// ```
#[must_use]
pub fn travel_time(n: SheetRoughness, length: Length, rain_2_years_24_h: Length, grade: Grade) -> Time {
    let (n, l_ft, p_in, s) = (n.get(), length.as_ft(), rain_2_years_24_h.as_in(), grade.get());
    Time::from_h(0.007 * (n * l_ft).powf(0.8) / (p_in.sqrt() * s.powf(0.4)))
}

/// Time of sheet flow in rain of one intensity, by the kinematic wave.
///
/// # Method
/// t = 6.9 / i^0.4 (n L / S^0.5)^0.6, in min, mm/h and m.
///
/// # Source
/// FHWA, Highway Hydrology, Hydraulic Design Series 2, 2nd edition (2002), equation 2.5.
///
/// # Example
/// ```
/// use lotshed::formula::sheet_flow::travel_time_at;
/// use lotshed::units::{Grade, Length, RainIntensity, SheetRoughness};
/// // n L / S^0.5 = 0.1 x 10 / 0.1 = 10, i = 32 mm/h: 6.9 / 4 x 10^0.6 = 1.725 x 3.981 = 6.867 min.
/// let (n, s) = (SheetRoughness::new(0.1).unwrap(), Grade::new(0.01).unwrap());
/// let t = travel_time_at(n, Length::from_m(10.0), s, RainIntensity::from_mm_per_h(32.0));
/// assert!((t.as_min() - 6.867).abs() < 0.001);
/// ```
#[must_use]
pub fn travel_time_at(n: SheetRoughness, length: Length, grade: Grade, intensity: RainIntensity) -> Time {
    let (n, l_m, s, i_mm_h) = (n.get(), length.as_m(), grade.get(), intensity.as_mm_per_h());
    Time::from_min(6.9 / i_mm_h.powf(0.4) * (n * l_m / s.sqrt()).powf(0.6))
}

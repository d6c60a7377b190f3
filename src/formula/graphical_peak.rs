//! Peak flow by the graphical method of TR-55, for the four rainfall types of the United States.

use super::curve_number::{LEAST_NUMBER, initial_abstraction, runoff_depth};
use crate::units::{Area, CurveNumber, Flow, Length, OutOfRange, PondShare, Time};
use serde::{Deserialize, Serialize};

/// How the rain of a day is spread over it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum RainfallType {
    /// Pacific coast, wet winters.
    I,
    /// The mildest, Pacific northwest.
    #[serde(rename = "IA")]
    Ia,
    /// Most of the country.
    #[serde(rename = "II")]
    Ii,
    /// Gulf and Atlantic coasts.
    #[serde(rename = "III")]
    Iii,
}

/// Ia/P, then the three coefficients, as printed.
type Row = (f64, [f64; 3]);

const TYPE_I: [Row; 8] = [
    (0.10, [2.30550, -0.51429, -0.11750]),
    (0.20, [2.23537, -0.50387, -0.08929]),
    (0.25, [2.18219, -0.48488, -0.06589]),
    (0.30, [2.10624, -0.45695, -0.02835]),
    (0.35, [2.00303, -0.40769, 0.01983]),
    (0.40, [1.87733, -0.32274, 0.05754]),
    (0.45, [1.76312, -0.15644, 0.00453]),
    (0.50, [1.67889, -0.06930, 0.0]),
];
const TYPE_IA: [Row; 5] = [
    (0.10, [2.03250, -0.31583, -0.13748]),
    (0.20, [1.91978, -0.28215, -0.07020]),
    (0.25, [1.83842, -0.25543, -0.02597]),
    (0.30, [1.72657, -0.19826, 0.02633]),
    (0.50, [1.63417, -0.09100, 0.0]),
];
const TYPE_II: [Row; 6] = [
    (0.10, [2.55323, -0.61512, -0.16403]),
    (0.30, [2.46532, -0.62257, -0.11657]),
    (0.35, [2.41896, -0.61594, -0.08820]),
    (0.40, [2.36409, -0.59857, -0.05621]),
    (0.45, [2.29238, -0.57005, -0.02281]),
    (0.50, [2.20282, -0.51599, -0.01259]),
];
const TYPE_III: [Row; 6] = [
    (0.10, [2.47317, -0.51848, -0.17083]),
    (0.30, [2.39628, -0.51202, -0.13245]),
    (0.35, [2.35477, -0.49735, -0.11985]),
    (0.40, [2.30726, -0.46541, -0.11094]),
    (0.45, [2.24876, -0.41314, -0.11508]),
    (0.50, [2.17772, -0.36803, -0.09525]),
];
/// Ponds and swamps spread over the catchment, per cent of it, and factor.
const PONDS: [(f64, f64); 5] = [(0.0, 1.00), (0.2, 0.97), (1.0, 0.87), (3.0, 0.75), (5.0, 0.72)];
/// Times of concentration for which the equation holds, hours.
const HOURS: [f64; 2] = [0.1, 10.0];

/// Least and greatest initial abstraction by rain for which there are figures; beyond them the nearest counts.
///
/// # Source
/// TR-55 (1986), page 4-1.
pub const ABSTRACTION_SHARES: [f64; 2] = [0.1, 0.5];

/// Least time of concentration; a shorter one counts as this.
///
/// # Source
/// TR-55 (1986), page 3-4.
#[must_use]
pub const fn least_time() -> Time {
    Time::from_h(HOURS[0])
}

/// Longest time of concentration for which the method holds.
///
/// # Source
/// TR-55 (1986), chapter 4.
#[must_use]
pub const fn longest_time() -> Time {
    Time::from_h(HOURS[1])
}

impl std::str::FromStr for RainfallType {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        match text.trim().to_ascii_uppercase().as_str() {
            "I" => Ok(Self::I),
            "IA" => Ok(Self::Ia),
            "II" => Ok(Self::Ii),
            "III" => Ok(Self::Iii),
            _ => Err(format!("\"{text}\" is not a rainfall type; use I, IA, II or III")),
        }
    }
}

impl RainfallType {
    /// Its name as printed.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::I => "I",
            Self::Ia => "IA",
            Self::Ii => "II",
            Self::Iii => "III",
        }
    }

    const fn rows(self) -> &'static [Row] {
        match self {
            Self::I => &TYPE_I,
            Self::Ia => &TYPE_IA,
            Self::Ii => &TYPE_II,
            Self::Iii => &TYPE_III,
        }
    }

    /// Coefficients at a ratio of initial abstraction to rain, straight between the printed rows; beyond them those of the
    /// first and last.
    ///
    /// # Source
    /// TR-55 (1986), table F-1; straight between rows: FHWA HDS-2 (2002), example 5.4.
    ///
    /// # Example
    /// ```
    /// use lotshed::formula::graphical_peak::RainfallType;
    /// // Type II at 0.12: C0 = 2.5444, C1 = -0.61587, C2 = -0.15928 (HDS-2, example 5.4).
    /// let [c0, c1, c2] = RainfallType::Ii.coefficients(0.12);
    /// assert!((c0 - 2.5444).abs() < 5e-5 && (c1 + 0.61587).abs() < 1e-5 && (c2 + 0.15928).abs() < 1e-5);
    /// ```
    #[must_use]
    pub fn coefficients(self, ia_over_p: f64) -> [f64; 3] {
        let rows = self.rows();
        let (low, high, part) = between(rows, ia_over_p);
        std::array::from_fn(|i| rows[low].1[i] + part * (rows[high].1[i] - rows[low].1[i]))
    }
}

/// Places of the rows on both sides of a value and how far it lies between them, kept to the ends.
fn between<T>(rows: &[(f64, T)], value: f64) -> (usize, usize, f64) {
    let high = rows.iter().position(|row| row.0 >= value).unwrap_or(rows.len() - 1);
    let low = high.saturating_sub(1);
    let (a, b) = (rows[low].0, rows[high].0);
    let part = if b > a { ((value - a) / (b - a)).clamp(0.0, 1.0) } else { 0.0 };
    (low, high, part)
}

/// Peak per square mile and inch of runoff, cubic feet per second.
///
/// # Method
/// log10 q = C0 + C1 log10 Tc + C2 (log10 Tc)^2, Tc in hours, straight in q between the printed ratios (page 4-1). Ratios and
/// times beyond the printed ones take the nearest, as the book says of ratios; [`peak`] refuses such times.
///
/// # Source
/// TR-55 (1986), chapter 4 and appendix F.
///
/// # Example
/// ```
/// use lotshed::formula::graphical_peak::{RainfallType, unit_peak_csm_in};
/// use lotshed::units::Time;
/// // At 1 h the logarithms are 0: type II at Ia/P 0.1 gives 10^2.55323 = 357.5.
/// let unit = unit_peak_csm_in(RainfallType::Ii, 0.1, Time::from_h(1.0));
/// assert!((unit - 357.5).abs() < 0.05);
/// ```
#[must_use]
pub fn unit_peak_csm_in(rain: RainfallType, ia_over_p: f64, time: Time) -> f64 {
    let rows = rain.rows();
    let log = time.as_h().clamp(HOURS[0], HOURS[1]).log10();
    let unit = |row: &Row| 10.0_f64.powf(row.1[0] + row.1[1] * log + row.1[2] * log * log);
    let (low, high, part) = between(rows, ia_over_p);
    unit(&rows[low]) * (1.0 - part) + unit(&rows[high]) * part
}

/// What ponds and swamps spread over the catchment take off the peak; straight between the printed shares.
///
/// # Source
/// TR-55 (1986), table 4-2.
///
/// # Example
/// ```
/// use lotshed::formula::graphical_peak::pond_factor;
/// use lotshed::units::PondShare;
/// // 1 % of ponds: 0.87, and 2 %, halfway to 0.75 at 3 %: 0.81.
/// assert!((pond_factor(PondShare::new(0.01).unwrap()) - 0.87).abs() < 1e-9);
/// assert!((pond_factor(PondShare::new(0.02).unwrap()) - 0.81).abs() < 1e-9);
/// ```
#[must_use]
pub fn pond_factor(ponds: PondShare) -> f64 {
    let (low, high, part) = between(&PONDS, 100.0 * ponds.get());
    PONDS[low].1 + part * (PONDS[high].1 - PONDS[low].1)
}

/// Peak of a 24-hour storm.
///
/// # Method
/// q = qu A Q F: unit peak, area, runoff depth, pond factor.
///
/// # Source
/// TR-55 (1986), equation 4-1.
///
/// # Valid range
/// One curve number for the catchment, 40 and above; times of concentration from 0.1 to 10 hours; ratios Ia/P from 0.1 to
/// 0.5, beyond which the nearest counts (page 4-1).
///
/// # Errors
/// [`OutOfRange`] for a time, a curve number or a depth outside these.
///
/// # Example
/// ```
/// use lotshed::formula::graphical_peak::{RainfallType, peak};
/// use lotshed::units::{Area, CurveNumber, Length, PondShare, Time};
/// // 250 acres, CN 75, 1.53 h, 6 in, no ponds: 345 cfs, its unit peak read off a chart (the book, example 4-1).
/// let (number, area) = (CurveNumber::new(75.0).unwrap(), Area::from_acres(250.0));
/// let flow = peak(RainfallType::Ii, Length::from_in(6.0), number, area, Time::from_h(1.53), PondShare::NONE).unwrap();
/// assert!((flow.as_ft3_per_s() - 345.0).abs() < 3.45);
/// ```
pub fn peak(
    rain: RainfallType,
    depth: Length,
    number: CurveNumber,
    area: Area,
    time: Time,
    ponds: PondShare,
) -> Result<Flow, OutOfRange> {
    let refuse = |what, found, range| Err(OutOfRange { what, found, range });
    // The least time comes back from minutes a hair beside itself.
    if !(HOURS[0] * (1.0 - 1e-12)..=HOURS[1] * (1.0 + 1e-12)).contains(&time.as_h()) {
        return refuse("time of concentration, h", time.as_h(), "0.1 to 10");
    }
    if number.get() < LEAST_NUMBER {
        return refuse("curve number", number.get(), "40 to 100");
    }
    if depth.as_m() <= 0.0 {
        return refuse("depth of rain, m", depth.as_m(), "above 0");
    }
    let ratio = initial_abstraction(number) / depth;
    let square_miles = area.as_acres() / 640.0;
    let runoff_in = runoff_depth(depth, number).as_in();
    let unit = unit_peak_csm_in(rain, ratio, time);
    Ok(Flow::from_ft3_per_s(unit * square_miles * runoff_in * pond_factor(ponds)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const TYPES: [RainfallType; 4] = [RainfallType::I, RainfallType::Ia, RainfallType::Ii, RainfallType::Iii];

    fn peak_m3_s(rain: RainfallType, inches: f64, number: f64, acres: f64, hours: f64, ponds: f64) -> f64 {
        let (depth, number) = (Length::from_in(inches), CurveNumber::new(number).unwrap());
        let ponds = PondShare::new(ponds).unwrap();
        peak(rain, depth, number, Area::from_acres(acres), Time::from_h(hours), ponds).unwrap().as_m3_per_s()
    }

    proptest! {
        #[test]
        fn more_rain_a_higher_number_or_more_area_never_lowers_the_peak(
            kind in 0..4_usize, inches in 0.5..12.0f64, number in 40.0..98.0f64, acres in 1.0..2000.0f64,
            hours in 0.1..5.0f64, ponds in 0.0..0.05f64, more in 1.0..2.0f64, part in 0.0..1.0f64,
        ) {
            let rain = TYPES[kind];
            let base = peak_m3_s(rain, inches, number, acres, hours, ponds);
            let near = base * (1.0 - 1e-9);
            prop_assert!(peak_m3_s(rain, inches * more, number, acres, hours, ponds) >= near);
            prop_assert!(peak_m3_s(rain, inches, number + part * (98.0 - number), acres, hours, ponds) >= near);
            let twice = peak_m3_s(rain, inches, number, 2.0 * acres, hours, ponds);
            prop_assert!((twice - 2.0 * base).abs() <= 1e-9 * base);
            prop_assert!(peak_m3_s(rain, inches, number, acres, hours, part * ponds) >= near);
            prop_assert!(base >= peak_m3_s(rain, inches, number, acres, hours * more, ponds) * (1.0 - 1e-9));
        }

        // An inch from a square mile in one hour is 640 x 43 560 / 12 / 3600 = 645.3 cubic feet per second.
        #[test]
        fn a_peak_lies_between_the_runoff_spread_over_the_day_and_that_shed_within_the_time_of_concentration(
            kind in 0..4_usize, ratio in 0.0..1.0f64, hours in 0.1..10.0f64,
        ) {
            let unit = unit_peak_csm_in(TYPES[kind], ratio, Time::from_h(hours));
            prop_assert!(unit > 645.3 / 24.0 && unit < 645.3 / hours);
        }

        #[test]
        fn ponds_take_off_between_nothing_and_the_last_row(share in 0.0..0.05f64) {
            let factor = pond_factor(PondShare::new(share).unwrap());
            prop_assert!((0.72 - 1e-12..=1.0).contains(&factor));
        }
    }
}

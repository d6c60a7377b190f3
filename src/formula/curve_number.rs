//! Runoff of a storm by the curve number.

use crate::units::{Area, CurveNumber, Length, OutOfRange};

/// Potential maximum retention.
///
/// # Method
/// S = 1000 / CN - 10, in inches.
///
/// # Source
/// USDA SCS, Urban Hydrology for Small Watersheds, Technical Release 55 (1986), equation 2-4.
///
/// # Example
/// ```
/// use lotshed::formula::curve_number::retention;
/// use lotshed::units::CurveNumber;
/// // CN 80: 1000 / 80 - 10 = 2.5 in.
/// let s = retention(CurveNumber::new(80.0).unwrap());
/// assert!((s.as_in() - 2.5).abs() < 1e-12);
/// ```
#[must_use]
pub fn retention(number: CurveNumber) -> Length {
    Length::from_in(1000.0 / number.get() - 10.0)
}

/// Rain that falls before any of it runs off.
///
/// # Method
/// Ia = 0.2 S.
///
/// # Source
/// TR-55 (1986), equation 2-2.
///
/// # Example
/// ```
/// use lotshed::formula::curve_number::initial_abstraction;
/// use lotshed::units::CurveNumber;
/// // CN 80: 0.2 x 2.5 in = 0.5 in.
/// let ia = initial_abstraction(CurveNumber::new(80.0).unwrap());
/// assert!((ia.as_in() - 0.5).abs() < 1e-12);
/// ```
#[must_use]
pub fn initial_abstraction(number: CurveNumber) -> Length {
    retention(number) * 0.2
}

/// Runoff below which the method is less accurate.
///
/// # Source
/// TR-55 (1986), chapter 2.
#[must_use]
pub const fn least_runoff() -> Length {
    Length::from_in(0.5)
}

/// Curve number below which another method is to be used.
///
/// # Source
/// TR-55 (1986), chapter 2.
pub const LEAST_NUMBER: f64 = 40.0;

/// Runoff of a storm.
///
/// # Method
/// Q = (P - 0.2 S)^2 / (P + 0.8 S) where P is above 0.2 S, else exactly 0.
///
/// # Source
/// TR-55 (1986), equation 2-3.
///
/// # Valid range
/// Less accurate below [`least_runoff`]; not meant for curve numbers below [`LEAST_NUMBER`].
///
/// # Example
/// ```
/// use lotshed::formula::curve_number::runoff_depth;
/// use lotshed::units::{CurveNumber, Length};
/// // 3 in on CN 80 (S = 2.5 in): (3 - 0.5)^2 / (3 + 2) = 1.25 in.
/// let q = runoff_depth(Length::from_in(3.0), CurveNumber::new(80.0).unwrap());
/// assert!((q.as_in() - 1.25).abs() < 1e-12);
/// ```
#[must_use]
pub fn runoff_depth(rain: Length, number: CurveNumber) -> Length {
    let (p, s) = (rain.as_m(), retention(number).as_m());
    let left = p - 0.2 * s;
    if left <= 0.0 { Length::ZERO } else { Length::from_m(left * left / (p + 0.8 * s)) }
}

/// The curve number by which this rain has this runoff: that of ground whose runoff was weighted by cover.
///
/// # Method
/// The runoff equation solved for S: S = 5 (P + 2 Q - (4 Q^2 + 5 P Q)^0.5).
///
/// # Source
/// Closed form of TR-55 (1986), equation 2-3.
///
/// # Errors
/// [`OutOfRange`] for a rain not above 0 and a runoff outside 0 to the rain.
///
/// # Example
/// ```
/// use lotshed::formula::curve_number::{number_of_runoff, runoff_depth};
/// use lotshed::units::{CurveNumber, Length};
/// // TR-55, table 2-1: 6.0 in on curve number 75 run off 3.28 in; back from the printed digits it is 75 again.
/// let number = number_of_runoff(Length::from_in(6.0), Length::from_in(3.28)).unwrap();
/// assert!((number.get() - 75.0).abs() < 0.05);
/// ```
pub fn number_of_runoff(rain: Length, runoff: Length) -> Result<CurveNumber, OutOfRange> {
    let (p, q) = (rain.as_in(), runoff.as_in());
    let refuse = |what, found, range| Err(OutOfRange { what, found, range });
    if !(p.is_finite() && p > 0.0) {
        return refuse("depth of rain, in", p, "above 0");
    }
    if !(0.0..=p).contains(&q) {
        return refuse("depth of runoff, in", q, "0 to the depth of rain");
    }
    // Rounding may take the retention of paving a hair below 0.
    let s = (5.0 * (p + 2.0 * q - (4.0 * q * q + 5.0 * p * q).sqrt())).max(0.0);
    CurveNumber::new(1000.0 / (s + 10.0))
}

/// Curve number of homes and the like: grass of one curve number with paving and roofs of 98.
///
/// # Method
/// `CN = CNp + I (98 - CNp) (1 - 0.5 R)`, with the impervious share I of the ground and the share R of it that drains onto
/// grass first. From 30 % impervious on, R counts as 0.
///
/// # Source
/// TR-55 (1986), figures 2-3 and 2-4 and appendix F; NEH Part 630, chapter 9 (2004), equations 9-1 and 9-2, as used in its
/// examples.
///
/// # Errors
/// [`OutOfRange`] for a share outside 0 to 1.
///
/// # Example
/// ```
/// use lotshed::formula::curve_number::composite;
/// use lotshed::units::CurveNumber;
/// // 61 with 20 % impervious: 61 + 0.2 x 37 = 68.4 (NEH, example 9-1).
/// let number = composite(CurveNumber::new(61.0).unwrap(), 0.2, 0.0).unwrap();
/// assert!((number.get() - 68.4).abs() < 1e-9);
/// ```
pub fn composite(
    pervious: CurveNumber,
    impervious: f64,
    unconnected: f64,
) -> Result<CurveNumber, OutOfRange> {
    for (what, found) in [("impervious share", impervious), ("unconnected share", unconnected)] {
        if !(0.0..=1.0).contains(&found) {
            return Err(OutOfRange { what, found, range: "0 to 1" });
        }
    }
    let unconnected = if impervious < LEAST_CONNECTED { unconnected } else { 0.0 };
    let rise = impervious * (IMPERVIOUS - pervious.get()) * (1.0 - 0.5 * unconnected);
    CurveNumber::new(pervious.get() + rise)
}

/// Curve number of roofs and paving.
const IMPERVIOUS: f64 = 98.0;
/// Impervious share from which on all of it counts as connected.
const LEAST_CONNECTED: f64 = 0.3;

/// Mean curve number by area; nothing without area, or where one is below 0.
///
/// # Source
/// TR-55 (1986), examples 2-1 to 2-4. Where covers differ widely, weight the runoff instead: NEH Part 630, chapter 10,
/// example 10-5.
///
/// # Example
/// ```
/// use lotshed::formula::curve_number::weighted;
/// use lotshed::units::{Area, CurveNumber};
/// // 30 acres of 61 and 70 acres of 74: 7010 / 100 = 70.1 (the book, example 2-1).
/// let parts = [(61.0, 30.0), (74.0, 70.0)]
///     .map(|(number, acres)| (CurveNumber::new(number).unwrap(), Area::from_acres(acres)));
/// assert!((weighted(&parts).unwrap().get() - 70.1).abs() < 1e-9);
/// ```
#[must_use]
pub fn weighted(parts: &[(CurveNumber, Area)]) -> Option<CurveNumber> {
    if parts.iter().any(|(_, area)| area.as_m2() < 0.0) {
        return None;
    }
    let area_m2: f64 = parts.iter().map(|(_, area)| area.as_m2()).sum();
    let sum: f64 = parts.iter().map(|(number, area)| number.get() * area.as_m2()).sum();
    // Rounding may take a mean of hundreds just above 100; without area the quotient is no number.
    let mean = sum / area_m2;
    CurveNumber::new(if mean > 100.0 { 100.0 } else { mean }).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn runoff_in(rain_in: f64, number: f64) -> f64 {
        runoff_depth(Length::from_in(rain_in), CurveNumber::new(number).unwrap()).as_in()
    }

    #[test]
    fn without_area_there_is_no_mean() {
        assert_eq!(weighted(&[]), None);
        let number = CurveNumber::new(75.0).unwrap();
        assert_eq!(weighted(&[(number, Area::ZERO)]), None);
        assert_eq!(weighted(&[(number, Area::from_m2(3.0))]), Some(number));
        assert_eq!(weighted(&[(number, Area::from_m2(-3.0))]), None);
    }

    proptest! {
        #[test]
        fn more_rain_or_a_higher_number_never_sheds_less(
            rain in 0.0..20.0f64, number in 30.0..100.0f64, more in 1.0..2.0f64, higher in 0.0..1.0f64,
        ) {
            let base = runoff_in(rain, number);
            prop_assert!(base >= 0.0 && base <= rain * (1.0 + 1e-12));
            prop_assert!(runoff_in(rain * more, number) >= base * (1.0 - 1e-12));
            prop_assert!(runoff_in(rain, number + higher * (100.0 - number)) >= base * (1.0 - 1e-12));
            // Of more rain no more can run off than has fallen more.
            prop_assert!(runoff_in(rain * more, number) - base <= rain * (more - 1.0) + 1e-12 * rain);
        }

        #[test]
        fn ground_that_sheds_all_sheds_the_rain(rain in 0.0..20.0f64) {
            prop_assert!((runoff_in(rain, 100.0) - rain).abs() <= 1e-12 * rain);
        }

        #[test]
        fn more_paving_never_lowers_the_number_and_grass_between_never_raises_it(
            grass in 30.0..98.0f64, paved in 0.0..1.0f64, more in 0.0..1.0f64, aside in 0.0..1.0f64,
        ) {
            let of = |paved: f64, aside: f64| {
                composite(CurveNumber::new(grass).unwrap(), paved, aside).unwrap().get()
            };
            let base = of(paved, aside);
            prop_assert!(base >= grass && base <= IMPERVIOUS + 1e-9);
            prop_assert!(of(paved + more * (1.0 - paved), aside) >= base - 1e-9);
            prop_assert!(of(paved, 0.0) >= base - 1e-9);
        }

        #[test]
        fn a_mean_lies_among_its_parts_and_cares_for_areas_only_as_shares(
            parts in proptest::collection::vec((30.0..100.0f64, 0.1..1e4f64), 1..6), scale in 0.01..100.0f64,
        ) {
            let mean = |scale: f64| {
                let parts: Vec<(CurveNumber, Area)> = parts
                    .iter()
                    .map(|&(number, m2)| (CurveNumber::new(number).unwrap(), Area::from_m2(scale * m2)))
                    .collect();
                weighted(&parts).unwrap().get()
            };
            let least = parts.iter().map(|part| part.0).fold(100.0, f64::min);
            let most = parts.iter().map(|part| part.0).fold(0.0, f64::max);
            prop_assert!(mean(1.0) >= least - 1e-9 && mean(1.0) <= most + 1e-9);
            prop_assert!((mean(1.0) - mean(scale)).abs() < 1e-9);
        }
    }
}

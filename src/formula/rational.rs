//! Peak flow by the rational method.

use crate::units::{Area, Flow, OutOfRange, RainIntensity, RunoffCoefficient, Time};

/// What the customary form Q = C i A (cubic feet per second, inches per hour, acres) leaves out.
///
/// One acre-inch per hour is 43 560 / (12 x 3600) = 1.008 33 cubic feet per second. Books take the factor as 1, so
/// their printed answers lie 0.8 % below the exact product that [`peak_flow`] gives.
pub const CUSTOMARY_FACTOR: f64 = 43_560.0 / (12.0 * 3600.0);

/// Largest area for which the method is meant, in hectares (200 acres).
///
/// # Source
/// FHWA, Highway Hydrology, Hydraulic Design Series 2, 2nd edition (2002), section 5.3.1.
pub const LARGEST_AREA_HA: f64 = 80.0;

/// Peak flow of an area under steady rain.
///
/// # Units
/// Exact in SI; no factor is needed, since intensity is a length per time.
///
/// # Method
/// Q = C i A: the share C of the rain that falls on the area runs off at the same rate.
///
/// # Source
/// FHWA, Highway Hydrology, Hydraulic Design Series 2, 2nd edition (2002), equation 5.28.
///
/// # Valid range
/// Up to [`LARGEST_AREA_HA`]; the rain must last at least as long as water takes from the farthest point.
///
/// # Example
/// ```
/// use lotshed::formula::rational::peak_flow;
/// use lotshed::units::{Area, RainIntensity, RunoffCoefficient};
/// // 1 ha of roof that sheds everything, 36 mm/h: 10 000 m2 x 0.01 mm/s = 0.1 m3/s.
/// let all = RunoffCoefficient::new(1.0).unwrap();
/// let flow = peak_flow(all, RainIntensity::from_mm_per_h(36.0), Area::from_ha(1.0));
/// assert!((flow.as_m3_per_s() - 0.1).abs() < 1e-12);
/// ```
#[must_use]
pub fn peak_flow(coefficient: RunoffCoefficient, intensity: RainIntensity, area: Area) -> Flow {
    intensity * area * coefficient.get()
}

/// Peak flow of ground whose coefficients have been multiplied into its area.
///
/// # Method
/// Q = i (C A), see [`peak_flow`].
#[must_use]
pub fn peak_flow_of_shedding(intensity: RainIntensity, shedding: Area) -> Flow {
    intensity * shedding
}

/// Of two areas that meet, the one fast and the other slow, what sheds water by the time of the fast one.
///
/// # Method
/// C1 A1 t2 / t1 + C2 A2: of the slow area 1 the part has joined that t2 is of its time t1.
///
/// # Source
/// FHWA, Highway Hydrology, Hydraulic Design Series 2, 2nd edition (2002), equation 5.31.
#[must_use]
pub fn shedding_by_the_fast_time(slow: Area, slow_time: Time, fast: Area, fast_time: Time) -> Area {
    slow * (fast_time / slow_time).min(1.0) + fast
}

/// Ground of one kind within a catchment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoverPart {
    /// Its runoff coefficient.
    pub coefficient: RunoffCoefficient,
    /// Its area, above 0 or 0.
    pub area: Area,
}

/// One coefficient for a catchment of several covers.
///
/// # Method
/// C = sum(C A) / sum(A).
///
/// # Source
/// FHWA, Hydraulic Design Series 2, 2nd edition (2002), example 5.5.
///
/// # Errors
/// [`OutOfRange`] when the areas don't add up to more than 0, or one is negative or not finite.
pub fn composite_coefficient(parts: &[CoverPart]) -> Result<RunoffCoefficient, OutOfRange> {
    let refuse = |found| OutOfRange { what: "area of a cover", found, range: "0 and above, not all 0" };
    if let Some(bad) = parts.iter().map(|p| p.area.as_m2()).find(|a| !(a.is_finite() && *a >= 0.0)) {
        return Err(refuse(bad));
    }
    let area_m2: f64 = parts.iter().map(|p| p.area.as_m2()).sum();
    if area_m2 <= 0.0 {
        return Err(refuse(area_m2));
    }
    let weighted: f64 = parts.iter().map(|p| p.coefficient.get() * p.area.as_m2()).sum();
    // A mean of numbers up to 1 may round to just above 1.
    RunoffCoefficient::new((weighted / area_m2).min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn refuses_covers_without_area() {
        let c = RunoffCoefficient::new(0.5).unwrap();
        assert!(composite_coefficient(&[]).is_err());
        assert!(composite_coefficient(&[CoverPart { coefficient: c, area: Area::ZERO }]).is_err());
        let negative = CoverPart { coefficient: c, area: Area::from_m2(-1.0) };
        assert_relative_eq!(composite_coefficient(&[negative]).unwrap_err().found, -1.0);
    }

    proptest! {
        #[test]
        fn more_rain_area_or_runoff_never_lowers_the_flow(
            c in 0.01..1.0f64, i in 0.0..500.0f64, a in 0.0..1e6f64, more in 1.0..3.0f64,
        ) {
            let flow = |c: f64, i: f64, a: f64| {
                let c = RunoffCoefficient::new(c.min(1.0)).unwrap();
                peak_flow(c, RainIntensity::from_mm_per_h(i), Area::from_m2(a)).as_m3_per_s()
            };
            let base = flow(c, i, a);
            prop_assert!(flow(c * more, i, a) >= base);
            prop_assert!(flow(c, i * more, a) >= base);
            prop_assert!(flow(c, i, a * more) >= base);
        }
    }
}

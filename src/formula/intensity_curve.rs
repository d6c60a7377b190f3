//! Rainfall intensity as a curve over duration.

use crate::units::{OutOfRange, RainIntensity, Time};
use std::ops::RangeInclusive;

/// Bounds of a and b in any unit: printed curves lie far inside, and beyond them a curve may come to no rain at all or to
/// endless rain. Our choice, no source.
const A: RangeInclusive<f64> = 1e-6..=1e6;
const B: RangeInclusive<f64> = 0.0..=1e3;

/// Unit of the intensity and of the duration in a curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CurveUnit {
    /// Inches per hour over minutes.
    InPerHAndMin,
    /// Millimetres per hour over minutes.
    MmPerHAndMin,
    /// Millimetres per hour over hours.
    MmPerHAndH,
}

/// i = a / (t + b)^c.
///
/// # Invariants
/// a and c are above 0, b is 0 or more: intensities fall with duration. a lies from 0.000001 to 1 000 000, b up to 1 000, c
/// up to 2.
///
/// # Example
/// ```
/// use lotshed::formula::intensity_curve::IntensityCurve;
/// use lotshed::units::Time;
/// // 100 / (10 + 15)^0.5 = 100 / 5 = 20 mm/h at 10 minutes.
/// let curve: IntensityCurve = "100/(t+15)^0.5 mm/h".parse().unwrap();
/// assert!((curve.intensity(Time::from_min(10.0)).as_mm_per_h() - 20.0).abs() < 1e-9);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IntensityCurve {
    a: f64,
    b: f64,
    c: f64,
    unit: CurveUnit,
}

impl IntensityCurve {
    /// Checks the coefficients.
    ///
    /// # Errors
    /// [`OutOfRange`] for a, b or c outside its range.
    pub fn new(a: f64, b: f64, c: f64, unit: CurveUnit) -> Result<Self, OutOfRange> {
        let refuse = |what, found, range| Err(OutOfRange { what, found, range });
        if !A.contains(&a) {
            return refuse("coefficient a of the rainfall curve", a, "0.000001 to 1 000 000");
        }
        if !B.contains(&b) {
            return refuse("coefficient b of the rainfall curve", b, "0 to 1 000");
        }
        if !(c > 0.0 && c <= 2.0) {
            return refuse("exponent c of the rainfall curve", c, "above 0 up to 2");
        }
        Ok(Self { a, b, c, unit })
    }

    /// In mm/h, with the duration in minutes.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn in_mm_per_h_and_min(a: f64, b: f64, c: f64) -> Result<Self, OutOfRange> {
        Self::new(a, b, c, CurveUnit::MmPerHAndMin)
    }

    /// Mean intensity of rain that lasts so long.
    #[must_use]
    pub fn intensity(&self, duration: Time) -> RainIntensity {
        let t = match self.unit {
            CurveUnit::MmPerHAndH => duration.as_h(),
            CurveUnit::InPerHAndMin | CurveUnit::MmPerHAndMin => duration.as_min(),
        };
        let i = self.a / (t + self.b).powf(self.c);
        match self.unit {
            CurveUnit::InPerHAndMin => RainIntensity::from_in_per_h(i),
            CurveUnit::MmPerHAndMin | CurveUnit::MmPerHAndH => RainIntensity::from_mm_per_h(i),
        }
    }

    /// The duration from which on longer rain is less in all; nothing where there is none.
    ///
    /// # Method
    /// The depth t a / (t + b)^c has its greatest at t = b / (c - 1) where c is above 1.
    #[must_use]
    pub fn depth_falls_from(&self) -> Option<Time> {
        let t = (self.c > 1.0).then(|| self.b / (self.c - 1.0))?;
        Some(match self.unit {
            CurveUnit::MmPerHAndH => Time::from_h(t),
            CurveUnit::InPerHAndMin | CurveUnit::MmPerHAndMin => Time::from_min(t),
        })
    }

    /// As it is written, with a duration put in.
    #[must_use]
    pub fn worked(&self, duration: Time) -> String {
        let (t, unit, found) = match self.unit {
            CurveUnit::InPerHAndMin => (duration.as_min(), "in/h", self.intensity(duration).as_in_per_h()),
            CurveUnit::MmPerHAndMin => (duration.as_min(), "mm/h", self.intensity(duration).as_mm_per_h()),
            CurveUnit::MmPerHAndH => (duration.as_h(), "mm/h", self.intensity(duration).as_mm_per_h()),
        };
        format!("{} / ({t:.2} + {})^{} = {found:.3} {unit}", self.a, self.b, self.c)
    }

    /// As it is written.
    #[must_use]
    pub fn words(&self) -> String {
        let unit = match self.unit {
            CurveUnit::InPerHAndMin => "in/h, t in min",
            CurveUnit::MmPerHAndMin => "mm/h, t in min",
            CurveUnit::MmPerHAndH => "mm/h, t in h",
        };
        format!("{}/(t+{})^{} {unit}", self.a, self.b, self.c)
    }
}

/// A curve that couldn't be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CurveParseError {
    /// Not written as a curve.
    #[error(
        "\"{text}\" is not a rainfall curve; write it as \"56.6/(t+8.6)^0.823 in/h\" with t in minutes, or add \", t in h\""
    )]
    Form {
        /// The text as given.
        text: String,
    },
    /// Coefficients that make none.
    #[error("{0}")]
    OutOfRange(#[from] OutOfRange),
}

impl std::str::FromStr for IntensityCurve {
    type Err = CurveParseError;
    fn from_str(text: &str) -> Result<Self, CurveParseError> {
        let form = || CurveParseError::Form { text: text.to_owned() };
        let plain: String = text.chars().filter(|c| !c.is_whitespace()).collect();
        let (a, rest) = plain.split_once("/(t+").ok_or_else(form)?;
        let (b, rest) = rest.split_once(")^").ok_or_else(form)?;
        let unit_at = rest.find(|c: char| c.is_ascii_alphabetic()).ok_or_else(form)?;
        let (c, unit) = rest.split_at(unit_at);
        let unit = match unit {
            "in/h" | "in/h,tinmin" => CurveUnit::InPerHAndMin,
            "mm/h" | "mm/h,tinmin" => CurveUnit::MmPerHAndMin,
            "mm/h,tinh" => CurveUnit::MmPerHAndH,
            _ => return Err(form()),
        };
        let number = |text: &str| text.parse::<f64>().map_err(|_cause| form());
        Ok(Self::new(number(a)?, number(b)?, number(c)?, unit)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    // 56.6 / (17 + 8.6)^0.823 = 3.925 in/h: course note of Texas Tech University, CE 3354 (printed 3.92).
    // 1000 / (t + 10)^1.5 has its greatest depth at 10 / 0.5 = 20 min: 1000 x 20 / 30^1.5 mm min/h, more than at 19 and 21 min.
    #[test]
    fn a_steep_curve_brings_less_in_longer_rain() {
        let curve = IntensityCurve::in_mm_per_h_and_min(1000.0, 10.0, 1.5).unwrap();
        let from = curve.depth_falls_from().unwrap().as_min();
        assert!((from - 20.0).abs() < 1e-9);
        let depth = |minutes: f64| curve.intensity(Time::from_min(minutes)).as_mm_per_h() * minutes;
        assert!(depth(20.0) > depth(19.0) && depth(20.0) > depth(21.0));
        assert_eq!(IntensityCurve::in_mm_per_h_and_min(1000.0, 10.0, 0.8).unwrap().depth_falls_from(), None);
    }

    #[test]
    fn a_curve_is_read_as_it_is_written() {
        let curve: IntensityCurve = "56.6/(t + 8.6)^0.823 in/h".parse().unwrap();
        assert_relative_eq!(curve.intensity(Time::from_min(17.0)).as_in_per_h(), 3.925, epsilon = 5e-4);
        assert_eq!(curve.words().parse::<IntensityCurve>(), Ok(curve));
        let hours: IntensityCurve = "47/(t+0.285)^1 mm/h, t in h".parse().unwrap();
        assert_relative_eq!(hours.intensity(Time::from_min(18.0)).as_mm_per_h(), 80.34, epsilon = 5e-3);
    }

    #[test]
    fn what_is_no_curve_is_refused_with_the_form_that_is() {
        for text in ["56.6", "56.6/(t+8.6)^0.823", "56.6/(t+8.6)^0.823 furlongs", "x/(t+8.6)^0.8 in/h"] {
            let refused = text.parse::<IntensityCurve>().unwrap_err();
            assert!(matches!(refused, CurveParseError::Form { .. }), "{text}");
        }
        let falling = "1/(t+8)^-0.5 in/h".parse::<IntensityCurve>().unwrap_err();
        assert!(matches!(falling, CurveParseError::OutOfRange(_)));
    }

    // Found by fuzzing: both were read, and rained nothing.
    #[test]
    fn coefficients_that_bring_no_rain_or_endless_rain_are_refused() {
        for text in [
            "1.0e-320/(t+8)^1.05 in/h",
            "56.6/(t+1e200)^2 in/h",
            "1e308/(t+0)^2 mm/h, t in h",
            "-1/(t+8)^1 in/h",
            "inf/(t+8)^1 in/h",
            "nan/(t+8)^1 in/h",
            "1/(t+nan)^1 in/h",
            "1/(t+-1)^1 in/h",
        ] {
            let refused = text.parse::<IntensityCurve>().unwrap_err();
            assert!(matches!(refused, CurveParseError::OutOfRange(_)), "{text}");
        }
    }

    const UNITS: [CurveUnit; 3] = [CurveUnit::InPerHAndMin, CurveUnit::MmPerHAndMin, CurveUnit::MmPerHAndH];

    proptest! {
        #[test]
        fn longer_rain_is_weaker_and_rarer_rain_is_stronger(
            a in 0.1..5000.0f64, b in 0.0..60.0f64, c in 0.05..1.5f64, unit in 0..3_usize,
            minutes in 1.0..1440.0f64, more in 1.0..4.0f64,
        ) {
            let of = |a: f64, minutes: f64| {
                let curve = IntensityCurve::new(a, b, c, UNITS[unit]).unwrap();
                curve.intensity(Time::from_min(minutes))
            };
            let base = of(a, minutes);
            prop_assert!(base.as_m_per_s() > 0.0);
            prop_assert!(of(a, minutes * more).as_m_per_s() <= base.as_m_per_s() * (1.0 + 1e-12));
            prop_assert!(of(a * more, minutes).as_m_per_s() >= base.as_m_per_s() * (1.0 - 1e-12));
            if c <= 1.0 {
                let depth = |minutes: f64| (of(a, minutes) * Time::from_min(minutes)).as_m();
                prop_assert!(depth(minutes * more) >= depth(minutes) * (1.0 - 1e-12));
            }
        }

        #[test]
        fn a_curve_comes_back_from_its_words(
            a in 1e-6..1e6f64, b in 0.0..1e3f64, c in 1e-6..2.0f64, unit in 0..3_usize,
        ) {
            let curve = IntensityCurve::new(a, b, c, UNITS[unit]).unwrap();
            prop_assert_eq!(curve.words().parse::<IntensityCurve>(), Ok(curve));
        }

        #[test]
        fn any_text_is_read_or_refused(text in "[-0-9./(t+)^ inmh,e]{0,40}") {
            let _ = text.parse::<IntensityCurve>();
        }
    }
}

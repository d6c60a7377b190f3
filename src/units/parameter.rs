//! Plain numbers with a range, checked once when they are made.

use serde::{Deserialize, Serialize};

/// A number outside the range that its meaning allows.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what} is {found}, which is not in the range {range}")]
pub struct OutOfRange {
    /// What the number stands for.
    pub what: &'static str,
    /// The number found.
    pub found: f64,
    /// The range allowed, in words.
    pub range: &'static str,
}

macro_rules! parameter {
    ($(#[$doc:meta])* $name:ident, $what:literal, $range:literal, |$v:ident| $test:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(try_from = "f64", into = "f64")]
        pub struct $name(f64);

        impl $name {
            /// Checks the range.
            ///
            /// # Errors
            #[doc = concat!("[`OutOfRange`] unless the number is in the range ", $range, ".")]
            pub fn new($v: f64) -> Result<Self, OutOfRange> {
                if $test { Ok(Self($v)) } else { Err(OutOfRange { what: $what, found: $v, range: $range }) }
            }
            /// The plain number.
            #[must_use]
            pub const fn get(self) -> f64 { self.0 }
        }
        impl TryFrom<f64> for $name { type Error = OutOfRange; fn try_from(v: f64) -> Result<Self, OutOfRange> { Self::new(v) } }
        impl From<$name> for f64 { fn from(v: $name) -> f64 { v.0 } }
    };
}

/// Reads a number, or where percentages make sense a number of them.
macro_rules! from_text {
    ($($name:ident, $percent:literal;)+) => { $(
        impl std::str::FromStr for $name {
            type Err = String;
            fn from_str(text: &str) -> Result<Self, String> {
                let plain = text.trim();
                let (digits, unit) = match plain.strip_suffix('%') {
                    Some(rest) if $percent => (rest.trim(), 100.0),
                    _ => (plain, 1.0),
                };
                let number = digits.parse::<f64>().map_err(|_cause| format!("\"{text}\" is not a number"))?;
                Self::new(number / unit).map_err(|e| e.to_string())
            }
        }
    )+ };
}

parameter!(
    /// Share of the rain that runs off at the peak (rational method).
    RunoffCoefficient, "runoff coefficient", "above 0 up to 1", |v| v > 0.0 && v <= 1.0
);
parameter!(
    /// Manning's roughness n.
    ManningN, "Manning's n", "0.005 to 0.5", |v| (0.005..=0.5).contains(&v)
);
parameter!(
    /// Roughness n of sheet flow: that of a film of water between blades of grass.
    SheetRoughness, "roughness of sheet flow", "0.005 to 1", |v| (0.005..=1.0).contains(&v)
);
parameter!(
    /// Kerby's retardance N of overland flow: 0.02 for paving to 0.8 for forest with deep litter.
    Retardance, "Kerby's N", "0.01 to 1", |v| (0.01..=1.0).contains(&v)
);
parameter!(
    /// Grade as fall per length (0.01 is 1 %).
    Grade, "grade", "above 0 up to 1 (fall per length)", |v| v > 0.0 && v <= 1.0
);
parameter!(
    /// A share of a whole.
    Share, "share", "above 0 up to 1", |v| v > 0.0 && v <= 1.0
);
parameter!(
    /// Share of a catchment that ponds and swamps cover, spread over it.
    PondShare, "share of ponds", "0 to 0.05", |v| (0.0..=0.05).contains(&v)
);
parameter!(
    /// Runoff curve number: 100 sheds all rain.
    CurveNumber, "curve number", "above 0 up to 100", |v| v > 0.0 && v <= 100.0
);
parameter!(
    /// Mean number of years between storms as large.
    ReturnPeriod, "return period", "above 0 up to 10 000 years", |v| v > 0.0 && v <= 10_000.0
);

impl PondShare {
    /// No ponds.
    pub const NONE: Self = Self(0.0);
}

from_text! {
    RunoffCoefficient, true;
    Share, true;
    PondShare, true;
    ManningN, false;
    SheetRoughness, false;
    CurveNumber, false;
    ReturnPeriod, false;
}

/// Hydrologic soil group: how fast wet soil still takes in water, A the fastest.
///
/// # Source
/// USDA NRCS, National Engineering Handbook, Part 630, chapter 7 (from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum SoilGroup {
    /// Sand, gravel.
    A,
    /// Loam.
    B,
    /// Clayey loam.
    C,
    /// Clay, or wet ground.
    D,
}

impl std::str::FromStr for SoilGroup {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        match text.trim().to_ascii_uppercase().as_str() {
            "A" => Ok(Self::A),
            "B" => Ok(Self::B),
            "C" => Ok(Self::C),
            "D" => Ok(Self::D),
            _ => Err(format!("\"{text}\" is not a soil group; use A, B, C or D")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The printed values run from 0.02 to 0.80 (TxDOT report 0-4696-2, 2005).
    #[test]
    fn a_retardance_keeps_to_its_range() {
        for printed in [0.02, 0.10, 0.20, 0.40, 0.60, 0.80] {
            assert!(Retardance::new(printed).is_ok_and(|n| n.get().to_bits() == f64::to_bits(printed)));
        }
        for wrong in [0.0, 0.009, 1.01, -0.4, f64::NAN, f64::INFINITY] {
            assert!(Retardance::new(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn percentages_and_plain_numbers_are_told_apart() {
        assert_eq!("35%".parse::<RunoffCoefficient>(), "0.35".parse::<RunoffCoefficient>());
        assert_eq!("0.95".parse::<Share>(), "95 %".parse::<Share>());
        assert!("150%".parse::<RunoffCoefficient>().is_err());
        assert!("one".parse::<Share>().is_err());
        assert!("75%".parse::<CurveNumber>().is_err(), "a curve number is no percentage");
    }
}

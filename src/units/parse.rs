//! Quantities from text: `2ft`, `0.6 m`, `4in/h`, `100 mm/h`, `125gpm`.

use super::{Area, Flow, Length, RainIntensity, Time};
use std::str::FromStr;

/// A quantity that couldn't be read from text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum UnitParseError {
    /// The text doesn't start with a number.
    #[error("\"{text}\" does not start with a number")]
    NoNumber {
        /// The text as given.
        text: String,
    },
    /// The number is negative or not finite.
    #[error("\"{text}\" is not a finite number of zero or more")]
    NotUsable {
        /// The text as given.
        text: String,
    },
    /// A comma where a point belongs.
    #[error("\"{text}\" has a comma; write numbers with a decimal point and without separators")]
    Comma {
        /// The text as given.
        text: String,
    },
    /// The unit is missing or not known.
    #[error("\"{text}\" has no unit that fits; use one of {known}")]
    Unit {
        /// The text as given.
        text: String,
        /// The units that would do.
        known: &'static str,
    },
}

fn split(text: &str) -> Result<(f64, String), UnitParseError> {
    let trimmed = text.trim();
    let end = trimmed
        .char_indices()
        .find(|&(i, c)| !(c.is_ascii_digit() || c == '.' || ((c == '-' || c == '+') && i == 0)))
        .map_or(trimmed.len(), |(i, _)| i);
    let (number, unit) = trimmed.split_at(end);
    if unit.starts_with(',') {
        return Err(UnitParseError::Comma { text: text.to_owned() });
    }
    let number: f64 = number.parse().map_err(|_cause| UnitParseError::NoNumber { text: text.to_owned() })?;
    if !number.is_finite() || number < 0.0 {
        return Err(UnitParseError::NotUsable { text: text.to_owned() });
    }
    Ok((number, unit.trim().to_ascii_lowercase()))
}

impl FromStr for Length {
    type Err = UnitParseError;
    /// A bare number is metres.
    fn from_str(text: &str) -> Result<Self, UnitParseError> {
        let (number, unit) = split(text)?;
        match unit.as_str() {
            "" | "m" => Ok(Self::from_m(number)),
            "cm" => Ok(Self::from_cm(number)),
            "mm" => Ok(Self::from_mm(number)),
            "ft" | "'" => Ok(Self::from_ft(number)),
            "us-ft" => Ok(Self::from_us_ft(number)),
            "in" | "\"" => Ok(Self::from_in(number)),
            _ => Err(UnitParseError::Unit { text: text.to_owned(), known: "m, cm, mm, ft, us-ft, in" }),
        }
    }
}

impl FromStr for Area {
    type Err = UnitParseError;
    /// A bare number is square metres.
    fn from_str(text: &str) -> Result<Self, UnitParseError> {
        let (number, unit) = split(text)?;
        match unit.as_str() {
            "" | "m2" => Ok(Self::from_m2(number)),
            "ft2" | "sqft" => Ok(Self::from_ft2(number)),
            "ac" => Ok(Self::from_acres(number)),
            "ha" => Ok(Self::from_ha(number)),
            _ => Err(UnitParseError::Unit { text: text.to_owned(), known: "m2, ft2, ac, ha" }),
        }
    }
}

impl FromStr for Time {
    type Err = UnitParseError;
    /// The unit is required.
    fn from_str(text: &str) -> Result<Self, UnitParseError> {
        let (number, unit) = split(text)?;
        match unit.as_str() {
            "s" => Ok(Self::from_s(number)),
            "min" => Ok(Self::from_min(number)),
            "h" | "hr" => Ok(Self::from_h(number)),
            "d" => Ok(Self::from_h(24.0 * number)),
            _ => Err(UnitParseError::Unit { text: text.to_owned(), known: "s, min, h, d" }),
        }
    }
}

impl FromStr for Flow {
    type Err = UnitParseError;
    /// The unit is required; gallons are US gallons.
    fn from_str(text: &str) -> Result<Self, UnitParseError> {
        let (number, unit) = split(text)?;
        match unit.as_str() {
            "gpm" => Ok(Self::from_gal_per_min(number)),
            "cfs" | "ft3/s" => Ok(Self::from_ft3_per_s(number)),
            "l/s" => Ok(Self::from_l_per_s(number)),
            "m3/s" => Ok(Self::from_m3_per_s(number)),
            _ => Err(UnitParseError::Unit { text: text.to_owned(), known: "gpm, cfs, L/s, m3/s" }),
        }
    }
}

impl FromStr for RainIntensity {
    type Err = UnitParseError;
    /// The unit is required: inches and millimetres differ by a factor of 25.
    fn from_str(text: &str) -> Result<Self, UnitParseError> {
        let (number, unit) = split(text)?;
        match unit.as_str() {
            "mm/h" | "mm/hr" => Ok(Self::from_mm_per_h(number)),
            "in/h" | "in/hr" => Ok(Self::from_in_per_h(number)),
            _ => Err(UnitParseError::Unit { text: text.to_owned(), known: "mm/h, in/h" }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn reads_numbers_with_and_without_a_space() {
        assert_relative_eq!("2ft".parse::<Length>().unwrap().as_m(), 0.6096);
        assert_relative_eq!(" 0.6 m".parse::<Length>().unwrap().as_m(), 0.6);
        assert_relative_eq!("100 mm/h".parse::<RainIntensity>().unwrap().as_mm_per_h(), 100.0);
        assert_relative_eq!("0.1 h".parse::<Time>().unwrap().as_min(), 6.0);
        assert_relative_eq!("4in/h".parse::<RainIntensity>().unwrap().as_mm_per_h(), 101.6);
    }

    // A cubic foot per second is 448.831 gallons a minute (hydrology checks 1.1) and 28.316 85 L/s (NIST SP 811).
    #[test]
    fn reads_flows_by_every_unit() {
        let l_per_s = |text: &str| text.parse::<Flow>().unwrap().as_l_per_s();
        assert_relative_eq!(l_per_s("1cfs"), 28.316_85, max_relative = 1e-6);
        assert_relative_eq!(l_per_s("448.831 gpm"), 28.316_85, max_relative = 1e-6);
        assert_relative_eq!(l_per_s("7.9L/s"), 7.9, max_relative = 1e-12);
        assert_relative_eq!(l_per_s("0.5 m3/s"), 500.0, max_relative = 1e-12);
        assert!(matches!("125".parse::<Flow>(), Err(UnitParseError::Unit { .. })));
        assert!(matches!("-1cfs".parse::<Flow>(), Err(UnitParseError::NotUsable { .. })));
    }

    #[test]
    fn refuses_what_has_no_unit_or_no_sense() {
        assert!(matches!("4".parse::<RainIntensity>(), Err(UnitParseError::Unit { .. })));
        assert!(matches!("4".parse::<Time>(), Err(UnitParseError::Unit { .. })));
        assert!(matches!("4 furlongs".parse::<Length>(), Err(UnitParseError::Unit { .. })));
        assert!(matches!("-1m".parse::<Length>(), Err(UnitParseError::NotUsable { .. })));
        assert!(matches!("ft".parse::<Length>(), Err(UnitParseError::NoNumber { .. })));
        assert!(matches!("1,5ac".parse::<Area>(), Err(UnitParseError::Comma { .. })));
    }
}

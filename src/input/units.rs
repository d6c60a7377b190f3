//! What the elevations are counted in.

use super::error::InputError;
use crate::crs::{CrsDefinition, CrsKind};
use crate::units::Length;
use crate::warning::{Warned, Warning};
use serde::Serialize;
use std::path::Path;
use std::str::FromStr;

/// Unit of the elevations in a raster.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub enum VerticalUnit {
    /// Metre.
    #[serde(rename = "metre")]
    Metre,
    /// International foot, 0.3048 m.
    #[serde(rename = "foot")]
    Foot,
    /// US survey foot, 1200/3937 m.
    #[serde(rename = "US survey foot")]
    UsSurveyFoot,
    /// Centimetre.
    #[serde(rename = "centimetre")]
    Centimetre,
}

impl VerticalUnit {
    const ALL: [Self; 4] = [Self::Metre, Self::Foot, Self::UsSurveyFoot, Self::Centimetre];

    /// Metres in one unit.
    #[must_use]
    pub const fn metres(self) -> f64 {
        match self {
            Self::Metre => Length::from_m(1.0).as_m(),
            Self::Foot => Length::from_ft(1.0).as_m(),
            Self::UsSurveyFoot => Length::from_us_ft(1.0).as_m(),
            Self::Centimetre => Length::from_cm(1.0).as_m(),
        }
    }

    /// Name in words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Metre => "metre",
            Self::Foot => "foot",
            Self::UsSurveyFoot => "US survey foot",
            Self::Centimetre => "centimetre",
        }
    }

    /// The unit with this name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.name() == name)
    }

    /// The unit with this length, to one part in ten million (the two feet differ by two in a million).
    #[must_use]
    pub fn from_metres(metres: f64) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| (unit.metres() / metres - 1.0).abs() < 1e-7)
    }

    /// The unit that a raster band names in its own spelling.
    #[must_use]
    pub fn from_band(text: &str) -> Option<Self> {
        let plain: String =
            text.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect();
        match plain.as_str() {
            "m" | "metre" | "metres" | "meter" | "meters" => Some(Self::Metre),
            "ft" | "foot" | "feet" | "footinternational" | "internationalfoot" | "internationalfeet" => {
                Some(Self::Foot)
            }
            "usft" | "ftus" | "sft" | "ussurveyfoot" | "ussurveyfeet" | "footus" | "surveyfoot"
            | "surveyfeet" => Some(Self::UsSurveyFoot),
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Some(Self::Centimetre),
            _ => None,
        }
    }
}

impl FromStr for VerticalUnit {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        match text.trim() {
            "m" => Ok(Self::Metre),
            "ft" => Ok(Self::Foot),
            "us-ft" => Ok(Self::UsSurveyFoot),
            "cm" => Ok(Self::Centimetre),
            other => Err(format!("\"{other}\" is not one of m, ft, us-ft, cm")),
        }
    }
}

/// Who said what the unit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum UnitSource {
    /// The option.
    #[serde(rename = "option")]
    Option,
    /// The vertical part of the coordinate system.
    #[serde(rename = "vertical coordinate system")]
    VerticalCrs,
    /// The raster band.
    #[serde(rename = "band")]
    Band,
    /// Nobody, and it can't be assumed.
    #[serde(rename = "unknown")]
    Unknown,
    /// Nobody: metres taken because the map unit isn't a foot.
    #[serde(rename = "assumed")]
    Assumed,
}

/// A unit and who said it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct StatedUnit {
    /// The unit.
    pub unit: VerticalUnit,
    /// Who said it.
    pub from: UnitSource,
}

/// The two feet differ by two millionths.
const FEET_APART: f64 = 1e-5;

/// Settles the unit: the option, else the vertical system, else the band, else metres where the map isn't in feet.
///
/// # Errors
/// [`InputError::VerticalUnit`] if nobody says and the map is in feet: either reading would be a guess;
/// [`InputError::VerticalUnitsDisagree`] if system and band say different things.
pub(crate) fn settle(
    path: &Path,
    option: Option<VerticalUnit>,
    crs: &CrsDefinition,
    band: &str,
) -> Result<Warned<StatedUnit>, InputError> {
    let mut warnings = Vec::new();
    let declared = crs
        .vertical()
        .and_then(|axis| VerticalUnit::from_metres(axis.unit.metres))
        .map(|unit| StatedUnit { unit, from: UnitSource::VerticalCrs })
        .or_else(|| VerticalUnit::from_band(band).map(|unit| StatedUnit { unit, from: UnitSource::Band }));
    if let Some(unit) = option {
        if let Some(other) = declared.filter(|d| d.unit != unit) {
            warnings.push(Warning::new(
                "vertical-unit-overridden",
                format!(
                    "{} declares elevations in {}, read as {} as told",
                    path.display(),
                    other.unit.name(),
                    unit.name()
                ),
                "drop --elevation-unit if the file is right",
            ));
        }
        return Ok(Warned::new(StatedUnit { unit, from: UnitSource::Option }, warnings));
    }
    if let Some(stated) = declared {
        // The two feet are one word to most software; anything else is a contradiction of three times or more.
        let band_unit = VerticalUnit::from_band(band).unwrap_or(stated.unit);
        if (band_unit.metres() / stated.unit.metres() - 1.0).abs() > FEET_APART {
            return Err(InputError::VerticalUnitsDisagree {
                path: path.to_owned(),
                system: stated.unit.name(),
                band: band_unit.name(),
            });
        }
        return Ok(Warned::clean(stated));
    }
    if !band.is_empty() {
        warnings.push(Warning::new(
            "vertical-unit-unread",
            format!(
                "the band of {} names the unit \"{band}\", which is not one that is known",
                path.display()
            ),
            "pass --elevation-unit m, ft, us-ft or cm",
        ));
    }
    match crs.kind() {
        CrsKind::Projected(unit) if is_foot(unit.metres) => {
            Err(InputError::VerticalUnit { path: path.to_owned(), map_unit: unit.name.clone() })
        }
        _ => {
            warnings.push(Warning::new(
                "vertical-unit-assumed",
                format!("{} does not say what its elevations are counted in; read as metres", path.display()),
                "pass --elevation-unit to settle it",
            ));
            Ok(Warned::new(StatedUnit { unit: VerticalUnit::Metre, from: UnitSource::Assumed }, warnings))
        }
    }
}

/// Any of the feet in use lies within a tenth of a per cent.
fn is_foot(metres: f64) -> bool {
    (metres / 0.3048 - 1.0).abs() < 1e-3
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settled(
        code: &str,
        option: Option<VerticalUnit>,
        band: &str,
    ) -> Result<Warned<StatedUnit>, InputError> {
        settle(Path::new("a.tif"), option, &CrsDefinition::parse(code).unwrap(), band)
    }

    #[test]
    fn the_option_wins_over_the_vertical_system_over_the_band() {
        let unit = |code, option, band| settled(code, option, band).unwrap().value;
        assert_eq!(unit("EPSG:26917+6360", Some(VerticalUnit::Centimetre), "m").from, UnitSource::Option);
        // EPSG:6360 is NAVD88 height in US survey feet (EPSG registry).
        let stated = unit("EPSG:26917+6360", None, "ft");
        assert_eq!((stated.unit, stated.from), (VerticalUnit::UsSurveyFoot, UnitSource::VerticalCrs));
        let stated = unit("EPSG:26917", None, "ft");
        assert_eq!((stated.unit, stated.from), (VerticalUnit::Foot, UnitSource::Band));
    }

    #[test]
    fn a_system_and_a_band_that_disagree_are_refused_until_told() {
        let found = settled("EPSG:26917+6360", None, "m");
        assert!(matches!(found, Err(InputError::VerticalUnitsDisagree { .. })), "{found:?}");
        assert!(settled("EPSG:26917+6360", Some(VerticalUnit::Metre), "m").is_ok());
    }

    #[test]
    fn silence_means_metres_with_a_warning_unless_the_map_is_in_feet() {
        let quiet = settled("EPSG:26917", None, "").unwrap();
        assert_eq!(quiet.value.unit, VerticalUnit::Metre);
        assert_eq!(quiet.warnings[0].code, "vertical-unit-assumed");
        assert!(matches!(settled("EPSG:2992", None, ""), Err(InputError::VerticalUnit { .. })));
        assert!(matches!(settled("EPSG:2264", None, "fathoms"), Err(InputError::VerticalUnit { .. })));
    }

    #[test]
    fn the_two_feet_are_told_apart() {
        assert_eq!(VerticalUnit::from_metres(0.3048), Some(VerticalUnit::Foot));
        assert_eq!(VerticalUnit::from_metres(1200.0 / 3937.0), Some(VerticalUnit::UsSurveyFoot));
        assert_eq!(VerticalUnit::from_metres(0.3047), None);
        assert_eq!(VerticalUnit::from_band("US survey foot"), Some(VerticalUnit::UsSurveyFoot));
    }
}

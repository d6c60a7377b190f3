//! Storm inlets and catch basins.

use super::points::{Asked, PointFeature, Points, is_on_ground, open_points};
use super::sewer::{self, Foul};
use super::{SideFile, SideOptions};
use crate::crs::VerticalAxis;
use crate::input::error::InputError;
use crate::input::{Site, VerticalUnit};
use crate::units::Length;
use crate::warning::{Warned, Warning, named};
use geo::Coord;

/// Name of the option and of the usual layer, and the fields, in the order in which [`Inlet`] is made of them.
const ASKED: Asked<'static> = Asked { kind: "inlets", fields: &ASKED_FIELDS };
/// The first six make an [`Inlet`]; the others may say that it belongs to a foul sewer.
const ASKED_FIELDS: [&str; OWN + sewer::FIELDS.len()] = {
    let mut fields = ["id", "rim", "invert", "depth", "tailwater", "public", "", "", "", "", "", "", "", ""];
    let mut at = 0;
    while at < sewer::FIELDS.len() {
        fields[OWN + at] = sewer::FIELDS[at];
        at += 1;
    }
    fields
};
/// How many fields are the inlet's own.
const OWN: usize = 6;
/// Invert and rim less depth may differ by rounding, m.
const ROUNDING_M: f64 = 0.02;

/// A storm inlet or catch basin.
///
/// # Invariants
/// Its invert lies below its rim where both are known.
#[derive(Debug, Clone, PartialEq)]
pub struct Inlet {
    /// Its id, where the file has one, else its place in the file.
    pub id: String,
    /// Its place in the working system.
    pub at: Coord,
    /// Elevation of the rim, m; where the file has none the ground counts.
    pub rim_m: Option<f64>,
    /// Where a pipe can be let in; nothing where the file doesn't say it: it then takes surface water only.
    pub invert: Option<Invert>,
    /// Elevation of the water that stands in it in the storm, m.
    pub tailwater_m: Option<f64>,
    /// Whether it is the public's.
    pub public: Option<bool>,
}

/// The lowest place where a pipe can be let in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Invert {
    /// At this elevation, m.
    At(f64),
    /// This far below the rim.
    Below(Length),
}

impl Invert {
    /// Elevation, m, for a rim at an elevation.
    #[must_use]
    pub fn elevation_m(self, rim_m: f64) -> f64 {
        match self {
            Self::At(m) => m,
            Self::Below(depth) => rim_m - depth.as_m(),
        }
    }
}

/// Reads the inlets on the ground that is read.
///
/// # Units
/// Elevations and depths are in the unit of the file's vertical system, else in the raster's.
///
/// # Errors
/// [`InputError`] as for parcels; heights from another datum than the raster's; an attribute that can't be.
pub(super) fn open_inlets(
    site: &Site,
    options: &SideOptions,
) -> Result<Option<Warned<Vec<Inlet>>>, InputError> {
    let Some(file) = &options.inlets else { return Ok(None) };
    let mut warnings = Vec::new();
    let Points { features, vertical } = open_points(site, file, ASKED)?.unload(&mut warnings);
    let metres = metres_per_unit(site, file, vertical.as_ref())?;
    // Of a town's file only what lies on the ground that is read matters.
    let near = || features.iter().filter(|feature| is_on_ground(site, feature.at));
    let inlets = near()
        .filter(|feature| foul(feature).is_none())
        .map(|feature| inlet(feature, metres).map_err(|reason| unusable(file, &feature.name, &reason)))
        .collect::<Result<Vec<Inlet>, InputError>>()?;
    let refused: Vec<String> = near().filter_map(refusal).collect();
    warnings.extend(refused_warning(file, &refused));
    if !inlets.is_empty() || refused.is_empty() {
        warnings.extend(findings(file, &inlets));
    }
    Ok(Some(Warned::new(inlets, warnings)))
}

/// The foul sewer that a feature belongs to, with the value that says it; a combined one where any value says so.
fn foul(feature: &PointFeature) -> Option<(Foul, &str)> {
    let said = feature.values.iter().skip(OWN).flatten();
    let found: Vec<_> = said.filter_map(|value| Some((Foul::said_by(value)?, value.as_str()))).collect();
    let combined = found.iter().find(|(sewer, _)| *sewer == Foul::Combined);
    combined.or(found.first()).copied()
}

/// Why a feature is left out.
fn refusal(feature: &PointFeature) -> Option<String> {
    let (sewer, value) = foul(feature)?;
    let id = feature.values.first().and_then(Option::as_ref).unwrap_or(&feature.name);
    Some(match sewer {
        Foul::Sanitary => format!("{id} (\"{value}\": a sanitary sewer)"),
        Foul::Combined => {
            format!("{id} (\"{value}\": a combined sewer, on which the local authority decides)")
        }
    })
}

fn refused_warning(file: &SideFile, refused: &[String]) -> Option<Warning> {
    if refused.is_empty() {
        return None;
    }
    let names: Vec<&str> = refused.iter().map(String::as_str).collect();
    Some(Warning::new(
        "inlets-of-foul-sewers",
        format!("{}: left out, no storm inlets: {}", file.path.display(), named(&names)),
        "never lead a drain to a sanitary sewer; correct the attribute if it is wrong",
    ))
}

/// Length of the unit that heights are counted in.
pub(in crate::input) fn metres_per_unit(
    site: &Site,
    file: &SideFile,
    stated: Option<&VerticalAxis>,
) -> Result<f64, InputError> {
    let facts = site.survey.facts();
    let Some(stated) = stated else {
        return Ok(VerticalUnit::from_name(facts.vertical_unit).map_or(1.0, VerticalUnit::metres));
    };
    if let Some(datum) = facts.vertical_datum.as_ref().filter(|datum| !shares_datum(&stated.name, datum)) {
        return Err(InputError::VerticalDatum {
            path: file.path.clone(),
            found: stated.name.clone(),
            expected: datum.clone(),
        });
    }
    Ok(stated.unit.metres)
}

/// Whether two vertical systems count from the same level. Their names may end with the unit, as "NAVD88 height (ftUS)" does.
fn shares_datum(a: &str, b: &str) -> bool {
    let datum = |name: &str| name.split(" (").next().unwrap_or_default().trim().to_ascii_lowercase();
    datum(a) == datum(b)
}

fn unusable(file: &SideFile, feature: &str, reason: &str) -> InputError {
    InputError::Unreadable {
        path: file.path.clone(),
        reason: format!("{feature}: {reason}"),
        help: "correct it; elevations are in the unit and from the datum of the raster".to_owned(),
    }
}

fn inlet(feature: &PointFeature, metres: f64) -> Result<Inlet, String> {
    let [id, rim, invert, depth, tailwater, public] = &feature.values[..OWN.min(feature.values.len())] else {
        return Err("it isn't an inlet".to_owned());
    };
    let height = |name: &str, text: &Option<String>| {
        number(name, text.as_ref()).map(|found| found.map(|n| n * metres))
    };
    let (rim_m, invert_m) = (height("rim", rim)?, height("invert", invert)?);
    let (depth_m, tailwater_m) = (height("depth", depth)?, height("tailwater", tailwater)?);
    if let Some(depth_m) = depth_m.filter(|&m| m <= 0.0) {
        return Err(format!("its depth of {depth_m:.2} m is not above 0"));
    }
    let invert = match (invert_m, depth_m) {
        (Some(at), None) => Some(Invert::At(at)),
        (None, Some(depth)) => Some(Invert::Below(Length::from_m(depth))),
        (None, None) => None,
        (Some(at), Some(depth)) => match rim_m {
            Some(rim) if (rim - depth - at).abs() > ROUNDING_M => {
                return Err(format!(
                    "its invert of {at:.2} m is not its rim of {rim:.2} m less its depth of {depth:.2} m"
                ));
            }
            _ => Some(Invert::At(at)),
        },
    };
    if let (Some(rim), Some(Invert::At(at))) = (rim_m, invert)
        && at >= rim
    {
        return Err(format!("its invert of {at:.2} m is not below its rim of {rim:.2} m"));
    }
    let id = id.clone().unwrap_or_else(|| feature.name.clone());
    Ok(Inlet {
        id,
        at: feature.at,
        rim_m,
        invert,
        tailwater_m,
        public: yes_or_no("public", public.as_ref())?,
    })
}

pub(in crate::input) fn number(name: &str, text: Option<&String>) -> Result<Option<f64>, String> {
    let Some(text) = text else { return Ok(None) };
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(Some(number)),
        _ => Err(format!("its {name} \"{text}\" is no number")),
    }
}

fn yes_or_no(name: &str, text: Option<&String>) -> Result<Option<bool>, String> {
    let Some(text) = text else { return Ok(None) };
    match text.to_ascii_lowercase().as_str() {
        "yes" | "y" | "true" | "1" => Ok(Some(true)),
        "no" | "n" | "false" | "0" => Ok(Some(false)),
        _ => Err(format!("its {name} \"{text}\" is neither yes nor no")),
    }
}

/// What is to be said of usable inlets.
fn findings(file: &SideFile, inlets: &[Inlet]) -> Vec<Warning> {
    let path = file.path.display();
    let mut warnings = Vec::new();
    if inlets.is_empty() {
        warnings.push(Warning::new(
            "inlets-elsewhere",
            format!("{path}: no inlet lies on the raster"),
            "check its coordinate system; the result is as if the file were not given",
        ));
    }
    let without: Vec<&str> =
        inlets.iter().filter(|inlet| inlet.invert.is_none()).map(|inlet| inlet.id.as_str()).collect();
    if !without.is_empty() {
        warnings.push(Warning::new(
            "inlets-without-invert",
            format!("{path}: inlets without an invert or a depth: {}", named(&without)),
            "give an invert or a depth below the rim; they take surface water, and no pipe can be led to them",
        ));
    }
    warnings
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From values of id, rim, invert, depth, tailwater, public; in feet.
    fn made(values: [&str; 6]) -> Result<Inlet, String> {
        let value = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
        let values = values.into_iter().map(value).collect();
        inlet(&PointFeature { at: Coord { x: 0.0, y: 0.0 }, values, name: "feature 7".to_owned() }, 0.3048)
    }

    #[test]
    fn heights_are_turned_into_metres() {
        let found = made(["A", "100", "", "4", "99", "Yes"]).unwrap();
        let rim_m = found.rim_m.unwrap();
        assert!((rim_m - 30.48).abs() < 1e-12 && (found.tailwater_m.unwrap() - 30.1752).abs() < 1e-12);
        assert!((found.invert.unwrap().elevation_m(rim_m) - 29.2608).abs() < 1e-12);
        assert_eq!((found.id.as_str(), found.public), ("A", Some(true)));
        let bare = made([""; 6]).unwrap();
        assert_eq!((bare.id.as_str(), bare.rim_m, bare.invert, bare.public), ("feature 7", None, None, None));
    }

    #[test]
    fn invert_and_depth_may_both_be_given_if_they_agree() {
        assert!(matches!(made(["A", "100", "96", "4", "", ""]).unwrap().invert, Some(Invert::At(_))));
        let refused = made(["A", "100", "95", "4", "", ""]).unwrap_err();
        assert!(
            refused.contains("28.96 m") && refused.contains("30.48 m less its depth of 1.22 m"),
            "{refused}"
        );
    }

    #[test]
    fn what_cannot_be_is_refused_with_the_field() {
        for (values, words) in [
            (["A", "high", "", "", "", ""], "rim \"high\""),
            (["A", "100", "100", "", "", ""], "not below its rim"),
            (["A", "100", "", "-4", "", ""], "not above 0"),
            (["A", "100", "", "", "nan", ""], "tailwater \"nan\""),
            (["A", "", "", "", "", "perhaps"], "neither yes nor no"),
        ] {
            let found = made(values).unwrap_err();
            assert!(found.contains(words), "{found}");
        }
    }

    #[test]
    fn a_feature_of_a_foul_sewer_is_refused_by_name() {
        let of = |kind: &str| {
            let mut values = vec![Some("M7".to_owned())];
            values.resize(OWN, None);
            values.push(Some(kind.to_owned()));
            refusal(&PointFeature { at: Coord { x: 0.0, y: 0.0 }, values, name: "feature 7".to_owned() })
        };
        assert_eq!(of("SAN").unwrap(), "M7 (\"SAN\": a sanitary sewer)");
        assert!(of("unitaire").unwrap().contains("local authority decides"));
        assert_eq!(of("storm"), None);
    }

    #[test]
    fn the_unit_is_no_part_of_a_datum() {
        assert!(shares_datum("NAVD88 height", "NAVD88 height (ftUS)"));
        assert!(!shares_datum("NGVD29 height (ftUS)", "NAVD88 height (ftUS)"));
    }
}

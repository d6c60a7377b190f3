//! Ditches and kerbs, as lines.

use super::inlets::{metres_per_unit, number};
use super::shapes::{ShapeFeature, ShapesRead, Wanted, open_shapes};
use super::{Invert, SideFile, SideOptions};
use crate::input::Site;
use crate::input::error::InputError;
use crate::input::parcels::open::Shapes;
use crate::units::Length;
use crate::warning::Warned;
use geo::{Geometry, MultiLineString};

/// Name of the option, and the fields in the order in which [`Ditch`] is made of them.
const WANTED: Wanted<'static> = Wanted {
    name: "ditches",
    shapes: Shapes::Lines,
    fields: &["id", "kind", "invert", "depth", "tailwater"],
    required: None,
};

/// What takes water along a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DitchKind {
    /// A ditch or swale.
    Ditch,
    /// A kerb with its gutter.
    Kerb,
}

/// A ditch or a kerb.
#[derive(Debug, Clone, PartialEq)]
pub struct Ditch {
    /// Its id, where the file has one, else its place in the file.
    pub id: String,
    /// What it is.
    pub kind: DitchKind,
    /// Its bottom; the ground where the file doesn't say it.
    pub bottom: Option<Invert>,
    /// Level of the water in it in the storm, m, where the file says it.
    pub tailwater_m: Option<f64>,
    /// Its course in the working system.
    pub lines: MultiLineString,
}

/// Reads ditches and kerbs near the ground that is read.
///
/// # Units
/// Elevations and depths are in the unit of the file's vertical system, else in the raster's.
///
/// # Errors
/// [`InputError`] as for parcels; heights from another datum than the raster's; an attribute that can't be.
pub(super) fn open_ditches(
    site: &Site,
    options: &SideOptions,
) -> Result<Option<Warned<Vec<Ditch>>>, InputError> {
    let Some(file) = &options.ditches else { return Ok(None) };
    let mut warnings = Vec::new();
    let ShapesRead { features, vertical } = open_shapes(site, file, WANTED)?.unload(&mut warnings);
    let metres = metres_per_unit(site, file, vertical.as_ref())?;
    let found = features
        .iter()
        .map(|feature| ditch(feature, metres).map_err(|reason| unusable(file, &feature.name, &reason)))
        .collect::<Result<Vec<Ditch>, InputError>>()?;
    Ok(Some(Warned::new(found, warnings)))
}

fn unusable(file: &SideFile, feature: &str, reason: &str) -> InputError {
    InputError::Unreadable {
        path: file.path.clone(),
        reason: format!("{feature}: {reason}"),
        help: "correct it; elevations are in the unit and from the datum of the raster".to_owned(),
    }
}

fn ditch(feature: &ShapeFeature, metres: f64) -> Result<Ditch, String> {
    let ([id, kind, invert, depth, tailwater], Geometry::MultiLineString(lines)) =
        (&feature.values[..], &feature.shape)
    else {
        return Err("it isn't a ditch".to_owned());
    };
    let height = |name: &str, text: &Option<String>| {
        number(name, text.as_ref()).map(|found| found.map(|n| n * metres))
    };
    let bottom = match (height("invert", invert)?, height("depth", depth)?) {
        (Some(_), Some(_)) => {
            return Err("it has an invert and a depth: which of them counts isn't said".to_owned());
        }
        (Some(at), None) => Some(Invert::At(at)),
        (None, Some(depth)) if depth < 0.0 => return Err(format!("its depth of {depth:.2} m is below 0")),
        (None, Some(depth)) => Some(Invert::Below(Length::from_m(depth))),
        (None, None) => None,
    };
    let kind = match kind.as_deref().map(str::to_ascii_lowercase).as_deref() {
        None | Some("ditch" | "swale" | "channel" | "stream") => DitchKind::Ditch,
        Some("kerb" | "curb" | "gutter") => DitchKind::Kerb,
        Some(other) => {
            return Err(format!(
                "its kind \"{other}\" is neither ditch, swale, channel or stream nor kerb or gutter"
            ));
        }
    };
    Ok(Ditch {
        id: id.clone().unwrap_or_else(|| feature.name.clone()),
        kind,
        bottom,
        tailwater_m: height("tailwater", tailwater)?,
        lines: lines.clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::line_string;

    fn made(values: [&str; 5]) -> Result<Ditch, String> {
        let value = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
        let feature = ShapeFeature {
            shape: Geometry::MultiLineString(MultiLineString(vec![
                line_string![(x: 0., y: 0.), (x: 1., y: 0.)],
            ])),
            values: values.into_iter().map(value).collect(),
            name: "feature 2".to_owned(),
        };
        ditch(&feature, 0.3048)
    }

    // In feet: 100 ft = 30.48 m, 2 ft = 0.6096 m.
    #[test]
    fn heights_are_turned_into_metres() {
        let found = made(["D", "Kerb", "100", "", "101"]).unwrap();
        assert_eq!((found.id.as_str(), found.kind), ("D", DitchKind::Kerb));
        assert!((found.bottom.unwrap().elevation_m(0.0) - 30.48).abs() < 1e-12);
        assert!((found.tailwater_m.unwrap() - 30.7848).abs() < 1e-12);
        let found = made(["", "", "", "2", ""]).unwrap();
        assert_eq!((found.id.as_str(), found.kind), ("feature 2", DitchKind::Ditch));
        assert!((found.bottom.unwrap().elevation_m(10.0) - 9.3904).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_is_refused_with_the_field() {
        for (values, words) in [
            (["", "", "deep", "", ""], "invert \"deep\""),
            (["", "", "", "-1", ""], "below 0"),
            (["", "", "1", "1", ""], "which of them counts"),
            (["", "sewer", "", "", ""], "\"sewer\""),
            (["", "", "", "", "high"], "tailwater \"high\""),
        ] {
            let found = made(values).unwrap_err();
            assert!(found.contains(words), "{found}");
        }
    }
}

//! Shots as their file has them.

use super::super::beside::SideFile;
use super::super::beside::inlets::{metres_per_unit, number};
use super::super::beside::points::{Asked, PointFeature, Points, is_on_ground, open_points};
use super::super::units::VerticalUnit;
use super::{Shot, unusable};
use crate::certainty::SHOT_ACCURACY;
use crate::input::Site;
use crate::input::error::InputError;
use crate::warning::{Warned, Warning, named};
use crate::wording::metres;

/// Name of the option and of the usual layer, and the fields.
const ASKED: Asked<'static> = Asked { kind: "shots", fields: &["id", "elevation", "accuracy", "unit"] };
/// Nothing is shot better: what is said to be counts as this, m. Ours.
pub(super) const BEST_ACCURACY_M: f64 = 0.001;

/// The shots on the ground that is read.
pub(super) fn open_shots(site: &Site, file: &SideFile) -> Result<Warned<Vec<Shot>>, InputError> {
    let mut warnings = Vec::new();
    let Points { features, vertical } = open_points(site, file, ASKED)?.unload(&mut warnings);
    let metres = metres_per_unit(site, file, vertical.as_ref())?;
    let (mut shots, mut elsewhere, mut assumed) = (Vec::new(), Vec::new(), Vec::new());
    for feature in &features {
        let shot =
            shot(feature, metres).map_err(|reason| unusable(file, &format!("{}: {reason}", feature.name)))?;
        if !is_on_ground(site, feature.at) {
            elsewhere.push(shot.id);
            continue;
        }
        if feature.values[2].is_none() {
            assumed.push(shot.id.clone());
        }
        shots.push(shot);
    }
    warnings.extend(findings(file, shots.is_empty(), &elsewhere, &assumed));
    Ok(Warned::new(shots, warnings))
}

pub(super) fn shot(feature: &PointFeature, metres: f64) -> Result<Shot, String> {
    let [id, elevation, accuracy, unit] = &feature.values[..] else {
        return Err("it isn't a shot".to_owned());
    };
    let metres = match unit {
        None => metres,
        Some(unit) => {
            unit.parse().map(VerticalUnit::metres).map_err(|reason| format!("its unit: {reason}"))?
        }
    };
    let elevation = number("elevation", elevation.as_ref())?.ok_or("it has no elevation")?;
    let accuracy_m =
        number("accuracy", accuracy.as_ref())?.map_or(SHOT_ACCURACY.as_m(), |found| found * metres);
    if accuracy_m < 0.0 {
        return Err(format!("its accuracy of {accuracy_m:.3} m is below 0"));
    }
    Ok(Shot {
        id: id.clone().unwrap_or_else(|| feature.name.clone()),
        at: feature.at,
        elevation_m: elevation * metres,
        accuracy_m: accuracy_m.max(BEST_ACCURACY_M),
    })
}

fn findings(file: &SideFile, none: bool, elsewhere: &[String], assumed: &[String]) -> Vec<Warning> {
    let path = file.path.display();
    let mut found = Vec::new();
    if !elsewhere.is_empty() || none {
        let which = if none {
            "no shot lies on the raster".to_owned()
        } else {
            format!("some shots lie beyond the raster, so they were left out: {}", named(elsewhere))
        };
        found.push(Warning::new(
            "shots-elsewhere",
            format!("{path}: {which}"),
            "check their coordinate system; the result is as if they were not given",
        ));
    }
    if !assumed.is_empty() {
        found.push(Warning::new(
            "shots-accuracy-assumed",
            format!(
                "{path}: some shots state no accuracy, so a standard error of {} was assumed: {}",
                metres(SHOT_ACCURACY.as_m(), 2),
                named(assumed)
            ),
            "give it in the field accuracy, in the unit of the elevations",
        ));
    }
    found
}

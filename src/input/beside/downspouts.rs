//! Places where roofs' water comes down.

use super::patches::PatchSet;
use super::points::{Asked, PointFeature, Points, is_on_ground, open_points, read_layer};
use super::{Building, SideOptions};
use crate::input::Site;
use crate::input::error::InputError;
use crate::input::parcels::open::{Shapes, Wish, find_layer};
use crate::warning::{Warned, Warning, named};
use geo::{Closest, ClosestPoint, Coord, Distance, Euclidean, Point};
use std::path::{Path, PathBuf};

/// The layer's name in the buildings' file, and the field with the id of the building.
const ASKED: Asked<'static> = Asked { kind: "downspouts", fields: &["building"] };
/// How far from a wall a downspout that names no building may stand, m: a splash block ends nearer. Common practice, no source.
const NEAREST_M: f64 = 3.0;

/// Buildings with the places where their roofs' water comes down.
///
/// # Errors
/// [`InputError`] as for parcels; a place whose building's id several have.
pub(super) fn place(
    site: &Site,
    options: &SideOptions,
    buildings: PatchSet<Building>,
) -> Result<Warned<PatchSet<Building>>, InputError> {
    let mut warnings = Vec::new();
    let Some((path, spouts)) = read(site, options)? else { return Ok(Warned::clean(buildings)) };
    let spouts = spouts.unload(&mut warnings).features;
    let mut of_building: Vec<Vec<Coord>> = vec![Vec::new(); buildings.patches().len()];
    let mut astray = Vec::new();
    for spout in spouts {
        match owner(site, &buildings, &spout).map_err(|reason| unusable(&path, &spout, &reason))? {
            Owner::Building(place) => of_building[place].push(spout.at),
            // Of a town's file only what lies on the ground that is read matters.
            Owner::None(_) if !is_on_ground(site, spout.at) => {}
            Owner::None(reason) => astray.push(format!("{} ({reason})", spout.name)),
        }
    }
    if !astray.is_empty() {
        warnings.push(Warning::new(
            "downspouts-astray",
            format!(
                "{}: some downspouts belong to no building, so they were left out: {}",
                path.display(),
                named(&astray)
            ),
            "name their buildings, by the buildings' field id, in the field building",
        ));
    }
    let with =
        |place: usize, building: Building| Building { downspouts: of_building[place].clone(), ..building };
    Ok(Warned::new(buildings.saying(with, |building| &building.downspouts), warnings))
}

fn unusable(path: &Path, spout: &PointFeature, reason: &str) -> InputError {
    InputError::Unreadable {
        path: path.to_owned(),
        reason: format!("{}: {reason}", spout.name),
        help: "correct the field building, or the buildings' field id".to_owned(),
    }
}

/// Those of the file named, else of the layer of the buildings' file if there is one; with the file's path.
fn read(site: &Site, options: &SideOptions) -> Result<Option<(PathBuf, Warned<Points>)>, InputError> {
    if let Some(file) = &options.downspouts {
        return Ok(Some((file.path.clone(), open_points(site, file, ASKED)?)));
    }
    let Some(file) = &options.buildings else { return Ok(None) };
    let wish = Wish { shapes: Shapes::Points, name: Some(ASKED.kind), usual: None };
    let mut warnings = Vec::new();
    let layer = match find_layer(&file.path, wish) {
        Ok(layer) if layer.value.name == ASKED.kind => layer.unload(&mut warnings),
        // The file was opened for its buildings: it only has no such layer.
        Ok(_) | Err(InputError::Layer { .. } | InputError::NoShapes { .. }) => return Ok(None),
        Err(other) => return Err(other.of_side_file(ASKED.kind)),
    };
    let points = read_layer(site, file, &layer, ASKED)?.unload(&mut warnings);
    Ok(Some((file.path.clone(), Warned::new(points, warnings))))
}

/// Whose water a downspout takes.
enum Owner {
    /// That of the building at this place of the list.
    Building(usize),
    /// Nobody's, for this reason.
    None(String),
}

/// The building that a downspout names, else the nearest one.
fn owner(site: &Site, buildings: &PatchSet<Building>, spout: &PointFeature) -> Result<Owner, String> {
    if let Some(id) = &spout.values[0] {
        let all = buildings.patches().iter().enumerate();
        let found: Vec<usize> =
            all.filter(|(_, patch)| patch.says.id.as_ref() == Some(id)).map(|(place, _)| place).collect();
        let feature = |place: &usize| &buildings.patches()[*place].feature;
        let away = |place: &usize| away(&buildings.patches()[*place].outline, spout.at);
        return match found[..] {
            [] => Ok(Owner::None(format!("no building near the raster has the id \"{id}\""))),
            [first, ..] if found.iter().all(|place| feature(place) == feature(&first)) => {
                // Parts of one building: the nearest.
                let nearest = found.iter().copied().min_by(|a, b| away(a).total_cmp(&away(b)));
                Ok(Owner::Building(nearest.unwrap_or(first)))
            }
            _ => Err(format!("{} buildings have the id \"{id}\"", found.len())),
        };
    }
    let reach = NEAREST_M / site.crs.metres_per_unit();
    let Coord { x, y } = spout.at;
    let near = buildings.within(x - reach, y - reach, x + reach, y + reach);
    let away = near.into_iter().map(|place| (away(&buildings.patches()[place].outline, spout.at), place));
    let nearest = away.filter(|(away, _)| *away <= reach).min_by(|a, b| a.0.total_cmp(&b.0));
    let none = || Owner::None(format!("it names none, and none stands within {NEAREST_M} m"));
    Ok(nearest.map_or_else(none, |(_, place)| Owner::Building(place)))
}

/// Distance of a place from a footprint; 0 on it.
fn away(outline: &geo::MultiPolygon<f64>, at: Coord) -> f64 {
    let point = Point::from(at);
    match outline.closest_point(&point) {
        Closest::Intersection(_) => 0.0,
        Closest::SinglePoint(nearest) => Euclidean.distance(nearest, point),
        Closest::Indeterminate => f64::INFINITY,
    }
}

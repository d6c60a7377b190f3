//! Places where roofs' water comes down.

use super::patches::{PatchSet, plain_options};
use super::{Building, SideFile, SideOptions};
use crate::crs::Transform;
use crate::input::Site;
use crate::input::error::{InputError, InputKind};
use crate::input::numbers::real;
use crate::input::parcels::open::{Layer, Shapes, Wish, dataset, find_layer};
use crate::input::parcels::read::text;
use crate::input::site::parcel_crs;
use crate::warning::{Warned, Warning, named};
use gdal::vector::{Feature, LayerAccess};
use geo::{Closest, ClosestPoint, Coord, Distance, Euclidean, Point};
use std::path::Path;

/// Name of the layer in the buildings' file.
const LAYER: &str = "downspouts";
/// Field with the id of the building.
const FIELD: &str = "building";
/// How far from a wall a downspout that names no building may stand, m: a splash block ends nearer. Common practice, no source.
const NEAREST_M: f64 = 3.0;

/// A point of the file in the working system.
struct Spout {
    at: Coord,
    building: Option<String>,
    feature: String,
}

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
    let Some((file, layer)) = find(options)? else { return Ok(Warned::clean(buildings)) };
    let layer = layer.unload(&mut warnings);
    let spouts = read(site, &file, &layer)?.unload(&mut warnings);
    let mut of_building: Vec<Vec<Coord>> = vec![Vec::new(); buildings.patches().len()];
    let mut astray = Vec::new();
    for spout in spouts {
        match owner(site, &buildings, &spout).map_err(|reason| unusable(&file.path, &spout, &reason))? {
            Owner::Building(place) => of_building[place].push(spout.at),
            // Of a town's file only what lies on the ground that is read matters.
            Owner::None(_) if !is_on_ground(site, spout.at) => {}
            Owner::None(reason) => astray.push(format!("{} ({reason})", spout.feature)),
        }
    }
    if !astray.is_empty() {
        warnings.push(Warning::new(
            "downspouts-astray",
            format!(
                "{}: some downspouts belong to no building, so they were left out: {}",
                file.path.display(),
                named(&astray)
            ),
            "name their buildings, by the buildings' field id, in the field building",
        ));
    }
    let with =
        |place: usize, building: Building| Building { downspouts: of_building[place].clone(), ..building };
    Ok(Warned::new(buildings.saying(with, |building| &building.downspouts), warnings))
}

fn unusable(path: &Path, spout: &Spout, reason: &str) -> InputError {
    InputError::Unreadable {
        path: path.to_owned(),
        reason: format!("{}: {reason}", spout.feature),
        help: "correct the field building, or the buildings' field id".to_owned(),
    }
}

/// The file named, else the layer of the buildings' file if there is one.
fn find(options: &SideOptions) -> Result<Option<(SideFile, Warned<Layer>)>, InputError> {
    if let Some(file) = &options.downspouts {
        let wish = Wish { shapes: Shapes::Points, name: file.layer.as_deref(), usual: Some(LAYER) };
        let layer = find_layer(&file.path, wish).map_err(|e| e.of_side_file(LAYER))?;
        return Ok(Some((file.clone(), layer)));
    }
    let Some(file) = &options.buildings else { return Ok(None) };
    let wish = Wish { shapes: Shapes::Points, name: Some(LAYER), usual: None };
    match find_layer(&file.path, wish) {
        Ok(layer) if layer.value.name == LAYER => Ok(Some((file.clone(), layer))),
        // The file was opened for its buildings: it only has no such layer.
        Ok(_) | Err(InputError::Layer { .. } | InputError::NoShapes { .. }) => Ok(None),
        Err(other) => Err(other.of_side_file(LAYER)),
    }
}

fn read(site: &Site, file: &SideFile, layer: &Layer) -> Result<Warned<Vec<Spout>>, InputError> {
    let mut warnings = Vec::new();
    let path = &file.path;
    let broken = |reason: String| InputError::Incomplete { path: path.clone(), at: String::new(), reason };
    let crs = parcel_crs(layer, &plain_options(file, Vec::new()))
        .map_err(|e| e.of_side_file(LAYER))?
        .unload(&mut warnings);
    let way = Transform::new(&crs, site.crs.definition())
        .map_err(|cause| InputError::crs(path, InputKind::Parcels, cause).of_side_file(LAYER))?;
    let field = layer.fields.iter().position(|name| name.eq_ignore_ascii_case(FIELD));
    let data = dataset(&layer.open, &layer.options).map_err(broken)?;
    let mut source = data.layer_by_name(&layer.name).map_err(|e| broken(e.to_string()))?;
    let (mut found, mut dropped) = (Vec::new(), Vec::new());
    for (place, feature) in source.features().enumerate() {
        let name = format!("feature {}", place + 1);
        let building = field.and_then(|field| text(&feature, field));
        let points: Vec<(f64, f64)> = points(&feature);
        if points.is_empty() {
            dropped.push(name);
            continue;
        }
        // A place beyond the working system is beyond the ground as well.
        for at in way.points(&points).map_err(|e| broken(e.to_string()))?.into_iter().flatten() {
            let building = building.clone().map(|id| id.trim().to_owned()).filter(|id| !id.is_empty());
            found.push(Spout { at: Coord { x: at.0, y: at.1 }, building, feature: name.clone() });
        }
    }
    if !dropped.is_empty() {
        warnings.push(Warning::new(
            "features-skipped",
            format!("{}: skipped downspouts that are no points: {}", path.display(), named(&dropped)),
            "give a downspout as a point",
        ));
    }
    Ok(Warned::new(found, warnings))
}

/// The points of a feature; none where it has something else.
fn points(feature: &Feature<'_>) -> Vec<(f64, f64)> {
    let Ok(geometry) = feature.geometry_by_index(0) else { return Vec::new() };
    let kind = gdal::vector::geometry_type_to_name(geometry.geometry_type()).to_ascii_lowercase();
    let all: Vec<(f64, f64, f64)> = if !kind.contains("point") {
        Vec::new()
    } else if geometry.geometry_count() > 0 {
        (0..geometry.geometry_count()).map(|i| geometry.get_geometry(i).get_point(0)).collect()
    } else if geometry.point_count() > 0 {
        vec![geometry.get_point(0)]
    } else {
        Vec::new()
    };
    all.into_iter().map(|(x, y, _)| (x, y)).filter(|(x, y)| x.is_finite() && y.is_finite()).collect()
}

/// Whose water a downspout takes.
enum Owner {
    /// That of the building at this place of the list.
    Building(usize),
    /// Nobody's, for this reason.
    None(String),
}

/// The building that a downspout names, else the nearest one.
fn owner(site: &Site, buildings: &PatchSet<Building>, spout: &Spout) -> Result<Owner, String> {
    if let Some(id) = &spout.building {
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

fn is_on_ground(site: &Site, at: Coord) -> bool {
    let (x, y) = site.survey.georef().to_grid(at.x, at.y);
    let shape = site.survey.shape();
    x >= 0.0 && y >= 0.0 && x <= real(shape.cols) && y <= real(shape.rows)
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

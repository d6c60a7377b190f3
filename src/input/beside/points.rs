//! Points that say something, from layers of points or from tables of comma-separated values.

mod layer;
mod table;

use super::SideFile;
use crate::crs::{CrsDefinition, Transform, VerticalAxis};
use crate::input::Site;
use crate::input::error::{InputError, InputKind};
use crate::input::files::{check_exists, ending};
use crate::input::numbers::real;
use crate::input::parcels::open::{Layer, Shapes, Wish, find_layer};
use crate::warning::Warned;
use geo::Coord;

/// What is looked for.
#[derive(Debug, Clone, Copy)]
pub(in crate::input) struct Asked<'a> {
    /// Name of the points, which is that of the option and the usual layer.
    pub(in crate::input) kind: &'static str,
    /// Fields whose values are wanted, in any case; each may be missing.
    pub(in crate::input) fields: &'a [&'static str],
}

/// One point.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::input) struct PointFeature {
    /// Its place in the working system.
    pub(in crate::input) at: Coord,
    /// Values of the fields asked for; nothing where the field or its value is missing.
    pub(in crate::input) values: Vec<Option<String>>,
    /// Its place in the file, in words.
    pub(in crate::input) name: String,
}

/// All points of a file that have a place in the working system.
#[derive(Debug, Clone, Default)]
pub(in crate::input) struct Points {
    /// The points, in the file's order.
    pub(in crate::input) features: Vec<PointFeature>,
    /// What heights are counted in and from, where the file says it.
    pub(in crate::input) vertical: Option<VerticalAxis>,
}

/// Reads a file of points.
///
/// # Errors
/// [`InputError`] as for parcels; of a table the line and the cause.
pub(in crate::input) fn open_points(
    site: &Site,
    file: &SideFile,
    asked: Asked<'_>,
) -> Result<Warned<Points>, InputError> {
    check_exists(&file.path)?;
    if ending(&file.path) == "csv" {
        return table::read(site, file, asked).map(Warned::clean);
    }
    let wish = Wish { shapes: Shapes::Points, name: file.layer.as_deref(), usual: Some(asked.kind) };
    let mut warnings = Vec::new();
    let layer = find_layer(&file.path, wish).map_err(|e| e.of_side_file(asked.kind))?.unload(&mut warnings);
    let points = read_layer(site, file, &layer, asked)?.unload(&mut warnings);
    Ok(Warned::new(points, warnings))
}

/// Reads a layer that was found before.
///
/// # Errors
/// The same.
pub(in crate::input) fn read_layer(
    site: &Site,
    file: &SideFile,
    layer: &Layer,
    asked: Asked<'_>,
) -> Result<Warned<Points>, InputError> {
    layer::read(site, file, layer, asked)
}

/// Whether a point lies on the ground that is read; a town's file has many that don't.
pub(in crate::input) fn is_on_ground(site: &Site, at: Coord) -> bool {
    let (x, y) = site.survey.georef().to_grid(at.x, at.y);
    let shape = site.survey.shape();
    x >= 0.0 && y >= 0.0 && x <= real(shape.cols) && y <= real(shape.rows)
}

/// The way from a file's system to the working one.
fn way(site: &Site, file: &SideFile, crs: &CrsDefinition, asked: Asked<'_>) -> Result<Transform, InputError> {
    Transform::new(crs, site.crs.definition())
        .map_err(|cause| InputError::crs(&file.path, InputKind::Parcels, cause).of_side_file(asked.kind))
}

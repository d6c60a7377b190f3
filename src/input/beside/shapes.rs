//! Shapes of any kind that say something: polygons, lines, points.

use super::SideFile;
use super::patches::{near, plain_options};
use super::points::is_on_ground;
use crate::crs::{Transform, VerticalAxis};
use crate::input::Site;
use crate::input::error::{InputError, InputKind};
use crate::input::parcels::geometry::check;
use crate::input::parcels::open::{Layer, Shapes, Wish, dataset, find_layer};
use crate::input::parcels::read::text;
use crate::input::parcels::wkb::{Parts, read_parts};
use crate::input::place::Bounds;
use crate::input::site::parcel_crs;
use crate::warning::{Warned, Warning, named};
use gdal::vector::LayerAccess;
use geo::{
    Coord, CoordsIter, Geometry, LineString, MapCoords, MultiLineString, MultiPoint, MultiPolygon, Point,
};

/// What is looked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted<'a> {
    /// Name of the shapes, which is that of the option and of the usual layer.
    pub(super) name: &'static str,
    /// Kind of shapes.
    pub(super) shapes: Shapes,
    /// Fields whose values are wanted, in any case; each may be missing.
    pub(super) fields: &'a [&'static str],
    /// The field, of these, without which the file is refused.
    pub(super) required: Option<&'static str>,
}

/// One shape: polygons, lines or points, never mixed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ShapeFeature {
    /// In the working system; a `MultiPolygon`, `MultiLineString` or `MultiPoint`.
    pub(super) shape: Geometry,
    /// Values of the fields asked for.
    pub(super) values: Vec<Option<String>>,
    /// Its place in the file, in words.
    pub(super) name: String,
}

/// All shapes of a file near the ground that is read.
#[derive(Debug, Clone, Default)]
pub(super) struct ShapesRead {
    /// The shapes, in the file's order.
    pub(super) features: Vec<ShapeFeature>,
    /// What heights are counted in and from, where the file says it.
    pub(super) vertical: Option<VerticalAxis>,
}

/// Reads a file of shapes; those beside the ground that is read are left out.
///
/// # Errors
/// [`InputError`] as for parcels; a file without the field that is required.
pub(super) fn open_shapes(
    site: &Site,
    file: &SideFile,
    wanted: Wanted<'_>,
) -> Result<Warned<ShapesRead>, InputError> {
    read(site, file, wanted).map_err(|error| error.of_side_file(wanted.name))
}

fn read(site: &Site, file: &SideFile, wanted: Wanted<'_>) -> Result<Warned<ShapesRead>, InputError> {
    let mut warnings = Vec::new();
    let wish = Wish { shapes: wanted.shapes, name: file.layer.as_deref(), usual: Some(wanted.name) };
    let layer = find_layer(&file.path, wish)?.unload(&mut warnings);
    let fields = fields(&layer, wanted)?;
    let broken =
        |reason: String| InputError::Incomplete { path: file.path.clone(), at: String::new(), reason };
    let crs = parcel_crs(&layer, &plain_options(file, Vec::new()))?.unload(&mut warnings);
    let way = Transform::new(&crs, site.crs.definition())
        .map_err(|cause| InputError::crs(&file.path, InputKind::Parcels, cause))?;
    let boxes = near(site, &crs);
    let data = dataset(&layer.open, &layer.options).map_err(broken)?;
    let mut source = data.layer_by_name(&layer.name).map_err(|e| broken(e.to_string()))?;
    let (mut features, mut skipped, mut unsound) = (Vec::new(), Vec::new(), Vec::new());
    let mut elsewhere = 0_usize;
    for (place, feature) in source.features().enumerate() {
        let name = format!("feature {}", place + 1);
        let bytes = feature.geometry_by_index(0).ok().and_then(|geometry| geometry.iso_wkb().ok());
        let shapes = bytes
            .and_then(|bytes| read_parts(&bytes))
            .map_or_else(Vec::new, |parts| of(parts, wanted.shapes));
        if shapes.is_empty() {
            skipped.push(name);
            continue;
        }
        let trimmed = |text: String| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
        let value = |field: &Option<usize>| text(&feature, (*field)?).and_then(trimmed);
        let values: Vec<Option<String>> = fields.iter().map(value).collect();
        for shape in shapes {
            match moved(site, &shape, &boxes, &way) {
                Ok(Some(shape)) => {
                    features.push(ShapeFeature { shape, values: values.clone(), name: name.clone() });
                }
                Ok(None) => elsewhere += 1,
                Err(reason) => unsound.push(format!("{name} ({reason})")),
            }
        }
    }
    warnings.extend(findings(file, wanted, [&skipped, &unsound], features.is_empty() && elsewhere > 0));
    if features.is_empty() && elsewhere == 0 && unsound.is_empty() {
        let tally = if skipped.is_empty() { "it is empty" } else { "it has none of them" };
        return Err(InputError::NoShapes {
            path: file.path.clone(),
            what: wanted.shapes.words(),
            tally: tally.to_owned(),
        });
    }
    Ok(Warned::new(ShapesRead { features, vertical: crs.vertical().cloned() }, warnings))
}

/// Places of the fields in a layer.
fn fields(layer: &Layer, wanted: Wanted<'_>) -> Result<Vec<Option<usize>>, InputError> {
    let place = |name: &str| layer.fields.iter().position(|field| field.eq_ignore_ascii_case(name));
    if let Some(missing) = wanted.required.filter(|name| place(name).is_none()) {
        return Err(InputError::KeepField {
            path: layer.path.clone(),
            field: missing.to_owned(),
            fields: layer.fields.clone(),
        });
    }
    Ok(wanted.fields.iter().map(|name| place(name)).collect())
}

/// The shapes of a kind, each kind as one.
fn of(parts: Parts, shapes: Shapes) -> Vec<Geometry> {
    let all = [
        (shapes != Shapes::Points && shapes != Shapes::Lines && !parts.polygons.is_empty())
            .then(|| Geometry::MultiPolygon(MultiPolygon::new(parts.polygons))),
        (matches!(shapes, Shapes::Lines | Shapes::Any)).then(|| {
            let whole = |line: &LineString| line.0.len() > 1;
            Geometry::MultiLineString(MultiLineString(parts.lines.into_iter().filter(whole).collect()))
        }),
        (matches!(shapes, Shapes::Points | Shapes::Any))
            .then(|| Geometry::MultiPoint(MultiPoint(parts.points.into_iter().map(Point::from).collect()))),
    ];
    all.into_iter().flatten().filter(|shape| shape.coords_count() > 0).collect()
}

/// A shape in the working system, sound; nothing where it lies beside the ground that is read.
fn moved(
    site: &Site,
    shape: &Geometry,
    near: &[Bounds],
    way: &Transform,
) -> Result<Option<Geometry>, String> {
    let corners: Vec<(f64, f64)> = shape.coords_iter().map(|c| (c.x, c.y)).collect();
    if corners.iter().any(|(x, y)| !(x.is_finite() && y.is_finite())) {
        return Err("a coordinate is no number".to_owned());
    }
    let Some(bounds) = Bounds::around(&corners) else { return Ok(None) };
    if !near.is_empty() && !near.iter().any(|n| n.meets(bounds)) {
        return Ok(None);
    }
    let image = |c: Coord| way.point(c.x, c.y).map(|(x, y)| Coord { x, y });
    let Ok(there) = shape.try_map_coords(image) else {
        return Err("beyond what the working system can express".to_owned());
    };
    let there = match there {
        Geometry::MultiPolygon(area) => Geometry::MultiPolygon(check(&area)?.outline),
        Geometry::MultiPoint(points) => {
            let on = |point: &Point| is_on_ground(site, (*point).into());
            Geometry::MultiPoint(MultiPoint(points.into_iter().filter(on).collect()))
        }
        other => other,
    };
    Ok(Some(there).filter(|shape| shape.coords_count() > 0))
}

fn findings(
    file: &SideFile,
    wanted: Wanted<'_>,
    [skipped, unsound]: [&Vec<String>; 2],
    elsewhere: bool,
) -> Vec<Warning> {
    let (path, words, name) = (file.path.display(), wanted.shapes.words(), wanted.name);
    let mut warnings = Vec::new();
    if !skipped.is_empty() {
        warnings.push(Warning::new(
            "features-skipped",
            format!("{path}: skipped features of {name} that are no {words}: {}", named(skipped)),
            format!("give each as {words}"),
        ));
    }
    if !unsound.is_empty() {
        warnings.push(Warning::new(
            "shapes-dropped",
            format!("{path}: shapes of {name} that can't be used were left out: {}", named(unsound)),
            "correct them; the result is as if they were not given",
        ));
    }
    if elsewhere {
        warnings.push(Warning::new(
            "shapes-elsewhere",
            format!("{path}: nothing of {name} lies on the raster"),
            "check its coordinate system; the result is as if the file were not given",
        ));
    }
    warnings
}

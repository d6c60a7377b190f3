//! Points of a vector layer.

use super::{Asked, PointFeature, Points, way};
use crate::input::Site;
use crate::input::beside::SideFile;
use crate::input::beside::patches::plain_options;
use crate::input::error::InputError;
use crate::input::parcels::open::{Layer, dataset};
use crate::input::parcels::read::text;
use crate::input::site::parcel_crs;
use crate::warning::{Warned, Warning, named};
use gdal::vector::{Feature, LayerAccess};
use geo::Coord;

/// Several points of one feature are points of their own; features that are no points are named.
pub(super) fn read(
    site: &Site,
    file: &SideFile,
    layer: &Layer,
    asked: Asked<'_>,
) -> Result<Warned<Points>, InputError> {
    let mut warnings = Vec::new();
    let broken =
        |reason: String| InputError::Incomplete { path: file.path.clone(), at: String::new(), reason };
    let crs = parcel_crs(layer, &plain_options(file, Vec::new()))
        .map_err(|e| e.of_side_file(asked.kind))?
        .unload(&mut warnings);
    let way = way(site, file, &crs, asked)?;
    let place = |name: &&str| layer.fields.iter().position(|field| field.eq_ignore_ascii_case(name));
    let fields: Vec<Option<usize>> = asked.fields.iter().map(place).collect();
    let data = dataset(&layer.open, &layer.options).map_err(broken)?;
    let mut source = data.layer_by_name(&layer.name).map_err(|e| broken(e.to_string()))?;
    let (mut features, mut skipped) = (Vec::new(), Vec::new());
    for (place, feature) in source.features().enumerate() {
        let name = format!("feature {}", place + 1);
        let points = points(&feature);
        if points.is_empty() {
            skipped.push(name);
            continue;
        }
        let trimmed = |text: String| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
        let value = |field: &Option<usize>| text(&feature, (*field)?).and_then(trimmed);
        let values: Vec<Option<String>> = fields.iter().map(value).collect();
        // A place beyond the working system is beyond the ground as well.
        for (x, y) in way.points(&points).map_err(|e| broken(e.to_string()))?.into_iter().flatten() {
            features.push(PointFeature { at: Coord { x, y }, values: values.clone(), name: name.clone() });
        }
    }
    if !skipped.is_empty() {
        warnings.push(Warning::new(
            "features-skipped",
            format!(
                "{}: skipped {} that are no points: {}",
                file.path.display(),
                asked.kind,
                named(&skipped)
            ),
            "give each as a point",
        ));
    }
    Ok(Warned::new(Points { features, vertical: crs.vertical().cloned() }, warnings))
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

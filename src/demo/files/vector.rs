//! Lots, storm inlets and houses as GeoJSON (RFC 7946): longitude and latitude, WGS 84.

use std::fs;
use std::path::Path;

use geo::{Coord, Polygon};
use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, JsonObject, JsonValue};
use proj::Proj;

use super::{DemoError, not_written};
use crate::demo::Neighbourhood;

/// Decimals of a degree: a tenth of a millimetre, so that corners of neighbours stay the same and areas exact.
const PRECISION: f64 = 1e9;

/// Writes the lots.
pub(super) fn write_lots(neighbourhood: &Neighbourhood, path: &Path) -> Result<(), DemoError> {
    let globe = Globe::new(neighbourhood.epsg)?;
    let feature = |lot: &crate::demo::DemoLot| {
        Ok(feature(globe.polygon(&lot.outline)?, [("id", lot.id.clone().into())]))
    };
    save(neighbourhood.lots.iter().map(feature).collect::<Result<_, _>>()?, path)
}

/// Writes the houses, named after their lots.
pub(super) fn write_buildings(neighbourhood: &Neighbourhood, path: &Path) -> Result<(), DemoError> {
    let globe = Globe::new(neighbourhood.epsg)?;
    let feature = |(building, lot): (&Polygon<f64>, &crate::demo::DemoLot)| {
        Ok(feature(globe.polygon(building)?, [("id", format!("house {}", lot.id).into())]))
    };
    let pairs = neighbourhood.buildings.iter().zip(&neighbourhood.lots);
    save(pairs.map(feature).collect::<Result<_, _>>()?, path)
}

/// Writes the storm inlets, with their elevations in metres.
pub(super) fn write_inlets(neighbourhood: &Neighbourhood, path: &Path) -> Result<(), DemoError> {
    let globe = Globe::new(neighbourhood.epsg)?;
    let feature = |inlet: &crate::demo::DemoInlet| {
        let properties = [
            ("id", inlet.id.clone().into()),
            ("rim", millimetres(inlet.rim_m).into()),
            ("invert", millimetres(inlet.invert_m).into()),
            ("public", "yes".into()),
        ];
        Ok(feature(GeometryValue::new_point(globe.position(inlet.at)?), properties))
    };
    save(neighbourhood.inlets.iter().map(feature).collect::<Result<_, _>>()?, path)
}

/// The way from the neighbourhood's coordinates to longitude and latitude.
struct Globe {
    epsg: u32,
    projection: Proj,
}

impl Globe {
    fn new(epsg: u32) -> Result<Self, DemoError> {
        let projection = Proj::new_known_crs(&format!("EPSG:{epsg}"), "OGC:CRS84", None)
            .map_err(|error| DemoError::Projection { epsg, reason: error.to_string() })?;
        Ok(Self { epsg, projection })
    }

    fn position(&self, at: Coord<f64>) -> Result<[f64; 2], DemoError> {
        let (longitude, latitude) = self
            .projection
            .convert((at.x, at.y))
            .map_err(|error| DemoError::Projection { epsg: self.epsg, reason: error.to_string() })?;
        Ok([(longitude * PRECISION).round() / PRECISION, (latitude * PRECISION).round() / PRECISION])
    }

    fn polygon(&self, polygon: &Polygon<f64>) -> Result<GeometryValue, DemoError> {
        let ring = |ring: &geo::LineString<f64>| {
            ring.coords().map(|at| self.position(*at)).collect::<Result<Vec<_>, _>>()
        };
        let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(ring);
        Ok(GeometryValue::new_polygon(rings.collect::<Result<Vec<_>, _>>()?))
    }
}

fn millimetres(metres: f64) -> f64 {
    (metres * 1000.0).round() / 1000.0
}

fn feature<const N: usize>(geometry: GeometryValue, properties: [(&str, JsonValue); N]) -> Feature {
    let properties: JsonObject =
        properties.into_iter().map(|(name, value)| (name.to_owned(), value)).collect();
    Feature {
        geometry: Some(Geometry::new(geometry)),
        properties: Some(properties),
        bbox: None,
        id: None,
        foreign_members: None,
    }
}

fn save(features: Vec<Feature>, path: &Path) -> Result<(), DemoError> {
    let collection = FeatureCollection { features, bbox: None, foreign_members: None };
    fs::write(path, format!("{collection}\n")).map_err(|source| not_written(path, source))
}

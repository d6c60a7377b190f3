//! Parcels as files.

use std::path::Path;

use gdal::DriverManager;
use gdal::spatial_ref::{AxisMappingStrategy, SpatialRef};
use gdal::vector::{FieldDefn, Geometry, LayerAccess, LayerOptions, OGRFieldType, OGRwkbGeometryType};
use geo::{Area, GeodesicArea, LineString, Polygon};
use proj::Proj;
use serde_json::{Value, json};

use super::scene::{NORTH, UTM, WEST};

/// Longitude and latitude on the world's datum.
pub(crate) const WGS84: &str = "EPSG:4326";

/// A position: east and north, or longitude and latitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct At {
    /// East or longitude.
    pub(crate) x: f64,
    /// North or latitude.
    pub(crate) y: f64,
}

/// A closed ring (first position repeated at the end).
pub(crate) type Ring = Vec<At>;

/// One parcel: its polygons, each an outer ring and holes.
#[derive(Debug, Clone)]
pub(crate) struct Lot {
    /// The key.
    pub(crate) id: String,
    /// Outer ring first, then holes.
    pub(crate) polygons: Vec<Vec<Ring>>,
}

/// Parcels in the coordinates of one system.
#[derive(Debug, Clone)]
pub(crate) struct Lots {
    /// The system's name or definition.
    pub(crate) crs: String,
    /// The parcels, in the file's order.
    pub(crate) lots: Vec<Lot>,
}

/// A rectangle from the scene's south-west corner as origin (80 by 80 units), counter-clockwise.
pub(crate) fn rectangle(west: f64, south: f64, east: f64, north: f64) -> Ring {
    let (x0, y0) = (WEST, NORTH - 80.0);
    [(west, south), (east, south), (east, north), (west, north), (west, south)]
        .into_iter()
        .map(|(x, y)| At { x: x0 + x, y: y0 + y })
        .collect()
}

/// A parcel of one rectangle.
pub(crate) fn lot(id: &str, west: f64, south: f64, east: f64, north: f64) -> Lot {
    ring_lot(id, rectangle(west, south, east, north))
}

/// A parcel of one ring.
pub(crate) fn ring_lot(id: &str, ring: Ring) -> Lot {
    Lot { id: id.to_owned(), polygons: vec![vec![ring]] }
}

impl Lots {
    /// Parcels of the base scene's coordinate system.
    pub(crate) fn of(lots: Vec<Lot>) -> Self {
        Self { crs: UTM.to_owned(), lots }
    }

    /// N, 20 deep, above S, 30 deep; both 40 wide.
    pub(crate) fn base() -> Self {
        Self::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), lot("S", 20.0, 10.0, 60.0, 40.0)])
    }

    /// The same parcels with every position moved.
    pub(crate) fn moved(&self, change: impl Fn(At) -> At) -> Self {
        let mut moved = self.clone();
        for position in moved.lots.iter_mut().flat_map(|lot| lot.polygons.iter_mut().flatten().flatten()) {
            *position = change(*position);
        }
        moved
    }

    /// The same parcels in another coordinate system (x east or longitude, y north or latitude).
    pub(crate) fn to(&self, crs: &str) -> Self {
        if crs == self.crs {
            return self.clone();
        }
        let transform = Transform::new(&self.crs, crs);
        let mut there = self.moved(|position| transform.apply(position));
        crs.clone_into(&mut there.crs);
        there
    }

    /// A GeoJSON object without `crs` member, its numbers in `crs`.
    pub(crate) fn geojson(&self, crs: &str) -> Value {
        let features: Vec<Value> = self.to(crs).lots.iter().map(feature).collect();
        json!({ "type": "FeatureCollection", "features": features })
    }

    /// Writes the parcels by one of GDAL's drivers, in the coordinates that they have.
    ///
    /// The file states `label` as its system, or none.
    pub(crate) fn write(&self, path: &Path, driver: &str, label: Option<&str>) {
        let label = label.map(|text| {
            let mut crs = SpatialRef::from_definition(text).expect("GDAL knows the coordinate system");
            crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
            crs
        });
        let driver = DriverManager::get_driver_by_name(driver).expect("GDAL has the driver");
        let mut file = driver.create_vector_only(path).expect("the parcel file can be made");
        let layer = file
            .create_layer(LayerOptions {
                name: "lots",
                srs: label.as_ref(),
                ty: OGRwkbGeometryType::wkbMultiPolygon,
                options: None,
            })
            .expect("the layer can be made");
        FieldDefn::new("pid", OGRFieldType::OFTString)
            .and_then(|field| field.add_to_layer(&layer))
            .expect("the layer takes a field");
        for lot in &self.lots {
            let geometry = Geometry::from_geojson(&feature(lot)["geometry"].to_string());
            let mut geometry = geometry.expect("the parcel is a geometry");
            if lot.polygons.len() == 1 {
                let mut multi =
                    Geometry::empty(OGRwkbGeometryType::wkbMultiPolygon).expect("GDAL has the type");
                multi.add_geometry(geometry).expect("a polygon is part of a multi-polygon");
                geometry = multi;
            }
            let mut made = gdal::vector::Feature::new(layer.defn()).expect("a feature can be made");
            made.set_field_string(0, &lot.id).expect("the field takes text");
            made.set_geometry(geometry).expect("the feature takes a geometry");
            made.create(&layer).expect("the feature can be written");
        }
        file.close().expect("the parcel file can be closed");
    }
}

fn feature(lot: &Lot) -> Value {
    let polygons: Vec<Value> =
        lot.polygons.iter().map(|rings| rings.iter().map(ring_value).collect()).collect();
    let geometry = match polygons.as_slice() {
        [single] => json!({ "type": "Polygon", "coordinates": single }),
        several => json!({ "type": "MultiPolygon", "coordinates": several }),
    };
    json!({ "type": "Feature", "properties": { "pid": lot.id }, "geometry": geometry })
}

fn ring_value(ring: &Ring) -> Value {
    ring.iter().map(|position| json!([position.x, position.y])).collect()
}

/// Swaps the two numbers of every position of a GeoJSON object, at any depth.
pub(crate) fn swap_axes(value: &mut Value) {
    match value {
        Value::Array(items) if items.len() == 2 && items.iter().all(Value::is_number) => items.swap(0, 1),
        Value::Array(items) => items.iter_mut().for_each(swap_axes),
        Value::Object(members) => members.values_mut().for_each(swap_axes),
        _ => {}
    }
}

/// A transformation between two coordinate systems, by PROJ, in the order x (east, longitude), y (north, latitude).
pub(crate) struct Transform(Proj);

impl Transform {
    /// Between two definitions.
    pub(crate) fn new(from: &str, to: &str) -> Self {
        Self(Proj::new_known_crs(from, to, None).expect("PROJ knows both coordinate systems"))
    }

    /// The position in the other system.
    pub(crate) fn apply(&self, position: At) -> At {
        let (x, y) = self.0.convert((position.x, position.y)).expect("the position can be transformed");
        At { x, y }
    }
}

/// The true area of a ring in `crs`, in square metres: that of the geodesic polygon through its corners (Karney 2013,
/// "Algorithms for geodesics", Journal of Geodesy 87:43-55, as in the `geo` crate).
///
/// The sides are cut into 16 so that a straight side of the map and a geodesic can't differ.
pub(crate) fn true_area_m2(crs: &str, ring: &Ring) -> f64 {
    let transform = Transform::new(crs, WGS84);
    let corners: Vec<(f64, f64)> = ring
        .windows(2)
        .flat_map(|side| {
            (0..16).map(|step| {
                let share = f64::from(step) / 16.0;
                let x = side[0].x + (side[1].x - side[0].x) * share;
                let y = side[0].y + (side[1].y - side[0].y) * share;
                let there = transform.apply(At { x, y });
                (there.x, there.y)
            })
        })
        .collect();
    Polygon::new(LineString::from(corners), Vec::new()).geodesic_area_unsigned()
}

/// The signed area of a ring in square units; positive when counter-clockwise.
pub(crate) fn signed_area(ring: &[At]) -> f64 {
    // From the first corner, so that large coordinates don't cost digits.
    let corners: Vec<(f64, f64)> = ring.iter().map(|at| (at.x - ring[0].x, at.y - ring[0].y)).collect();
    Polygon::new(LineString::from(corners), Vec::new()).signed_area()
}

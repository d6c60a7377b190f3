//! Files of several layers.

use std::path::Path;

use gdal::DriverManager;
use gdal::spatial_ref::{AxisMappingStrategy, SpatialRef};
use gdal::vector::{FieldDefn, Geometry, LayerAccess, LayerOptions, OGRFieldType, OGRwkbGeometryType};
use serde_json::{Value, json};

use super::lots::{Lot, rectangle};
use super::scene::{NORTH, UTM, WEST};

/// One layer: its name, the field that it has, and features with the field's value.
pub(crate) struct Layer<'a> {
    pub(crate) name: &'a str,
    pub(crate) field: &'a str,
    pub(crate) features: Vec<(Value, &'a str)>,
}

/// A rectangle in units from the scene's south-west corner.
pub(crate) fn house([west, south, east, north]: [f64; 4]) -> Value {
    let lot = Lot { id: String::new(), polygons: vec![vec![rectangle(west, south, east, north)]] };
    let ring: Vec<Value> = lot.polygons[0][0].iter().map(|at| json!([at.x, at.y])).collect();
    json!({ "type": "Polygon", "coordinates": [ring] })
}

/// A point in units from the scene's south-west corner.
pub(crate) fn point([x, y]: [f64; 2]) -> Value {
    json!({ "type": "Point", "coordinates": [WEST + x, NORTH - 80.0 + y] })
}

/// Writes a GeoPackage in the scene's system.
pub(crate) fn write(path: &Path, layers: &[Layer<'_>]) {
    let mut crs = SpatialRef::from_definition(UTM).expect("GDAL knows the coordinate system");
    crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    let driver = DriverManager::get_driver_by_name("GPKG").expect("GDAL has the driver");
    let mut file = driver.create_vector_only(path).expect("the file can be made");
    for layer in layers {
        let is_points = layer.features.iter().all(|(geometry, _)| geometry["type"] == "Point");
        let made = file
            .create_layer(LayerOptions {
                name: layer.name,
                srs: Some(&crs),
                ty: if is_points { OGRwkbGeometryType::wkbPoint } else { OGRwkbGeometryType::wkbPolygon },
                options: None,
            })
            .expect("the layer can be made");
        FieldDefn::new(layer.field, OGRFieldType::OFTString)
            .and_then(|field| field.add_to_layer(&made))
            .expect("the layer takes a field");
        for (geometry, value) in &layer.features {
            let geometry = Geometry::from_geojson(&geometry.to_string()).expect("it is a geometry");
            let mut feature = gdal::vector::Feature::new(made.defn()).expect("a feature can be made");
            feature.set_field_string(0, value).expect("the field takes text");
            feature.set_geometry(geometry).expect("the feature takes a geometry");
            feature.create(&made).expect("the feature can be written");
        }
    }
    file.close().expect("the file can be closed");
}

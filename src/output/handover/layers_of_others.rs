//! Layers in a `GeoPackage` of the result's name that somebody else put there, or changed.

use super::geopackage::NO_DATE;
use gdal::vector::{LayerAccess, sql};
use gdal::{Dataset, DatasetOptions, GdalOpenFlags};
use std::path::Path;

/// Names of the tables whose date of change is a real one: ours have none. Nothing where the file isn't a `GeoPackage`, or
/// can't be read.
pub(crate) fn layers_of_others(path: &Path) -> Vec<String> {
    let how = DatasetOptions {
        open_flags: GdalOpenFlags::GDAL_OF_READONLY | GdalOpenFlags::GDAL_OF_VECTOR,
        allowed_drivers: Some(&["GPKG"]),
        open_options: Some(&["IMMUTABLE=YES"]),
        ..DatasetOptions::default()
    };
    let question = format!("SELECT table_name FROM gpkg_contents WHERE last_change <> '{}'", NO_DATE.1);
    let Ok(file) = Dataset::open_ex(path, how) else { return Vec::new() };
    let Ok(Some(mut found)) = file.execute_sql(question, None, sql::Dialect::DEFAULT) else {
        return Vec::new();
    };
    found.features().filter_map(|row| row.field_as_string(0).ok().flatten()).collect()
}

//! The elevation raster.

use std::path::Path;

use gdal::spatial_ref::SpatialRef;

use super::DemoError;
use crate::demo::Neighbourhood;
use crate::output::geotiff::{self, Band, Layout};

/// Writes the elevations as a compressed `GeoTIFF` whose band names its unit.
pub(super) fn write(neighbourhood: &Neighbourhood, path: &Path, workshop: &Path) -> Result<(), DemoError> {
    let written = SpatialRef::from_epsg(neighbourhood.epsg).and_then(|crs| crs.to_wkt()).and_then(|wkt| {
        let band = Band {
            values: &neighbourhood.elevation,
            georef: neighbourhood.georef,
            wkt: &wkt,
            nodata: None,
            unit: "metre",
            description: "elevation",
        };
        geotiff::write(path, &workshop.join("plain.tif"), &band, &Layout::Tiled)
    });
    written.map_err(|source| DemoError::Raster { path: path.to_path_buf(), source })
}

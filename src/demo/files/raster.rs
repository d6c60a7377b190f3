//! The elevation raster.

use std::path::Path;

use gdal::errors::GdalError;
use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use gdal::{Dataset, DriverManager};

use super::DemoError;
use crate::demo::Neighbourhood;

/// Writes the elevations as a compressed `GeoTIFF` whose band names its unit.
pub(super) fn write(neighbourhood: &Neighbourhood, path: &Path, workshop: &Path) -> Result<(), DemoError> {
    let plain = workshop.join("plain.tif");
    write_plain(neighbourhood, &plain)
        .and_then(|()| add_unit(neighbourhood, &plain, path))
        .map_err(|source| DemoError::Raster { path: path.to_path_buf(), source })
}

fn write_plain(neighbourhood: &Neighbourhood, path: &Path) -> Result<(), GdalError> {
    let shape = neighbourhood.elevation.shape();
    let georef = neighbourhood.georef;
    let driver = DriverManager::get_driver_by_name("GTiff")?;
    let mut dataset = driver.create_with_band_type::<f32, _>(path, shape.cols, shape.rows, 1)?;
    dataset.set_geo_transform(&[georef.west, georef.step_x, 0.0, georef.north, 0.0, -georef.step_y])?;
    dataset.set_spatial_ref(&SpatialRef::from_epsg(neighbourhood.epsg)?)?;
    let values = neighbourhood.elevation.values().to_vec();
    let mut buffer = Buffer::new((shape.cols, shape.rows), values);
    dataset.rasterband(1)?.write((0, 0), (shape.cols, shape.rows), &mut buffer)?;
    dataset.close()
}

/// Copies the raster through a virtual one that states the unit of the heights.
///
/// GDAL's safe interface can read a band's unit but not set it; a virtual raster carries it as text.
fn add_unit(neighbourhood: &Neighbourhood, plain: &Path, path: &Path) -> Result<(), GdalError> {
    let shape = neighbourhood.elevation.shape();
    let georef = neighbourhood.georef;
    let text = format!(
        concat!(
            r#"<VRTDataset rasterXSize="{cols}" rasterYSize="{rows}"><SRS>EPSG:{epsg}</SRS>"#,
            "<GeoTransform>{west}, {step_x}, 0, {north}, 0, -{step_y}</GeoTransform>",
            r#"<VRTRasterBand dataType="Float32" band="1"><Description>elevation</Description>"#,
            "<UnitType>metre</UnitType><SimpleSource>",
            r#"<SourceFilename relativeToVRT="0">{plain}</SourceFilename><SourceBand>1</SourceBand>"#,
            "</SimpleSource></VRTRasterBand></VRTDataset>",
        ),
        cols = shape.cols,
        rows = shape.rows,
        epsg = neighbourhood.epsg,
        west = georef.west,
        north = georef.north,
        step_x = georef.step_x,
        step_y = georef.step_y,
        plain = escaped(&plain.to_string_lossy()),
    );
    let with_unit = Dataset::open(text)?;
    let driver = DriverManager::get_driver_by_name("GTiff")?;
    let options = RasterCreationOptions::from_iter([
        "COMPRESS=DEFLATE",
        "PREDICTOR=3",
        "TILED=YES",
        "BLOCKXSIZE=256",
        "BLOCKYSIZE=256",
    ]);
    with_unit.create_copy(&driver, path, &options)?.close()
}

/// Text that may stand between XML tags.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

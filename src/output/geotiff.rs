//! Grids as `GeoTIFF` files whose band says what it holds and in which unit.

use crate::grid::{Georef, Grid};
use gdal::errors::GdalError;
use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use gdal::{Dataset, DriverManager};
use std::path::Path;

/// One band: values, place, and what they are.
pub(crate) struct Band<'a> {
    pub(crate) values: &'a Grid<f32>,
    pub(crate) georef: Georef,
    /// Coordinate system, as well-known text.
    pub(crate) wkt: &'a str,
    /// Stands for NaN in the file; finite, as some readers want it.
    pub(crate) nodata: Option<f32>,
    pub(crate) unit: &'a str,
    pub(crate) description: &'a str,
}

/// Kind of file.
pub(crate) enum Layout<'a> {
    /// Tiled `GeoTIFF`.
    Tiled,
    /// Cloud Optimized `GeoTIFF` with overviews made by a method of GDAL's.
    CloudOptimized {
        /// The method's name.
        overviews: &'a str,
    },
}

/// Writes a band. `plain` is a place for a file in between, which is left behind.
///
/// GDAL's safe interface can read a band's unit but not set it: the bare numbers are written first, and copied through
/// a virtual raster that states the unit as text.
pub(crate) fn write(
    path: &Path,
    plain: &Path,
    band: &Band<'_>,
    layout: &Layout<'_>,
) -> Result<(), GdalError> {
    write_plain(plain, band)?;
    let virtual_raster = Dataset::open(virtual_text(plain, band))?;
    let (driver, options) = match layout {
        Layout::Tiled => (
            "GTiff",
            RasterCreationOptions::from_iter([
                "COMPRESS=DEFLATE",
                "PREDICTOR=3",
                "TILED=YES",
                "BLOCKXSIZE=256",
                "BLOCKYSIZE=256",
            ]),
        ),
        Layout::CloudOptimized { overviews } => (
            "COG",
            RasterCreationOptions::from_iter([
                "COMPRESS=DEFLATE",
                "PREDICTOR=FLOATING_POINT",
                "BLOCKSIZE=512",
                &format!("RESAMPLING={overviews}"),
            ]),
        ),
    };
    let driver = DriverManager::get_driver_by_name(driver)?;
    virtual_raster.create_copy(&driver, path, &options)?.close()
}

fn write_plain(path: &Path, band: &Band<'_>) -> Result<(), GdalError> {
    let shape = band.values.shape();
    let Georef { west, north, step_x, step_y } = band.georef;
    let driver = DriverManager::get_driver_by_name("GTiff")?;
    let mut dataset = driver.create_with_band_type::<f32, _>(path, shape.cols, shape.rows, 1)?;
    dataset.set_geo_transform(&[west, step_x, 0.0, north, 0.0, -step_y])?;
    dataset.set_spatial_ref(&SpatialRef::from_wkt(band.wkt)?)?;
    let stored = |&value: &f32| if value.is_nan() { band.nodata.unwrap_or(value) } else { value };
    let mut buffer = Buffer::new((shape.cols, shape.rows), band.values.values().iter().map(stored).collect());
    dataset.rasterband(1)?.write((0, 0), (shape.cols, shape.rows), &mut buffer)?;
    dataset.close()
}

fn virtual_text(plain: &Path, band: &Band<'_>) -> String {
    let shape = band.values.shape();
    let Georef { west, north, step_x, step_y } = band.georef;
    let nodata = band.nodata.map_or_else(String::new, |v| format!("<NoDataValue>{v}</NoDataValue>"));
    format!(
        concat!(
            r#"<VRTDataset rasterXSize="{cols}" rasterYSize="{rows}"><SRS>{srs}</SRS>"#,
            "<GeoTransform>{west}, {step_x}, 0, {north}, 0, -{step_y}</GeoTransform>",
            r#"<VRTRasterBand dataType="Float32" band="1"><Description>{description}</Description>"#,
            "<UnitType>{unit}</UnitType>{nodata}<SimpleSource>",
            r#"<SourceFilename relativeToVRT="0">{plain}</SourceFilename><SourceBand>1</SourceBand>"#,
            "</SimpleSource></VRTRasterBand></VRTDataset>",
        ),
        cols = shape.cols,
        rows = shape.rows,
        srs = escaped(band.wkt),
        west = west,
        north = north,
        step_x = step_x,
        step_y = step_y,
        description = escaped(band.description),
        unit = escaped(band.unit),
        nodata = nodata,
        plain = escaped(&plain.to_string_lossy()),
    )
}

/// Text that may stand between XML tags.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

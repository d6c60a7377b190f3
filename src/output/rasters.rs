//! Rasters of the window as Cloud Optimized GeoTIFF.

use super::bundle::Bundle;
use super::error::OutputError;
use crate::grid::Grid;
use crate::pipeline::{Assessment, Rasters};
use gdal::errors::GdalError;
use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use gdal::{Dataset, DriverManager};
use std::path::{Path, PathBuf};

/// Value that stands for "nothing to say"; finite, as some readers want it.
const NODATA: f32 = -9999.0;

/// One raster: file name, values, unit, and what they are.
struct Layer<'a> {
    name: &'static str,
    values: &'a Grid<f32>,
    unit: &'static str,
    description: &'static str,
}

/// Writes all rasters into the bundle's folder `rasters`.
///
/// # Errors
/// [`OutputError::Raster`] or [`OutputError::Io`].
pub fn write_rasters(
    bundle: &Bundle,
    assessment: &Assessment<'_>,
    rasters: &Rasters,
) -> Result<(), OutputError> {
    let folder = bundle.staging().join("rasters");
    // Not the folders above it: an interrupted run must not bring them back once they are removed.
    std::fs::create_dir(&folder).map_err(|cause| OutputError::Io { path: folder.clone(), cause })?;
    let layers = [
        Layer { name: "filled", values: &rasters.filled, unit: "metre", description: "filled surface" },
        Layer {
            name: "pond-depth",
            values: &rasters.pond_depth,
            unit: "metre",
            description: "filled surface minus ground",
        },
        Layer {
            name: "direction",
            values: &rasters.direction,
            unit: "degree",
            description: "mean direction of flow, clockwise from grid north",
        },
        Layer {
            name: "upstream-area",
            values: &rasters.upstream_area,
            unit: "square metre",
            description: "area above the cell, its own included, within the window",
        },
        Layer {
            name: "share-reaching-lot",
            values: &rasters.share_reaching_lot,
            unit: "1",
            description: "share of the cell's water that reaches the lot",
        },
    ];
    layers.iter().try_for_each(|layer| write(&folder, layer, assessment))
}

fn write(folder: &Path, layer: &Layer<'_>, assessment: &Assessment<'_>) -> Result<(), OutputError> {
    let path: PathBuf = folder.join(format!("{}.tif", layer.name));
    let plain = folder.join(format!(".{}.plain", layer.name));
    write_plain(&plain, layer, assessment)
        .and_then(|()| describe(&plain, &path, layer, assessment))
        .map_err(|cause| OutputError::Raster { path: path.clone(), cause })?;
    std::fs::remove_file(&plain).map_err(|cause| OutputError::Io { path: plain.clone(), cause })
}

/// The bare numbers.
fn write_plain(path: &Path, layer: &Layer<'_>, assessment: &Assessment<'_>) -> Result<(), GdalError> {
    let shape = layer.values.shape();
    let georef = assessment.routed.ground.georef;
    let driver = DriverManager::get_driver_by_name("GTiff")?;
    let mut dataset = driver.create_with_band_type::<f32, _>(path, shape.cols, shape.rows, 1)?;
    dataset.set_geo_transform(&[georef.west, georef.step_x, 0.0, georef.north, 0.0, -georef.step_y])?;
    dataset.set_spatial_ref(&SpatialRef::from_wkt(assessment.site.crs.wkt())?)?;
    let values: Vec<f32> =
        layer.values.values().iter().map(|&v| if v.is_nan() { NODATA } else { v }).collect();
    let mut band = dataset.rasterband(1)?;
    band.set_no_data_value(Some(f64::from(NODATA)))?;
    let mut buffer = Buffer::new((shape.cols, shape.rows), values);
    band.write((0, 0), (shape.cols, shape.rows), &mut buffer)?;
    dataset.close()
}

/// Copies the numbers through a virtual raster that states unit and description: GDAL's safe interface can read a
/// band's unit but not set it.
fn describe(
    plain: &Path,
    path: &Path,
    layer: &Layer<'_>,
    assessment: &Assessment<'_>,
) -> Result<(), GdalError> {
    let shape = layer.values.shape();
    let georef = assessment.routed.ground.georef;
    let text = format!(
        concat!(
            r#"<VRTDataset rasterXSize="{cols}" rasterYSize="{rows}"><SRS>{srs}</SRS>"#,
            "<GeoTransform>{west}, {step_x}, 0, {north}, 0, -{step_y}</GeoTransform>",
            r#"<VRTRasterBand dataType="Float32" band="1"><Description>{description}</Description>"#,
            "<UnitType>{unit}</UnitType><NoDataValue>{nodata}</NoDataValue><SimpleSource>",
            r#"<SourceFilename relativeToVRT="0">{plain}</SourceFilename><SourceBand>1</SourceBand>"#,
            "</SimpleSource></VRTRasterBand></VRTDataset>",
        ),
        cols = shape.cols,
        rows = shape.rows,
        srs = escaped(assessment.site.crs.wkt()),
        west = georef.west,
        north = georef.north,
        step_x = georef.step_x,
        step_y = georef.step_y,
        description = layer.description,
        unit = layer.unit,
        nodata = NODATA,
        plain = escaped(&plain.to_string_lossy()),
    );
    let virtual_raster = Dataset::open(text)?;
    let cog = DriverManager::get_driver_by_name("COG")?;
    let overviews = if layer.name == "direction" { "NEAREST" } else { "AVERAGE" };
    let options = RasterCreationOptions::from_iter([
        "COMPRESS=DEFLATE",
        "PREDICTOR=FLOATING_POINT",
        "BLOCKSIZE=512",
        &format!("RESAMPLING={overviews}"),
    ]);
    virtual_raster.create_copy(&cog, path, &options)?.close()
}

/// Text that may stand between XML tags.
pub(crate) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

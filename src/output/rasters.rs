//! Rasters of the window as Cloud Optimized GeoTIFF.

use super::bundle::Bundle;
use super::error::OutputError;
use crate::grid::Grid;
use crate::pipeline::{Assessment, Rasters};
use gdal::DriverManager;
use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
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
    std::fs::create_dir_all(&folder).map_err(|cause| OutputError::Io { path: folder.clone(), cause })?;
    let layers = [
        Layer { name: "filled", values: &rasters.filled, unit: "metre", description: "filled surface" },
        Layer { name: "pond-depth", values: &rasters.pond_depth, unit: "metre", description: "filled surface minus ground" },
        Layer { name: "direction", values: &rasters.direction, unit: "degree", description: "mean direction of flow, clockwise from grid north" },
        Layer { name: "upstream-area", values: &rasters.upstream_area, unit: "square metre", description: "area above the cell, its own included, within the window" },
        Layer { name: "share-reaching-lot", values: &rasters.share_reaching_lot, unit: "1", description: "share of the cell's water that reaches the lot" },
    ];
    layers.iter().try_for_each(|layer| write(&folder, layer, assessment))
}

fn write(folder: &Path, layer: &Layer<'_>, assessment: &Assessment<'_>) -> Result<(), OutputError> {
    let path: PathBuf = folder.join(format!("{}.tif", layer.name));
    let raster = |cause| OutputError::Raster { path: path.clone(), cause };
    let shape = layer.values.shape();
    let georef = assessment.routed.ground.georef;
    let memory = DriverManager::get_driver_by_name("MEM").map_err(raster)?;
    let mut dataset =
        memory.create_with_band_type::<f32, _>("", shape.cols, shape.rows, 1).map_err(raster)?;
    dataset
        .set_geo_transform(&[georef.west, georef.step_x, 0.0, georef.north, 0.0, -georef.step_y])
        .map_err(raster)?;
    let crs = SpatialRef::from_wkt(assessment.site.crs.wkt()).map_err(raster)?;
    dataset.set_spatial_ref(&crs).map_err(raster)?;
    let values: Vec<f32> =
        layer.values.values().iter().map(|&v| if v.is_nan() { NODATA } else { v }).collect();
    let mut band = dataset.rasterband(1).map_err(raster)?;
    band.set_no_data_value(Some(f64::from(NODATA))).map_err(raster)?;
    let mut buffer = Buffer::new((shape.cols, shape.rows), values);
    band.write((0, 0), (shape.cols, shape.rows), &mut buffer).map_err(raster)?;
    gdal::Metadata::set_description(&mut band, layer.description).map_err(raster)?;
    gdal::Metadata::set_metadata_item(&mut band, "UNITTYPE", layer.unit, "").map_err(raster)?;
    let cog = DriverManager::get_driver_by_name("COG").map_err(raster)?;
    let overviews = if layer.name == "direction" { "NEAREST" } else { "AVERAGE" };
    let options = RasterCreationOptions::from_iter([
        "COMPRESS=DEFLATE",
        "PREDICTOR=FLOATING_POINT",
        "BLOCKSIZE=512",
        &format!("RESAMPLING={overviews}"),
    ]);
    let mut copy = dataset.create_copy(&cog, &path, &options).map_err(raster)?;
    copy.flush_cache().map_err(raster)
}

//! Rasters of the window as Cloud Optimized GeoTIFF.

use super::bundle::Bundle;
use super::error::OutputError;
use super::geotiff::{self, Band, Layout};
use crate::grid::{Georef, Grid};
use crate::pipeline::{Assessment, Rasters};
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
    let georef = assessment.routed.ground.georef;
    layers.iter().try_for_each(|layer| write(&folder, layer, georef, assessment))?;
    let Some(certainty) = &assessment.certainty else { return Ok(()) };
    // The repeats may have looked at more ground.
    let likelihood = Layer {
        name: "likelihood",
        values: &certainty.map.values,
        unit: "1",
        description: "likelihood that the cell's water reaches the lot",
    };
    write(&folder, &likelihood, certainty.map.georef, assessment)
}

fn write(
    folder: &Path,
    layer: &Layer<'_>,
    georef: Georef,
    assessment: &Assessment<'_>,
) -> Result<(), OutputError> {
    let path: PathBuf = folder.join(format!("{}.tif", layer.name));
    let plain = folder.join(format!(".{}.plain", layer.name));
    let band = Band {
        values: layer.values,
        georef,
        wkt: assessment.site.crs.wkt(),
        nodata: Some(NODATA),
        unit: layer.unit,
        description: layer.description,
    };
    // A mean of directions is none.
    let overviews = if layer.name == "direction" { "NEAREST" } else { "AVERAGE" };
    geotiff::write(&path, &plain, &band, &Layout::CloudOptimized { overviews })
        .map_err(|cause| OutputError::Raster { path: path.clone(), cause })?;
    std::fs::remove_file(&plain).map_err(|cause| OutputError::Io { path: plain.clone(), cause })
}

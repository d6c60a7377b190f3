//! Signs that a band holds something other than elevations of the ground.

use crate::warning::Warning;
use gdal::raster::{GdalDataType, RasterBand};
use gdal::{Dataset, Metadata};
use std::path::Path;

/// Words by which bands are described that are worked out from elevations, or are none.
const OTHERWISE: [&str; 14] = [
    "slope",
    "aspect",
    "hillshade",
    "shaded relief",
    "curvature",
    "roughness",
    "intensity",
    "reflectance",
    "density",
    "uncertainty",
    "above ground",
    "canopy",
    "depth",
    "count",
];
/// Words for surfaces over roofs and trees.
const SURFACE: [&str; 4] = ["surface model", "dsm", "first return", "highest return"];

/// What speaks against the first band.
pub(super) fn check(path: &Path, dataset: &Dataset, band: &RasterBand<'_>) -> Vec<Warning> {
    let name = path.display();
    let kind = band.band_type();
    let mut warnings = Vec::new();
    let said = band.description().unwrap_or_default();
    let lower = said.to_lowercase();
    let says = |words: &[&str]| words.iter().any(|word| lower.contains(word));
    if says(&OTHERWISE) {
        warnings.push(Warning::new(
            "band-described-otherwise",
            format!("{name}: its band is described as \"{said}\", which is not the height of the ground"),
            "give the raster of ground elevations",
        ));
    } else if says(&SURFACE) {
        warnings.push(Warning::new(
            "band-is-surface",
            format!(
                "{name}: its band is described as \"{said}\": roofs and trees stand in the way of the water"
            ),
            "give a model of the bare ground",
        ));
    }
    let packed = band.scale().is_some_and(|scale| (scale - 1.0).abs() > f64::EPSILON);
    if matches!(kind, GdalDataType::UInt8 | GdalDataType::Int8) && !packed {
        warnings.push(Warning::new(
            "elevations-of-8-bits",
            format!(
                "{name}: its band has no more than 256 different numbers, as pictures of the relief have"
            ),
            "give the raster of elevations, not the picture made of it",
        ));
    }
    let pages = dataset.metadata_domain("SUBDATASETS").unwrap_or_default();
    let pages = pages.iter().filter(|line| line.contains("_NAME=")).count();
    if pages > 1 {
        warnings.push(Warning::new(
            "pages-ignored",
            format!("{name} has {pages} rasters in one file; only the first is read"),
            "take the one that is meant out of the file, if it is not the first",
        ));
    }
    warnings
}

//! What is handed over to those who build and draw: the layers in one `GeoPackage`, stakes for the phone, lines for a
//! drawing program.

mod drawing;
mod geopackage;
mod layers_of_others;
mod phone;
mod stakes;

use super::bundle::Bundle;
use super::error::OutputError;
use super::layers::Layers;
use crate::pipeline::Assessment;
pub(super) use geopackage::{Sheet, write_package};
use stakes::stakes;
use std::path::Path;

/// Name of the file of a whole town.
pub(super) const TOWN_PACKAGE: &str = "lots.gpkg";

/// Writes all of it.
///
/// # Errors
/// A file that can't be written; a place that can't be given in longitude and latitude.
pub(super) fn hand_over(
    bundle: &Bundle,
    assessment: &Assessment<'_>,
    layers: &Layers,
) -> Result<(), OutputError> {
    let stakes = stakes(assessment)?;
    bundle.write("stakes.csv", &stakes::stakes_csv(&stakes)?)?;
    bundle.write("stakes.gpx", &phone::gpx(assessment, &stakes)?)?;
    bundle.write("stakes.kml", &phone::kml(assessment, &stakes)?)?;
    bundle.write("drawing.dxf", &drawing::dxf(assessment, &stakes)?)?;
    write_package(bundle, geopackage::FILE, &assessment.site.crs, &layers.all().collect::<Vec<_>>(), &[])
}

/// Refuses to replace layers that we did not write.
///
/// # Errors
/// [`OutputError::LayersOfOthers`].
pub(super) fn keep_layers_of_others(folder: &Path) -> Result<(), OutputError> {
    for path in [geopackage::FILE, TOWN_PACKAGE].map(|name| folder.join(name)) {
        let layers = if path.is_file() { layers_of_others::layers_of_others(&path) } else { Vec::new() };
        if !layers.is_empty() {
            return Err(OutputError::LayersOfOthers { path, layers });
        }
    }
    Ok(())
}

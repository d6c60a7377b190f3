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
use stakes::stakes;
use std::path::Path;

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
    geopackage::write(bundle, assessment, layers)
}

/// Refuses to replace layers that we did not write.
///
/// # Errors
/// [`OutputError::LayersOfOthers`].
pub(super) fn keep_layers_of_others(folder: &Path) -> Result<(), OutputError> {
    let path = folder.join(geopackage::FILE);
    if !path.is_file() {
        return Ok(());
    }
    let layers = layers_of_others::layers_of_others(&path);
    if layers.is_empty() { Ok(()) } else { Err(OutputError::LayersOfOthers { path, layers }) }
}

//! The neighbourhood as files, as a user would bring them.

mod manifest;
mod raster;
mod vector;

use std::fs;
use std::path::{Path, PathBuf};

use miette::Diagnostic;
use thiserror::Error;

use super::Neighbourhood;
use manifest::Manifest;

/// Where the files were written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DemoFiles {
    /// `GeoTIFF` of elevations in metres, in the neighbourhood's projected coordinate system.
    pub elevation: PathBuf,
    /// GeoJSON of the lots, with the property `id`.
    pub parcels: PathBuf,
    /// GeoJSON of the storm inlets, with `id`, `rim`, `invert` (metres) and `public`.
    pub inlets: PathBuf,
    /// GeoJSON of the houses, with `id`.
    pub buildings: PathBuf,
    /// Rainfall table of the invented place, in our own layout.
    pub rainfall: PathBuf,
}

/// Invented like the rest.
const RAINFALL: &str = include_str!("rainfall.csv");

/// Why the neighbourhood couldn't be written.
#[derive(Debug, Error, Diagnostic)]
#[non_exhaustive]
pub enum DemoError {
    /// A folder or file can't be written or read.
    #[error("{} can't be written", path.display())]
    #[diagnostic(code(demo::not_written), help("choose a folder that you may write to, with --out"))]
    NotWritten {
        /// The folder or file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file of the same name is there that no demo wrote, or that was changed since.
    #[error("{} is there already and isn't as an earlier demo left it", path.display())]
    #[diagnostic(code(demo::not_ours), help("choose another folder with --out, or move the file away"))]
    NotOurs {
        /// The file.
        path: PathBuf,
    },
    /// The list of what an earlier demo wrote can't be understood.
    #[error("{} isn't a list of what an earlier demo wrote", path.display())]
    #[diagnostic(code(demo::list_unclear), help("choose another folder with --out, or move the file away"))]
    ListUnclear {
        /// The list.
        path: PathBuf,
        /// What is wrong with it.
        source: serde_json::Error,
    },
    /// The elevation raster couldn't be made.
    #[error("the elevation raster can't be made in {}", path.display())]
    #[diagnostic(code(demo::raster))]
    Raster {
        /// The file that was to be made.
        path: PathBuf,
        /// What GDAL said.
        source: gdal::errors::GdalError,
    },
    /// Coordinates couldn't be turned into longitude and latitude.
    #[error("EPSG:{epsg} can't be turned into longitude and latitude: {reason}")]
    #[diagnostic(
        code(demo::projection),
        help("the installation is broken: its projection database isn't found")
    )]
    Projection {
        /// Code of the projected coordinate system.
        epsg: u32,
        /// What PROJ said.
        reason: String,
    },
}

/// Writes the files into `dir`, which is made if need be.
///
/// Each file is written under a temporary name and then renamed, so that none is ever half there. Files of these
/// names are replaced only if they are as an earlier call left them, which a list beside them (`demo-files.json`,
/// with a digest for each) tells.
///
/// # Errors
/// If a file of the same name wasn't written by an earlier call or was changed since, if the folder can't be
/// written to, or if GDAL or PROJ fail.
pub fn write(neighbourhood: &Neighbourhood, dir: &Path) -> Result<DemoFiles, DemoError> {
    fs::create_dir_all(dir).map_err(|source| not_written(dir, source))?;
    let earlier = Manifest::read(dir)?;
    let files = DemoFiles {
        elevation: dir.join("elevation.tif"),
        parcels: dir.join("parcels.geojson"),
        inlets: dir.join("inlets.geojson"),
        buildings: dir.join("buildings.geojson"),
        rainfall: dir.join("rainfall.csv"),
    };
    let paths = [&files.elevation, &files.parcels, &files.inlets, &files.buildings, &files.rainfall];
    for path in paths {
        earlier.check(path)?;
    }

    let workshop = tempfile::Builder::new()
        .prefix(".demo-")
        .tempdir_in(dir)
        .map_err(|source| not_written(dir, source))?;
    let made = |path: &Path| workshop.path().join(path.file_name().unwrap_or_default());
    raster::write(neighbourhood, &made(&files.elevation), workshop.path())?;
    vector::write_lots(neighbourhood, &made(&files.parcels))?;
    vector::write_inlets(neighbourhood, &made(&files.inlets))?;
    vector::write_buildings(neighbourhood, &made(&files.buildings))?;
    let rainfall = made(&files.rainfall);
    fs::write(&rainfall, RAINFALL).map_err(|source| not_written(&rainfall, source))?;

    // The list goes first: should the run stop half-way, each file is either as the list says, or absent, or an
    // old one that the user is asked about.
    let mut manifest = Manifest::default();
    for path in paths {
        manifest.add(&made(path), path)?;
    }
    manifest.keep(earlier);
    manifest.write(workshop.path(), dir)?;
    for path in paths {
        fs::rename(made(path), path).map_err(|source| not_written(path, source))?;
    }
    Ok(files)
}

/// Whether an earlier demo wrote into this folder.
#[must_use]
pub fn was_written_to(dir: &Path) -> bool {
    Manifest::is_in(dir)
}

fn not_written(path: &Path, source: std::io::Error) -> DemoError {
    DemoError::NotWritten { path: path.to_path_buf(), source }
}

#[cfg(test)]
mod tests;

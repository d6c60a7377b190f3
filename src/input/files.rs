//! Paths: what exists, what lies inside archives, and which side files belong to a file.

use super::error::InputError;
use std::ffi::OsStr;
use std::fs::File;
use std::path::{Path, PathBuf};

/// Name endings of rasters that are looked for inside archives.
const RASTER_ENDINGS: [&str; 12] =
    ["tif", "tiff", "asc", "img", "hgt", "dem", "dt0", "dt1", "dt2", "vrt", "flt", "bil"];

/// The ending of a path in lower case, without the dot.
pub(crate) fn ending(path: &Path) -> String {
    path.extension().and_then(OsStr::to_str).unwrap_or_default().to_ascii_lowercase()
}

/// The file of the same name with another ending (in lower or upper case), if there is one.
pub(crate) fn side_by_side(path: &Path, ending: &str) -> Option<PathBuf> {
    [ending.to_owned(), ending.to_ascii_uppercase()]
        .into_iter()
        .map(|ending| path.with_extension(ending))
        .find(|file| file.is_file())
}

/// Checks that a file or folder is there and may be read.
pub(crate) fn check_exists(path: &Path) -> Result<(), InputError> {
    if path.to_string_lossy().contains("://") {
        return Err(InputError::Unreadable {
            path: path.to_owned(),
            reason: "this build does not read from the network".to_owned(),
            help: "download the file first".to_owned(),
        });
    }
    let missing = |e: std::io::Error| InputError::NotFound { path: path.to_owned(), reason: e.to_string() };
    if path.is_dir() {
        return std::fs::read_dir(path).map(|_| ()).map_err(missing);
    }
    File::open(path).map(|_| ()).map_err(missing)
}

/// What to open for a raster: the file itself, or the one raster inside an archive.
pub(crate) fn raster_path(path: &Path) -> Result<PathBuf, InputError> {
    check_exists(path)?;
    let name = path.to_string_lossy().to_ascii_lowercase();
    if ending(path) != "zip" || name.ends_with(".hgt.zip") {
        return Ok(path.to_owned());
    }
    let inside = inside_zip(path)?;
    let rasters: Vec<&PathBuf> =
        inside.iter().filter(|p| RASTER_ENDINGS.contains(&ending(p).as_str())).collect();
    match rasters[..] {
        [only] => Ok(only.clone()),
        [] => Err(InputError::Unreadable {
            path: path.to_owned(),
            reason: "the archive holds no raster".to_owned(),
            help: "unpack it and give the raster".to_owned(),
        }),
        _ => Err(InputError::Unreadable {
            path: path.to_owned(),
            reason: format!("the archive holds {} rasters", rasters.len()),
            help: "unpack it and give the rasters one by one".to_owned(),
        }),
    }
}

/// Paths of all files in an archive, as the geodata library opens them, in order.
pub(crate) fn inside_zip(path: &Path) -> Result<Vec<PathBuf>, InputError> {
    let broken = |reason: String| InputError::Incomplete { path: path.to_owned(), at: String::new(), reason };
    let absolute = std::path::absolute(path).map_err(|e| broken(e.to_string()))?;
    let root = PathBuf::from(format!("/vsizip/{{{}}}", absolute.display()));
    let mut files: Vec<PathBuf> = gdal::vsi::read_dir(&root, true)
        .map_err(|e| broken(super::setup::first_failure(&e.to_string())))?
        .into_iter()
        .map(|inner| root.join(inner))
        .collect();
    files.sort();
    Ok(files)
}

/// The path with another ending, in whichever case the file on disk has it.
pub(crate) fn sibling(path: &Path, wanted: &str) -> Option<PathBuf> {
    [wanted.to_ascii_lowercase(), wanted.to_ascii_uppercase()]
        .into_iter()
        .map(|ending| path.with_extension(ending))
        .find(|candidate| candidate.is_file())
}

/// The path with an ending added behind its own.
pub(crate) fn with_added(path: &Path, added: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(added);
    PathBuf::from(name)
}

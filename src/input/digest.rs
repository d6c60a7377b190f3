//! Fingerprints of all files that a result depends on.

use super::beside::RASTERS;
use super::error::InputError;
use super::files::{ending, sibling, with_added};
use super::{ElevationOptions, ParcelOptions, SideOptions};
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Bytes read at a time.
const CHUNK: usize = 1 << 18;
/// Endings of files beside a raster that say where it lies.
const BESIDE_RASTER: [&str; 7] = ["prj", "tfw", "wld", "hdr", "pgw", "tifw", "blw"];
/// Endings of a shapefile's parts.
const SHAPEFILE: [&str; 5] = ["shp", "shx", "dbf", "prj", "cpg"];

/// One input file and its fingerprint.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct InputDigest {
    /// The path as typed, or with the ending of a side file.
    pub path: String,
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub sha256: String,
}

/// Fingerprints of the elevation, parcel and cover files with all their side files, in the order of the options.
///
/// # Errors
/// [`InputError::NotFound`] if a file can't be read.
pub fn digests(
    elevation: &ElevationOptions,
    parcels: &ParcelOptions,
    side: &SideOptions,
) -> Result<Vec<InputDigest>, InputError> {
    let mut files = Vec::new();
    for path in &elevation.paths {
        files.extend(raster_files(path));
    }
    files.extend(vector_files(&parcels.path)?);
    for path in side.files() {
        let is_raster = RASTERS.contains(&ending(path).as_str());
        files.extend(if is_raster { raster_files(path) } else { vector_files(path)? });
    }
    files.dedup();
    files.iter().map(|path| digest(path)).collect()
}

/// The fingerprint of one file.
///
/// # Errors
/// [`InputError::NotFound`] if it can't be read.
pub fn digest(path: &Path) -> Result<InputDigest, InputError> {
    let failed = |e: std::io::Error| InputError::NotFound { path: path.to_owned(), reason: e.to_string() };
    let mut file = File::open(path).map_err(failed)?;
    let mut hasher = Sha256::new();
    let mut buffer = vec![0; CHUNK];
    loop {
        let read = file.read(&mut buffer).map_err(failed)?;
        if read == 0 {
            break;
        }
        hasher.update(&buffer[..read]);
    }
    let sha256 = hasher.finalize().iter().fold(String::with_capacity(64), |mut text, byte| {
        // Writing to a string can't fail.
        let _ = write!(text, "{byte:02x}");
        text
    });
    Ok(InputDigest { path: path.display().to_string(), sha256 })
}

fn raster_files(path: &Path) -> Vec<PathBuf> {
    let mut files = vec![path.to_owned()];
    files.extend(
        [".aux.xml", ".msk"].into_iter().map(|added| with_added(path, added)).filter(|p| p.is_file()),
    );
    files.extend(BESIDE_RASTER.into_iter().filter_map(|wanted| sibling(path, wanted)).filter(|p| p != path));
    if ending(path) == "vrt" {
        let text = std::fs::read_to_string(path).unwrap_or_default();
        let folder = path.parent().unwrap_or(Path::new(""));
        for part in text.split("<SourceFilename").skip(1) {
            let Some((attributes, rest)) = part.split_once('>') else { continue };
            let Some((name, _)) = rest.split_once('<') else { continue };
            let relative = attributes.contains("relativeToVRT=\"1\"");
            let source = if relative { folder.join(name) } else { PathBuf::from(name) };
            if source.is_file() && !files.contains(&source) {
                files.push(source);
            }
        }
    }
    files
}

fn vector_files(path: &Path) -> Result<Vec<PathBuf>, InputError> {
    if path.is_dir() {
        let failed =
            |e: std::io::Error| InputError::NotFound { path: path.to_owned(), reason: e.to_string() };
        let mut files = Vec::new();
        for entry in std::fs::read_dir(path).map_err(failed)? {
            let file = entry.map_err(failed)?.path();
            if file.is_file() {
                files.push(file);
            }
        }
        files.sort();
        return Ok(files);
    }
    let mut files = vec![path.to_owned()];
    if ending(path) == "shp" {
        files.extend(SHAPEFILE.into_iter().skip(1).filter_map(|wanted| sibling(path, wanted)));
    }
    let waiting = with_added(path, "-wal");
    if waiting.metadata().is_ok_and(|m| m.len() > 0) {
        files.push(waiting);
    }
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::*;

    // FIPS 180-4 examples (NIST): SHA-256 of "abc".
    #[test]
    fn the_fingerprint_is_sha_256() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("abc.tif");
        std::fs::write(&file, "abc").unwrap();
        let made = digest(&file).unwrap();
        assert_eq!(made.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn side_files_count() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["a.tif", "a.tif.aux.xml", "p.shp", "p.dbf", "p.PRJ", "p.gif"] {
            std::fs::write(folder.path().join(name), name).unwrap();
        }
        assert_eq!(raster_files(&folder.path().join("a.tif")).len(), 2);
        assert_eq!(vector_files(&folder.path().join("p.shp")).unwrap().len(), 3);
    }
}

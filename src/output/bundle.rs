//! All files of one result, written under a temporary name and moved into place together.

use super::error::OutputError;
use std::fs;
use std::path::{Path, PathBuf};

/// Names that make up a result; nothing else in the folder is ever touched.
pub const RESULT_FILES: [&str; 21] = [
    "summary.json",
    "report.html",
    "report.txt",
    "map.geojson",
    "contributors.geojson",
    "crossings.geojson",
    "contributing-area.geojson",
    "flow-paths.geojson",
    "ponds.geojson",
    "interception-line.geojson",
    "likelihood-lines.geojson",
    "shots-wanted.geojson",
    "profile.csv",
    "quantities.csv",
    "specification.txt",
    "rasters/filled.tif",
    "rasters/pond-depth.tif",
    "rasters/direction.tif",
    "rasters/upstream-area.tif",
    "rasters/share-reaching-lot.tif",
    "rasters/likelihood.tif",
];

/// Folder of the rasters within a result.
const RASTERS: &str = "rasters";

/// What to do with an earlier result in the folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// Refuse to touch it.
    Refuse,
    /// Replace it once the new one is whole.
    Replace,
}

/// A result on its way into a folder.
///
/// Files are written into a hidden folder beside the target. Dropping the bundle without [`Bundle::commit`] removes
/// them and leaves the target as it was.
#[derive(Debug)]
pub struct Bundle {
    target: PathBuf,
    staging: tempfile::TempDir,
}

impl Bundle {
    /// Starts a result for a folder, which needn't exist yet.
    ///
    /// # Errors
    /// [`OutputError::Exists`] when it holds a result and `existing` says to refuse; [`OutputError::Io`] when the
    /// folder can't be made or written to.
    pub fn start(target: &Path, existing: Existing) -> Result<Self, OutputError> {
        Self::check(target, existing)?;
        // Beside the files it replaces, so that moving is one step on the same disk.
        let base = if target.is_dir() { target.to_owned() } else { nearest_folder(target) };
        let staging = tempfile::Builder::new()
            .prefix(".lotshed-")
            .tempdir_in(&base)
            // The kind alone: the cause in full names the temporary folder, which means nothing to anyone.
            .map_err(|cause| OutputError::Io { path: base, cause: cause.kind().into() })?;
        Ok(Self { target: target.to_owned(), staging })
    }

    /// Whether a result may be written into a folder.
    ///
    /// # Errors
    /// [`OutputError::Exists`] when it holds a result and `existing` says to refuse; [`OutputError::NotAFolder`].
    pub fn check(target: &Path, existing: Existing) -> Result<(), OutputError> {
        if target.exists() && !target.is_dir() {
            return Err(OutputError::NotAFolder { path: target.to_owned() });
        }
        if existing == Existing::Refuse
            && let Some(found) = RESULT_FILES.iter().find(|name| target.join(name).exists())
        {
            return Err(OutputError::Exists { folder: target.to_owned(), found: (*found).to_owned() });
        }
        Ok(())
    }

    /// Where files lie until they are moved into place.
    #[must_use]
    pub fn staging(&self) -> &Path {
        self.staging.path()
    }

    /// Writes one file.
    ///
    /// # Errors
    /// [`OutputError::Io`].
    pub fn write(&self, name: &str, text: &str) -> Result<(), OutputError> {
        let path = self.staging.path().join(name);
        fs::write(&path, text).map_err(|cause| OutputError::Io { path: self.target.join(name), cause })
    }

    /// Moves everything into place; files of an earlier result that the new one doesn't have are removed.
    ///
    /// # Errors
    /// [`OutputError::Io`]. The earlier result is put back if a move fails half way.
    pub fn commit(self) -> Result<(), OutputError> {
        let io = |path: &Path| {
            let path = path.to_owned();
            move |cause| OutputError::Io { path, cause }
        };
        fs::create_dir_all(&self.target).map_err(io(&self.target))?;
        let earlier = self.staging.path().join(".earlier");
        fs::create_dir_all(earlier.join(RASTERS)).map_err(io(&earlier))?;
        let rasters = self.target.join(RASTERS);
        if self.staging.path().join(RASTERS).exists() {
            fs::create_dir_all(&rasters).map_err(io(&rasters))?;
        }
        let mut moved: Vec<(PathBuf, PathBuf)> = Vec::new();
        let result = RESULT_FILES.iter().try_for_each(|name| {
            let (old, new) = (self.target.join(name), self.staging.path().join(name));
            if old.exists() {
                let aside = earlier.join(name);
                fs::rename(&old, &aside).map_err(io(&old))?;
                moved.push((aside, old.clone()));
            }
            if new.exists() {
                fs::rename(&new, &old).map_err(io(&old))?;
                moved.push((old, new));
            }
            Ok(())
        });
        if result.is_ok() {
            // Goes only if it is empty: files of others may lie in it.
            let _ = fs::remove_dir(&rasters);
        } else {
            let back = moved.iter().rev().all(|(now, before)| fs::rename(now, before).is_ok());
            if !back {
                // What was there before must not go with the folder it was moved to.
                let kept = self.staging.keep();
                return Err(OutputError::LeftAside { kept });
            }
        }
        result
    }
}

/// The nearest folder above a path that exists.
fn nearest_folder(path: &Path) -> PathBuf {
    let above = path.ancestors().skip(1).find(|p| p.is_dir() && !p.as_os_str().is_empty());
    above.map_or_else(|| PathBuf::from("."), Path::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bundle_that_is_dropped_leaves_the_earlier_result_untouched() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("summary.json"), "earlier").unwrap();
        fs::write(folder.path().join("notes.txt"), "mine").unwrap();
        let bundle = Bundle::start(folder.path(), Existing::Replace).unwrap();
        bundle.write("summary.json", "new").unwrap();
        drop(bundle);
        assert_eq!(fs::read_to_string(folder.path().join("summary.json")).unwrap(), "earlier");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[test]
    fn committing_replaces_the_result_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("summary.json"), "earlier").unwrap();
        fs::write(folder.path().join("ponds.geojson"), "earlier").unwrap();
        fs::write(folder.path().join("notes.txt"), "mine").unwrap();
        let bundle = Bundle::start(folder.path(), Existing::Replace).unwrap();
        bundle.write("summary.json", "new").unwrap();
        bundle.commit().unwrap();
        assert_eq!(fs::read_to_string(folder.path().join("summary.json")).unwrap(), "new");
        assert!(!folder.path().join("ponds.geojson").exists());
        assert_eq!(fs::read_to_string(folder.path().join("notes.txt")).unwrap(), "mine");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[test]
    fn an_earlier_result_is_refused_by_name() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("map.geojson"), "earlier").unwrap();
        let found = Bundle::start(folder.path(), Existing::Refuse).unwrap_err();
        assert!(found.to_string().contains("map.geojson"), "{found}");
    }
}

//! All files of one result, written under a temporary name and moved into place together.

use super::error::OutputError;
use super::handover::keep_layers_of_others;
use super::page::is_drawing;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Names that make up a result, besides its drawings; nothing else in the folder is ever touched.
pub const RESULT_FILES: [&str; 26] = [
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
    "stakes.csv",
    "stakes.gpx",
    "stakes.kml",
    "drawing.dxf",
    "assessment.gpkg",
    "rasters/filled.tif",
    "rasters/pond-depth.tif",
    "rasters/direction.tif",
    "rasters/upstream-area.tif",
    "rasters/share-reaching-lot.tif",
    "rasters/likelihood.tif",
];

/// Names that make up the result of a whole town. Others may well have files of these names, so that only a folder that
/// holds the first is taken for one with a result of ours.
pub const TOWN_FILES: [&str; 6] =
    ["screening.json", "screening.html", "lots.csv", "lots.geojson", "lots.gpkg", "pairs.csv"];

/// What a result is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ResultKind {
    /// One lot.
    Lot,
    /// A whole town.
    Town,
}

/// Folder of the rasters within a result.
const RASTERS: &str = "rasters";
/// Folder of the drawings within a result.
pub(super) const DRAWINGS: &str = "drawings";

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
    kind: ResultKind,
    target: PathBuf,
    staging: tempfile::TempDir,
}

impl Bundle {
    /// Starts a result for a folder, which needn't exist yet.
    ///
    /// # Errors
    /// [`OutputError::Exists`] when it holds a result and `existing` says to refuse; [`OutputError::Io`] when the
    /// folder can't be made or written to.
    pub fn start(kind: ResultKind, target: &Path, existing: Existing) -> Result<Self, OutputError> {
        Self::check(kind, target, existing)?;
        // Beside the files it replaces, so that moving is one step on the same disk.
        let base = if target.is_dir() { target.to_owned() } else { nearest_folder(target) };
        let staging = tempfile::Builder::new()
            .prefix(".lotshed-")
            .tempdir_in(&base)
            // The kind alone: the cause in full names the temporary folder, which means nothing to anyone.
            .map_err(|cause| OutputError::Io { path: base, cause: cause.kind().into() })?;
        Ok(Self { kind, target: target.to_owned(), staging })
    }

    /// Whether a result may be written into a folder.
    ///
    /// # Errors
    /// [`OutputError::Exists`] when it holds a result and `existing` says to refuse; [`OutputError::NotAFolder`];
    /// [`OutputError::LayersOfOthers`]; [`OutputError::FilesOfOthers`].
    pub fn check(kind: ResultKind, target: &Path, existing: Existing) -> Result<(), OutputError> {
        if target.exists() && !target.is_dir() {
            return Err(OutputError::NotAFolder { path: target.to_owned() });
        }
        if existing == Existing::Refuse
            && let Some(found) = kind.names(&[target]).into_iter().find(|name| target.join(name).exists())
        {
            return Err(OutputError::Exists { folder: target.to_owned(), found });
        }
        if existing == Existing::Replace {
            kind.keep_files_of_others(target)?;
            keep_layers_of_others(target)?;
        }
        Ok(())
    }

    /// Where files lie until they are moved into place.
    #[must_use]
    pub fn staging(&self) -> &Path {
        self.staging.path()
    }

    /// Where a file of the result will lie.
    #[must_use]
    pub fn place(&self, name: &str) -> PathBuf {
        self.target.join(name)
    }

    /// Writes one file.
    ///
    /// # Errors
    /// [`OutputError::Io`].
    pub fn write(&self, name: &str, text: &str) -> Result<(), OutputError> {
        let path = self.staging.path().join(name);
        fs::write(&path, text).map_err(|cause| OutputError::Io { path: self.target.join(name), cause })
    }

    /// Writes one file in a folder of the result.
    ///
    /// # Errors
    /// [`OutputError::Io`].
    pub(super) fn write_in(&self, folder: &str, name: &str, text: &str) -> Result<(), OutputError> {
        let io = |cause| OutputError::Io { path: self.place(folder), cause };
        fs::create_dir_all(self.staging.path().join(folder)).map_err(io)?;
        self.write(&format!("{folder}/{name}"), text)
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
        for folder in [RASTERS, DRAWINGS] {
            fs::create_dir_all(earlier.join(folder)).map_err(io(&earlier))?;
            if self.staging.path().join(folder).exists() {
                let there = self.target.join(folder);
                fs::create_dir_all(&there).map_err(io(&there))?;
            }
        }
        let mut moved: Vec<(PathBuf, PathBuf)> = Vec::new();
        let names = self.kind.names(&[&self.target, self.staging.path()]);
        let result = names.iter().try_for_each(|name| {
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
            for folder in [RASTERS, DRAWINGS] {
                // Goes only if it is empty: files of others may lie in it.
                let _ = fs::remove_dir(self.target.join(folder));
            }
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

impl ResultKind {
    /// Names that make up a result in any of these folders.
    fn names(self, folders: &[&Path]) -> BTreeSet<String> {
        match self {
            Self::Lot => lot_names(folders),
            Self::Town => TOWN_FILES.iter().map(|name| (*name).to_owned()).collect(),
        }
    }

    /// Refuses to replace files that we did not write.
    fn keep_files_of_others(self, target: &Path) -> Result<(), OutputError> {
        if self == Self::Lot || target.join(TOWN_FILES[0]).exists() {
            return Ok(());
        }
        match TOWN_FILES.iter().find(|name| target.join(name).exists()) {
            Some(found) => Err(OutputError::FilesOfOthers { path: target.join(found) }),
            None => Ok(()),
        }
    }
}

/// The fixed names of the result of one lot, and those of drawings, of which there are as many as the line has parts.
fn lot_names(folders: &[&Path]) -> BTreeSet<String> {
    let drawings = folders.iter().filter_map(|folder| fs::read_dir(folder.join(DRAWINGS)).ok()).flatten();
    let drawn = drawings.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let drawn = drawn.filter(|name| is_drawing(name)).map(|name| format!("{DRAWINGS}/{name}"));
    RESULT_FILES.iter().map(|name| (*name).to_owned()).chain(drawn).collect()
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
        let bundle = Bundle::start(ResultKind::Lot, folder.path(), Existing::Replace).unwrap();
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
        let bundle = Bundle::start(ResultKind::Lot, folder.path(), Existing::Replace).unwrap();
        bundle.write("summary.json", "new").unwrap();
        bundle.commit().unwrap();
        assert_eq!(fs::read_to_string(folder.path().join("summary.json")).unwrap(), "new");
        assert!(!folder.path().join("ponds.geojson").exists());
        assert_eq!(fs::read_to_string(folder.path().join("notes.txt")).unwrap(), "mine");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[test]
    fn drawings_of_an_earlier_result_go_and_those_of_others_stay() {
        let folder = tempfile::tempdir().unwrap();
        let drawings = folder.path().join(DRAWINGS);
        fs::create_dir(&drawings).unwrap();
        for name in ["part-1-1-profile.svg", "part-12-2-section.svg", "part-x-1-profile.svg", "mine.svg"] {
            fs::write(drawings.join(name), "earlier").unwrap();
        }
        assert!(Bundle::start(ResultKind::Lot, folder.path(), Existing::Refuse).is_err());
        let bundle = Bundle::start(ResultKind::Lot, folder.path(), Existing::Replace).unwrap();
        fs::create_dir(bundle.staging().join(DRAWINGS)).unwrap();
        bundle.write("drawings/part-1-1-profile.svg", "new").unwrap();
        bundle.commit().unwrap();
        assert_eq!(fs::read_to_string(drawings.join("part-1-1-profile.svg")).unwrap(), "new");
        assert!(!drawings.join("part-12-2-section.svg").exists());
        assert!(drawings.join("part-x-1-profile.svg").exists() && drawings.join("mine.svg").exists());
    }

    #[test]
    fn files_of_others_with_the_names_of_a_town_s_result_stay() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("lots.csv"), "mine").unwrap();
        let start = || Bundle::start(ResultKind::Town, folder.path(), Existing::Replace);
        assert!(matches!(start(), Err(OutputError::FilesOfOthers { .. })));
        fs::write(folder.path().join("screening.json"), "earlier").unwrap();
        fs::write(folder.path().join("summary.json"), "of one lot").unwrap();
        let bundle = start().unwrap();
        bundle.write("screening.json", "new").unwrap();
        bundle.commit().unwrap();
        let left = |name: &str| fs::read_to_string(folder.path().join(name)).ok();
        assert_eq!(left("screening.json").as_deref(), Some("new"));
        assert_eq!(left("summary.json").as_deref(), Some("of one lot"));
        assert_eq!(left("lots.csv"), None);
    }

    #[test]
    fn an_earlier_result_is_refused_by_name() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("map.geojson"), "earlier").unwrap();
        let found = Bundle::start(ResultKind::Lot, folder.path(), Existing::Refuse).unwrap_err();
        assert!(found.to_string().contains("map.geojson"), "{found}");
    }
}

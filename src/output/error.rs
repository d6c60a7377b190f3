//! What can go wrong when results are written.

use crate::error::ExitClass;
use std::path::PathBuf;

/// A file or folder that couldn't be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum OutputError {
    /// The folder holds a result already.
    #[error("{} holds a result already ({found})", folder.display())]
    Exists {
        /// The folder.
        folder: PathBuf,
        /// A file of the earlier result.
        found: String,
    },
    /// A file of the earlier result holds more than we wrote.
    #[error("{} holds layers that were added or changed since: {}", path.display(), layers.join(", "))]
    LayersOfOthers {
        /// The file.
        path: PathBuf,
        /// Names of the layers.
        layers: Vec<String>,
    },
    /// Files of the result's names that aren't ours.
    #[error("{} was not written by this program: the folder holds no result of a screening", path.display())]
    FilesOfOthers {
        /// The file.
        path: PathBuf,
    },
    /// The output path is something else than a folder.
    #[error("{} is not a folder", path.display())]
    NotAFolder {
        /// The path.
        path: PathBuf,
    },
    /// The operating system refused.
    #[error("cannot write {}: {cause}", path.display())]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// What the system says.
        cause: std::io::Error,
    },
    /// Moving the result into place failed half way, and so did moving the earlier one back.
    #[error("the result could not be moved into place, nor the earlier one back: both lie in {}", kept.display())]
    LeftAside {
        /// The folder that holds them.
        kept: PathBuf,
    },
    /// A raster couldn't be written.
    #[error("cannot write {}: {cause}", path.display())]
    Raster {
        /// The file.
        path: PathBuf,
        /// What GDAL says.
        cause: gdal::errors::GdalError,
    },
    /// A picture couldn't be made.
    #[error("the picture of the ground cannot be made: {cause}")]
    Picture {
        /// What the library says.
        cause: png::EncodingError,
    },
    /// Lines of a map couldn't be drawn.
    #[error("lines of the same likelihood cannot be drawn: {cause}")]
    Lines {
        /// What the library says.
        cause: contour::Error,
    },
    /// Something that can't be written as JSON.
    #[error("{what} cannot be written as JSON: {cause}")]
    Json {
        /// The file.
        what: &'static str,
        /// What the library says.
        cause: serde_json::Error,
    },
    /// Something that can't be written as a table.
    #[error("{what} cannot be written as a table: {cause}")]
    Table {
        /// The file.
        what: &'static str,
        /// What the library says.
        cause: String,
    },
    /// Something that can't be written in a format for exchange.
    #[error("{what} cannot be made: {cause}")]
    Exchange {
        /// The file.
        what: &'static str,
        /// What the library says.
        cause: String,
    },
    /// A file of layers couldn't be written.
    #[error("cannot write {}: {cause}", path.display())]
    Package {
        /// The file.
        path: PathBuf,
        /// What GDAL says.
        cause: gdal::errors::GdalError,
    },
    /// A place that has no longitude and latitude.
    #[error("a place of the result cannot be given in longitude and latitude: {reason}")]
    Place {
        /// What the library says.
        reason: String,
    },
}

impl OutputError {
    /// What it means for a batch script.
    #[must_use]
    pub const fn exit_class(&self) -> ExitClass {
        match self {
            Self::Json { .. }
            | Self::Table { .. }
            | Self::Exchange { .. }
            | Self::Place { .. }
            | Self::Picture { .. }
            | Self::Lines { .. } => ExitClass::Internal,
            Self::Exists { .. }
            | Self::LayersOfOthers { .. }
            | Self::FilesOfOthers { .. }
            | Self::NotAFolder { .. }
            | Self::LeftAside { .. }
            | Self::Io { .. }
            | Self::Package { .. }
            | Self::Raster { .. } => ExitClass::Output,
        }
    }

    /// What to do about it.
    #[must_use]
    pub const fn help(&self) -> Option<&'static str> {
        match self {
            Self::Exists { .. } => {
                Some("choose another folder with --out, or replace the earlier result with --overwrite")
            }
            Self::LayersOfOthers { .. } | Self::FilesOfOthers { .. } => {
                Some("move the file elsewhere first, or choose another folder with --out")
            }
            Self::NotAFolder { .. } => Some("name a folder with --out"),
            Self::Io { .. } | Self::Raster { .. } | Self::Package { .. } => {
                Some("check the folder's permissions and the space on the disk")
            }
            _ => None,
        }
    }
}

//! What is known about the elevations, for people and for the summary.

use super::describe::{MaskKind, Tile};
use crate::input::units::UnitSource;
use crate::units::Date;
use serde::Serialize;

/// Whether cells are read as they are stored.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum GridUse {
    /// Cell by cell, nothing resampled.
    Native,
    /// Interpolated to another grid.
    Warped {
        /// Why.
        why: String,
        /// Label of the grid's coordinate system.
        target: String,
    },
}

/// One raster file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TileFacts {
    /// The path as typed.
    pub path: String,
    /// Name of the format.
    pub driver: String,
    /// Type of the stored numbers.
    pub band_type: String,
    /// Rows.
    pub rows: usize,
    /// Columns.
    pub cols: usize,
    /// The declared nodata value, as text because it may be NaN.
    pub nodata: Option<String>,
    /// Factor from stored numbers to elevations.
    pub scale: f64,
    /// Elevation of the stored number 0.
    pub offset: f64,
    /// How else missing cells are marked.
    pub mask: MaskKind,
    /// When it was surveyed, if the file says so.
    pub surveyed: Option<Date>,
    /// When the file was written, if it says so.
    pub written: Option<Date>,
}

impl TileFacts {
    pub(crate) fn of(tile: &Tile) -> Self {
        let name = tile.band_type.name();
        Self {
            path: tile.path.display().to_string(),
            driver: tile.driver.clone(),
            band_type: if name.is_empty() || name == "Unknown" { "another".to_owned() } else { name },
            rows: tile.shape.rows,
            cols: tile.shape.cols,
            nodata: tile.nodata.map(|v| v.to_string()),
            scale: tile.scale,
            offset: tile.offset,
            mask: tile.mask,
            surveyed: tile.surveyed,
            written: tile.written,
        }
    }
}

/// What is known about the elevations of a survey.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ElevationFacts {
    /// Label of the files' coordinate system.
    pub crs: String,
    /// Its map unit.
    pub crs_unit: String,
    /// Name of the vertical system, if one is declared.
    pub vertical_datum: Option<String>,
    /// Unit of the elevations in the files.
    pub vertical_unit: &'static str,
    /// Who said so.
    pub vertical_unit_from: UnitSource,
    /// Whether cells are read as they are stored.
    pub grid: GridUse,
    /// Label of the working system.
    pub working_crs: String,
    /// Width of a working cell on the ground, in metres.
    pub cell_m: f64,
    /// Height of a working cell on the ground, in metres.
    pub cell_height_m: f64,
    /// Rows of the working grid.
    pub rows: usize,
    /// Columns of the working grid.
    pub cols: usize,
    /// West, south, east and north end in working units.
    pub extent: [f64; 4],
    /// West, south, east and north end in degrees of longitude and latitude (west > east across 180).
    pub extent_lonlat: Option<[f64; 4]>,
    /// The files.
    pub tiles: Vec<TileFacts>,
}

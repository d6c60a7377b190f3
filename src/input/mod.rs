//! Stage 1: files to checked values.
//!
//! Takes paths and options, gives a [`Site`]: elevations in metres on a grid whose lengths are true on the ground, and
//! sound lot outlines in the same system. Whatever the files get wrong is either mended with a warning or refused with
//! the cause and the option that helps; nothing is guessed in silence, and no input file is ever written to.

mod beside;
mod complaints;
mod digest;
mod error;
mod extents;
mod files;
mod holes;
mod inspect;
mod lot_check;
mod numbers;
mod parcels;
mod place;
mod rainfall;
mod raster;
mod registry;
mod setup;
mod shots;
mod site;
#[cfg(test)]
mod tests;
mod units;

pub use beside::{
    Building, CodeRaster, CoverSource, Ditch, DitchKind, Inlet, Invert, KeepOut, Patch, PatchSet, SideFile,
    SideInputs, SideOptions, StatedCover, open_beside,
};
pub use complaints::{Complaint, open_complaints};
pub use digest::{InputDigest, digest, digests};
pub use error::{ExitClass, InputError, InputKind};
pub use holes::{Frame, Hole, HoleFate, HoleReport, Side, bridge_holes};
pub use inspect::{Finding, Inspection, ParcelFacts, Severity, inspect};
pub use parcels::{Parcel, ParcelSet};
pub use rainfall::{
    DepthCourse, Interpolated, LARGEST_TABLE_BYTES, RainColumn, RainFault, RainLayout, RainLookupError,
    RainRow, RainSeries, RainSource, RainTable, RainTableError, RainUnit, open_rain_table, read_rain_table,
};
pub use raster::{ElevationFacts, GridUse, MaskKind, Survey, TileFacts, Window};
pub use shots::{Shot, ShotOnGround, Shots, take_shots};
pub use site::{Site, open_site};
pub use units::{StatedUnit, UnitSource, VerticalUnit};

use crate::units::Area;
use std::path::PathBuf;

/// Where elevations come from, and what to believe about them.
#[derive(Debug, Clone, PartialEq)]
pub struct ElevationOptions {
    /// The files of one survey; where they overlap, the first one listed counts.
    pub paths: Vec<PathBuf>,
    /// Unit of the elevations, over whatever the files say.
    pub unit: Option<VerticalUnit>,
    /// Coordinate system, over whatever the files say.
    pub crs: Option<String>,
    /// Stored number that means "no elevation", over whatever the files say.
    pub nodata: Option<f64>,
    /// Inner holes up to this size are bridged.
    pub bridge_holes: Area,
}

/// Which number of a pair comes first in the parcel file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum AxisOrder {
    /// x (east, longitude), as nearly always.
    #[default]
    AsStored,
    /// y (north, latitude): both are exchanged on reading.
    Swapped,
}

/// Where parcels come from, and what to believe about them.
#[derive(Debug, Clone, PartialEq)]
pub struct ParcelOptions {
    /// The file.
    pub path: PathBuf,
    /// Its layer, needed if it has several of polygons.
    pub layer: Option<String>,
    /// The field that tells the lots apart; without it, the first one with a usual name and unique values.
    pub id_field: Option<String>,
    /// Coordinate system, over whatever the file says.
    pub crs: Option<String>,
    /// Which number of a pair comes first.
    pub axes: AxisOrder,
    /// Fields to keep with each lot; none else are read.
    pub keep_fields: Vec<String>,
}

/// The lot that the run is about.
#[derive(Debug, Clone, PartialEq)]
pub enum Subject {
    /// The lot with this id, compared as text.
    Id(String),
    /// The lot that holds this place (WGS 84, degrees).
    At {
        /// Longitude.
        lon: f64,
        /// Latitude.
        lat: f64,
    },
    /// No one lot: all of them. The working system is fitted to the lot nearest to the middle of the raster.
    Town,
}

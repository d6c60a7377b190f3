//! What can be wrong with the files, and what to do about it.

use super::rainfall::RainTableError;
use crate::crs::CrsError;
use miette::Diagnostic;
use std::path::PathBuf;

/// Kind of failure, by which the program chooses its exit status.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ExitClass {
    /// Input is unreadable, incomplete, unfit, or needs a codec that this build lacks (3).
    Unreadable,
    /// A coordinate system or unit is not settled (4).
    Unresolved,
    /// Elevations and parcels don't overlap (5).
    NoOverlap,
    /// The subject lot isn't found, or is ambiguous (6).
    Subject,
    /// The installation is broken (9).
    Installation,
}

/// Which of the two inputs a finding is about; decides the option that the remedy names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InputKind {
    /// The elevation raster.
    Elevation,
    /// The parcel file.
    Parcels,
}

impl InputKind {
    /// The option that assigns a coordinate system.
    #[must_use]
    pub const fn crs_option(self) -> &'static str {
        match self {
            Self::Elevation => "--elevation-crs",
            Self::Parcels => "--parcels-crs",
        }
    }
}

/// An input that can't be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error, Diagnostic)]
#[non_exhaustive]
pub enum InputError {
    /// There is no such file.
    #[error("{} does not exist or may not be read ({reason})", path.display())]
    #[diagnostic(code("file-not-found"), help("check the spelling and the permissions of the path"))]
    NotFound {
        /// The path as typed.
        path: PathBuf,
        /// The system's reason.
        reason: String,
    },
    /// The file is of no format that is read.
    #[error("{} can't be read: {reason}", path.display())]
    #[diagnostic(code("file-unreadable"), help("{help}"))]
    Unreadable {
        /// The path as typed.
        path: PathBuf,
        /// What is wrong.
        reason: String,
        /// What to do.
        help: String,
    },
    /// The file ends early or is damaged.
    #[error("{} is incomplete or damaged{at}: {reason}", path.display())]
    #[diagnostic(
        code("file-incomplete"),
        help("download or copy the file again and compare its size with the original's")
    )]
    Incomplete {
        /// The path as typed.
        path: PathBuf,
        /// Where, beginning with a space, or nothing.
        at: String,
        /// The reader's reason.
        reason: String,
    },
    /// The file is compressed by a method that this build can't undo.
    #[error("{} is compressed with {codec}, which this build can't read", path.display())]
    #[diagnostic(
        code("codec-missing"),
        help(
            "recompress it elsewhere with DEFLATE, LZW or no compression, or use a build against the system's GDAL"
        )
    )]
    Codec {
        /// The path as typed.
        path: PathBuf,
        /// Name of the method.
        codec: String,
    },
    /// The raster holds something other than elevations, or no elevation at all.
    #[error("{} is not usable as elevations: {reason}", path.display())]
    #[diagnostic(code("not-elevation"), help("give a single-band raster of ground elevations"))]
    NotElevation {
        /// The path as typed.
        path: PathBuf,
        /// What was found.
        reason: String,
    },
    /// The raster says nothing usable about where it lies.
    #[error("{} does not say where on the ground its cells lie: {reason}", path.display())]
    #[diagnostic(
        code("no-georeference"),
        help("warp the raster to a map projection first, or give one that is georeferenced")
    )]
    NoGeoreference {
        /// The path as typed.
        path: PathBuf,
        /// What was found.
        reason: String,
    },
    /// One tile of several doesn't fit the others.
    #[error("{} does not fit {}: {reason}", odd.display(), first.display())]
    #[diagnostic(
        code("tiles-differ"),
        help(
            "give tiles of one survey: same coordinate system, cell size, grid and unit; warp the odd one to the others' grid first"
        )
    )]
    TilesDiffer {
        /// The tile that differs.
        odd: PathBuf,
        /// The first tile, which sets the grid.
        first: PathBuf,
        /// How they differ, with both values.
        reason: String,
    },
    /// The file names no usable coordinate system.
    #[error("{} has no usable coordinate system ({found})", path.display())]
    #[diagnostic(code("no-crs"), help("say which one its numbers are in with {} (for example EPSG:26917)", kind.crs_option()))]
    NoCrs {
        /// The path as typed.
        path: PathBuf,
        /// Which input it is.
        kind: InputKind,
        /// What was found instead.
        found: String,
    },
    /// A coordinate system can't be used.
    #[error("the coordinate system of {} can't be used: {source}", path.display())]
    #[diagnostic(code("crs-unusable"), help("assign a registered one with {}", kind.crs_option()))]
    Crs {
        /// The path as typed.
        path: PathBuf,
        /// Which input it is.
        kind: InputKind,
        /// The reason.
        source: CrsError,
    },
    /// Numbers outside -180..180, -90..90 in a file of degrees.
    #[error("{} should hold degrees, but {found}: these are not degrees", path.display())]
    #[diagnostic(code("not-degrees"), help("{help}"))]
    NotDegrees {
        /// The path as typed.
        path: PathBuf,
        /// An example.
        found: String,
        /// Whether another reading would fit.
        help: String,
    },
    /// Everything fits once x and y change places.
    #[error("{} lies on the elevation raster only when x and y are swapped (latitude before longitude, or northing before easting)", path.display())]
    #[diagnostic(code("axes-swapped"), help("pass --swap-axes if the file has latitude (northing) first"))]
    AxesSwapped {
        /// The path as typed.
        path: PathBuf,
    },
    /// The numbers are in another unit than the coordinate system says.
    #[error("the numbers in {} lie outside the area that {crs} is meant for; {found}", path.display())]
    #[diagnostic(code("crs-unit-mismatch"), help("assign the code of the same zone in the right unit with {}", kind.crs_option()))]
    UnitMismatch {
        /// The path as typed.
        path: PathBuf,
        /// Which input it is.
        kind: InputKind,
        /// Label of the system.
        crs: String,
        /// Which unit would fit.
        found: String,
    },
    /// Nothing says what the elevations are counted in.
    #[error("{} does not say whether its elevations are in metres or feet, and its map unit is the {map_unit}", path.display())]
    #[diagnostic(code("vertical-unit-unknown"), help("pass --elevation-unit m, ft, us-ft or cm"))]
    VerticalUnit {
        /// The path as typed.
        path: PathBuf,
        /// Name of the map unit.
        map_unit: String,
    },
    /// Two statements about what the elevations are counted in.
    #[error("{} says two things of its elevations: its vertical system counts in the {system}, its band in the {band}", path.display())]
    #[diagnostic(
        code("vertical-units-disagree"),
        help("ask the maker, then pass --elevation-unit m, ft, us-ft or cm")
    )]
    VerticalUnitsDisagree {
        /// The path as typed.
        path: PathBuf,
        /// Unit of the vertical system.
        system: &'static str,
        /// Unit of the band.
        band: &'static str,
    },
    /// Heights of a side file are counted from another level than the raster's.
    #[error("{} has heights from {found}, and the elevations are from {expected}", path.display())]
    #[diagnostic(code("vertical-datum"), help("move its heights to the datum of the elevations first"))]
    VerticalDatum {
        /// The path as typed.
        path: PathBuf,
        /// Vertical system of the file.
        found: String,
        /// Vertical system of the raster.
        expected: String,
    },
    /// Shots of the ground lie off the elevations all alike.
    #[error("{}: the shots do not fit the elevations ({shots}): {found}", path.display())]
    #[diagnostic(code("shots-offset"), help("{help}"))]
    ShotsOffset {
        /// The path as typed.
        path: PathBuf,
        /// The shots, with their differences.
        shots: String,
        /// What would explain it.
        found: String,
        /// What to do.
        help: String,
    },
    /// Elevations and parcels lie apart.
    #[error(
        "{what} of {} and the elevations of {} do not overlap: the former {parcels_extent}, the latter {elevation_extent} (degrees of longitude, latitude), {} apart",
        parcels.display(),
        elevation.display(),
        in_words(*distance_km)
    )]
    #[diagnostic(
        code("no-overlap"),
        help(
            "fetch elevations for this place, or check both coordinate systems (--elevation-crs, --parcels-crs)"
        )
    )]
    NoOverlap {
        /// All lots, or the one asked for.
        what: String,
        /// The parcel file as typed.
        parcels: PathBuf,
        /// The (first) elevation file as typed.
        elevation: PathBuf,
        /// Its extent in longitude and latitude.
        parcels_extent: String,
        /// The raster's extent in longitude and latitude.
        elevation_extent: String,
        /// Least distance in kilometres.
        distance_km: f64,
    },
    /// The layer holds nothing of what is looked for.
    #[error("{} has no {what} ({tally})", path.display())]
    #[diagnostic(code("no-shapes"), help("give a file or, with --parcels-layer, a layer of {what}"))]
    NoShapes {
        /// The path as typed.
        path: PathBuf,
        /// What is looked for.
        what: &'static str,
        /// What it holds instead.
        tally: String,
    },
    /// A file beside elevations and parcels can't be used.
    #[error("{cause}")]
    #[diagnostic(code("side-file"), help("{help}"))]
    Side {
        /// What is wrong.
        cause: Box<InputError>,
        /// What to do: the options that help with parcels don't reach such files.
        help: String,
        /// What it means for a batch script.
        class: ExitClass,
    },
    /// The file has several layers, or not the one asked for.
    #[error("{}: {reason}; layers of {what}: {}", path.display(), layers.join(", "))]
    #[diagnostic(code("layer-unclear"), help("choose one with --parcels-layer"))]
    Layer {
        /// The path as typed.
        path: PathBuf,
        /// What is looked for.
        what: &'static str,
        /// What is unclear.
        reason: String,
        /// Names to choose from.
        layers: Vec<String>,
    },
    /// No field serves as a key.
    #[error("{}: {reason}; fields: {}", path.display(), fields.join(", "))]
    #[diagnostic(code("id-field-unclear"), help("name the field that tells the lots apart with --id-field"))]
    IdField {
        /// The path as typed.
        path: PathBuf,
        /// What is unclear.
        reason: String,
        /// Fields to choose from.
        fields: Vec<String>,
    },
    /// A field to keep doesn't exist.
    #[error("{} has no field \"{field}\"; fields: {}", path.display(), fields.join(", "))]
    #[diagnostic(code("field-unknown"), help("correct the name after --keep-fields"))]
    KeepField {
        /// The path as typed.
        path: PathBuf,
        /// The name asked for.
        field: String,
        /// Fields to choose from.
        fields: Vec<String>,
    },
    /// No such lot.
    #[error("{subject}: {reason}")]
    #[diagnostic(code("lot-not-found"), help("{help}"))]
    LotNotFound {
        /// The lot as asked for.
        subject: String,
        /// What was searched, and what is near.
        reason: String,
        /// What to do.
        help: String,
    },
    /// Several lots answer.
    #[error("{subject} is ambiguous: {}", candidates.join("; "))]
    #[diagnostic(code("lot-ambiguous"), help("{help}"))]
    LotAmbiguous {
        /// The lot as asked for.
        subject: String,
        /// The lots that answer.
        candidates: Vec<String>,
        /// What to do.
        help: String,
    },
    /// The outline of the subject lot can't be used.
    #[error("the outline of lot {id} can't be used: {reason}")]
    #[diagnostic(code("lot-invalid"), help("correct the outline in the parcel file"))]
    LotInvalid {
        /// Its id.
        id: String,
        /// The reason.
        reason: String,
    },
    /// The lot disappears between the cells.
    #[error(
        "the raster is too coarse for lot {id}: the lot has {area_m2:.0} m², a cell {cell_m2:.1} m²; at least four cells are needed"
    )]
    #[diagnostic(code("raster-too-coarse"), help("use elevations with cells of a metre or two"))]
    TooCoarse {
        /// Its id.
        id: String,
        /// Its area in square metres.
        area_m2: f64,
        /// A cell's area in square metres.
        cell_m2: f64,
    },
    /// The lot is narrower than the raster's cells.
    #[error("the raster is too coarse for lot {id}: the lot is {width_m:.1} m wide, a cell {cell_m:.1} m")]
    #[diagnostic(
        code("raster-too-coarse"),
        help("use elevations with cells less than half as wide as the lot")
    )]
    TooNarrow {
        /// Its id.
        id: String,
        /// Its width in metres.
        width_m: f64,
        /// The longer side of a cell in metres.
        cell_m: f64,
    },
    /// No part of the lot has elevations.
    #[error("lot {id} lies where {} has no elevations", raster.display())]
    #[diagnostic(
        code("lot-without-elevations"),
        help("fetch elevations that cover the lot and the ground above it")
    )]
    LotUncovered {
        /// Its id.
        id: String,
        /// The raster, or the first of its tiles.
        raster: PathBuf,
    },
    /// A part of the raster was asked for that doesn't exist.
    #[error("cells {row}.., {col}.. ({rows} rows, {cols} columns) reach beyond the raster")]
    #[diagnostic(code("window-outside"))]
    Window {
        /// First row.
        row: usize,
        /// First column.
        col: usize,
        /// Rows.
        rows: usize,
        /// Columns.
        cols: usize,
    },
    /// The rainfall table can't be used.
    #[error(transparent)]
    #[diagnostic(transparent)]
    RainTable(#[from] RainTableError),
    /// The projection library can't find its database.
    #[error("{source}")]
    #[diagnostic(
        code("installation"),
        help("unset PROJ_DATA and PROJ_LIB, or point them at a database of version 9.6 or later")
    )]
    Installation {
        /// The reason.
        source: CrsError,
    },
}

impl InputError {
    /// The kind of failure.
    #[must_use]
    pub const fn exit_class(&self) -> ExitClass {
        match self {
            Self::Side { class, .. } => *class,
            Self::NotFound { .. }
            | Self::Unreadable { .. }
            | Self::Incomplete { .. }
            | Self::Codec { .. }
            | Self::NotElevation { .. }
            | Self::NoGeoreference { .. }
            | Self::TilesDiffer { .. }
            | Self::NoShapes { .. }
            | Self::Layer { .. }
            | Self::KeepField { .. }
            | Self::LotInvalid { .. }
            | Self::TooCoarse { .. }
            | Self::TooNarrow { .. }
            | Self::RainTable(_)
            | Self::Window { .. } => ExitClass::Unreadable,
            Self::NoCrs { .. }
            | Self::Crs { .. }
            | Self::NotDegrees { .. }
            | Self::AxesSwapped { .. }
            | Self::UnitMismatch { .. }
            | Self::VerticalUnit { .. }
            | Self::VerticalUnitsDisagree { .. }
            | Self::VerticalDatum { .. }
            | Self::ShotsOffset { .. } => ExitClass::Unresolved,
            Self::NoOverlap { .. } | Self::LotUncovered { .. } => ExitClass::NoOverlap,
            Self::IdField { .. } | Self::LotNotFound { .. } | Self::LotAmbiguous { .. } => ExitClass::Subject,
            Self::Installation { .. } => ExitClass::Installation,
        }
    }

    /// A coordinate system's failure, tied to the file it came from.
    pub(crate) fn crs(path: &std::path::Path, kind: InputKind, source: CrsError) -> Self {
        match source {
            CrsError::Installation { .. } => Self::Installation { source },
            _ => Self::Crs { path: path.to_owned(), kind, source },
        }
    }

    /// Stable code in words with hyphens.
    #[must_use]
    pub fn code_text(&self) -> String {
        Diagnostic::code(self).map(|c| c.to_string()).unwrap_or_default()
    }

    /// The same of a file beside elevations and parcels, for which there are no options but its own: `name` is the option
    /// that names the file.
    pub(super) fn of_side_file(self, name: &str) -> Self {
        let help = match &self {
            Self::Layer { .. } => format!("choose one with --{name}-layer"),
            Self::NoShapes { what, .. } => format!("give a file or, with --{name}-layer, a layer of {what}"),
            Self::NoCrs { .. } | Self::Crs { .. } | Self::NotDegrees { .. } => {
                "give the file the coordinate system that its numbers are in".to_owned()
            }
            Self::KeepField { .. } => "give the field that name".to_owned(),
            _ => return self,
        };
        Self::Side { class: self.exit_class(), cause: Box::new(self), help }
    }

    /// The remedy, naming the option; empty if there is none.
    #[must_use]
    pub fn help_text(&self) -> String {
        Diagnostic::help(self).map(|h| h.to_string()).unwrap_or_default()
    }
}

/// A distance in metres or kilometres, whichever reads better.
fn in_words(km: f64) -> String {
    if km < 1.0 { format!("{:.0} m", km * 1000.0) } else { format!("{km:.1} km") }
}

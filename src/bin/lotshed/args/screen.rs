//! What may be typed after `screen`.

use super::{InputOptions, RunArgs, UnitsName};
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Clone, Args)]
pub(crate) struct ScreenArgs {
    #[command(flatten)]
    pub(crate) input: InputOptions,
    /// Complaints: a CSV table with a column lot (the lot's id) or with lon,lat or x,y, or points of any format; a column complaint names them [default: none, every lot is listed]
    #[arg(long, value_name = "FILE", help_heading = "Lots")]
    pub(crate) complaints: Option<PathBuf>,
    /// Layer of the complaints' file
    #[arg(long, value_name = "NAME", help_heading = "Lots")]
    pub(crate) complaints_layer: Option<String>,
    /// Rules that put lots into classes (TOML, as docs/screening-rules.toml) [default: those]
    #[arg(long, value_name = "FILE", help_heading = "Lots")]
    pub(crate) rules: Option<PathBuf>,
    /// Footprints of buildings (polygons): water goes round them, roofs drain to the lowest ground beside them
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) buildings: Option<PathBuf>,
    /// Layer of the buildings' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) buildings_layer: Option<String>,
    /// Downspouts, as for assess
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) downspouts: Option<PathBuf>,
    /// Layer of the downspouts' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) downspouts_layer: Option<String>,
    /// Storm inlets, as for assess: water that stands at one leaves there
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) inlets: Option<PathBuf>,
    /// Layer of the inlets' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) inlets_layer: Option<String>,
    /// Rainfall intensity, as 100mm/h or 4in/h, the same for every lot (no default: without one no flow is told)
    #[arg(long, value_name = "VALUE", help_heading = "Storm", requires = "coefficient")]
    pub(crate) intensity: Option<String>,
    /// Runoff coefficient, the same for all ground, above 0 up to 1
    #[arg(long, value_name = "C", help_heading = "Storm", requires = "intensity")]
    pub(crate) coefficient: Option<String>,
    /// Units shown first [default: those of the elevation raster's coordinate system]
    #[arg(long, value_name = "SYSTEM", help_heading = "Output")]
    pub(crate) units: Option<UnitsName>,
    /// Folder for the result
    #[arg(long, value_name = "DIR", help_heading = "Output")]
    pub(crate) out: PathBuf,
    #[command(flatten)]
    pub(crate) run: RunArgs,
}

//! What may be typed after `size`.

use super::UnitsName;
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Default, Clone, PartialEq, Args)]
pub(crate) struct SizeArgs {
    /// Ground whose water runs off, as 8600ft2, 0.1ac or 800m2
    #[arg(long, value_name = "AREA", help_heading = "Ground", allow_hyphen_values = true)]
    pub(crate) area: Option<String>,
    /// Runoff coefficient, above 0 up to 1
    #[arg(long, value_name = "C", help_heading = "Ground", allow_hyphen_values = true)]
    pub(crate) coefficient: Option<String>,
    /// Curve number, above 0 up to 100, for the volume
    #[arg(long, value_name = "CN", help_heading = "Ground", allow_hyphen_values = true)]
    pub(crate) curve_number: Option<String>,
    /// Class of the cover table with its area, as roof=1800ft2; again for each further class
    #[arg(long, value_name = "CLASS=AREA", help_heading = "Ground")]
    pub(crate) cover: Vec<String>,
    /// Soil group of the covers: A, B, C or D
    #[arg(long, value_name = "GROUP", help_heading = "Ground", allow_hyphen_values = true)]
    pub(crate) soil_group: Option<String>,
    /// Cover table (TOML) that adds to the built-in one or overrides it
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) cover_table: Option<PathBuf>,
    /// Length of the water's way, as 150ft or 45m: over the largest cover, or a lawn where no cover is given
    #[arg(long, value_name = "LENGTH", help_heading = "Ground", allow_hyphen_values = true)]
    pub(crate) length: Option<String>,
    /// Fall over that length, as 3ft or 0.9m
    #[arg(long, value_name = "LENGTH", help_heading = "Ground", allow_hyphen_values = true)]
    pub(crate) fall: Option<String>,
    /// Slope of the ground, as 2%, 0.02, 1:50, 1/4in/ft or 1in/10ft
    #[arg(long, value_name = "GRADE", help_heading = "Ground", allow_hyphen_values = true)]
    pub(crate) slope: Option<String>,
    /// Rainfall intensity, as 4in/h or 100mm/h
    #[arg(long, value_name = "VALUE", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) intensity: Option<String>,
    /// Rainfall curve over the duration t in minutes, as "56.6/(t+8.6)^0.823 in/h"
    #[arg(long, value_name = "CURVE", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) rain_curve: Option<String>,
    /// Rainfall table: depths or intensities by duration and return period, see docs/rainfall.md
    #[arg(long, value_name = "FILE", help_heading = "Rain")]
    pub(crate) rainfall: Option<PathBuf>,
    /// Years between such storms: the table's column, and what raises the covers' coefficients [default with --rainfall: 10]
    #[arg(long, value_name = "YEARS", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) return_period: Option<String>,
    /// How long the rain lasts, which is the time of concentration, as 17min or 0.5h
    #[arg(long, value_name = "TIME", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) duration: Option<String>,
    /// Least time of concentration [default: 5min]
    #[arg(long, value_name = "TIME", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) least_time: Option<String>,
    /// Rain of the whole storm, as 4.5in or 115mm, for the volume [default with --rainfall: that of 24 hours]
    #[arg(long, value_name = "LENGTH", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) rain_depth: Option<String>,
    /// How the rain of a day is spread over it, I, IA, II or III: gives the storm's peak by the graphical method
    #[arg(long, value_name = "TYPE", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) rainfall_type: Option<String>,
    /// Share of the ground that ponds and swamps cover, for --rainfall-type, up to 5% [default: 0]
    #[arg(long, value_name = "SHARE", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) pond_share: Option<String>,
    /// Flow to be carried, as 125gpm, 0.28cfs, 7.9L/s or 0.0079m3/s
    #[arg(long, value_name = "FLOW", help_heading = "Drain", allow_hyphen_values = true)]
    pub(crate) flow: Option<String>,
    /// Grade that the drain is laid at, as 1%, 0.01, 1:100, 1/8in/ft or 1in/10ft
    #[arg(long, value_name = "GRADE", help_heading = "Drain", allow_hyphen_values = true)]
    pub(crate) grade: Option<String>,
    /// Print a built-in table with its sources, and nothing else: that of covers, with --cover-table the two together [default: text], or a file as one of your own is written
    #[arg(long, value_name = "FORM", num_args = 0..=1, default_missing_value = "text", help_heading = "Output")]
    pub(crate) tables: Option<TablesForm>,
    /// Units shown first [default: us]
    #[arg(long, value_name = "SYSTEM", help_heading = "Output")]
    pub(crate) units: Option<UnitsName>,
    /// Print the figures as JSON on standard output
    #[arg(long, help_heading = "Output")]
    pub(crate) json: bool,
    /// Say nothing but errors
    #[arg(long, short, help_heading = "Output")]
    pub(crate) quiet: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum TablesForm {
    /// One line a cover
    Text,
    /// The built-in file of covers, as a file for --cover-table is written
    Toml,
    /// The built-in file of pipes, as a file for --catalogue is written
    Catalogue,
    /// The built-in file of stone, soils, fabrics, grasses, surfaces and finishes, as a file for --materials is written
    Materials,
}

//! What may be typed after `size`.

use super::UnitsName;
use clap::Args;

#[derive(Debug, Default, Clone, Args)]
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
    /// Length of the water's way over a lawn, as 150ft or 45m
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
    /// How long the rain lasts, as 17min or 0.5h
    #[arg(long, value_name = "TIME", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) duration: Option<String>,
    /// Least time of concentration [default: 5min]
    #[arg(long, value_name = "TIME", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) least_time: Option<String>,
    /// Rain of the whole storm, as 4.5in or 115mm, for the volume
    #[arg(long, value_name = "LENGTH", help_heading = "Rain", allow_hyphen_values = true)]
    pub(crate) rain_depth: Option<String>,
    /// Flow to be carried, as 125gpm, 0.28cfs, 7.9L/s or 0.0079m3/s
    #[arg(long, value_name = "FLOW", help_heading = "Drain", allow_hyphen_values = true)]
    pub(crate) flow: Option<String>,
    /// Grade that the drain is laid at, as 1%, 0.01, 1:100, 1/8in/ft or 1in/10ft
    #[arg(long, value_name = "GRADE", help_heading = "Drain", allow_hyphen_values = true)]
    pub(crate) grade: Option<String>,
    /// Print the cover table with its sources, and nothing else
    #[arg(long, help_heading = "Output", exclusive = true)]
    pub(crate) tables: bool,
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

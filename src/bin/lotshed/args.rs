//! What may be typed, and nothing else: no file is touched and nothing is decided here.
//!
//! The options of `assess` are also the keys of a job file, so one definition serves both.

mod screen;
mod size;

pub(crate) use screen::ScreenArgs;
pub(crate) use size::{SizeArgs, TablesForm};

use clap::{Args, Parser, Subcommand, ValueEnum};
use lotshed::output::Audience;
use std::path::PathBuf;

const EXAMPLES: &str = "\
Examples:
  lotshed demo
  lotshed inspect --elevation ground.tif --parcels lots.gpkg
  lotshed assess --elevation ground.tif --parcels lots.gpkg --lot 12-0345 --out result
  lotshed assess --elevation a.tif b.tif --parcels lots.geojson --lot-at -78.9417,42.5941 --out result --intensity 4in/h --coefficient 0.35
  lotshed assess job.toml --overwrite
  lotshed screen --elevation town.tif --parcels lots.gpkg --complaints complaints.csv --out town
  lotshed size --area 8600ft2 --coefficient 0.35 --intensity 4in/h --grade 1%

Exit status:
  0 result usable (warnings allowed)   1 fault of the program
  2 wrong usage                        3 input unreadable, incomplete, or in need of a codec this build lacks
  4 coordinate system or unit open     5 no or too little overlap
  6 lot not found or ambiguous         7 output exists or cannot be written
  8 a warning under --strict           9 broken installation
  130 interrupted";

/// Whose water is it? The watershed of a lot.
///
/// From an elevation raster and parcel polygons: which neighbouring parcels drain onto a lot and how much, where the
/// water crosses the lot line, and where a line would intercept it.
#[derive(Debug, Parser)]
#[command(name = "lotshed", version, long_version = &*crate::render::long_version().leak(), after_help = EXAMPLES, max_term_width = 100)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Assess one lot: whose water, how much, where it crosses, and what would intercept it
    Assess(Box<AssessArgs>),
    /// Screen every lot of the elevations, or those of a list of complaints, by the same rules
    Screen(Box<ScreenArgs>),
    /// Say what the inputs are and what is wrong with them, without analysing
    Inspect(InspectArgs),
    /// Write an invented neighbourhood and assess one of its lots
    Demo(DemoArgs),
    /// Size a drain from typed numbers: flow, pipe, swale, runoff; each with equation and source
    Size(Box<SizeArgs>),
    /// Print the completion script of a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page (troff)
    Man,
}

#[derive(Debug, Args)]
pub(crate) struct AssessArgs {
    /// Job file (TOML) with the same keys as the options; an option wins over the file
    #[arg(value_name = "JOB.toml")]
    pub(crate) job: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) options: AssessOptions,
    #[command(flatten)]
    pub(crate) run: RunArgs,
}

/// Everything that has a part in the result.
#[derive(Debug, Default, Clone, Args)]
pub(crate) struct AssessOptions {
    #[command(flatten)]
    pub(crate) input: InputOptions,
    /// Id of the lot
    #[arg(long, value_name = "ID", help_heading = "Lot", conflicts_with = "lot_at")]
    pub(crate) lot: Option<String>,
    /// The lot at a place, in degrees
    #[arg(long, value_name = "LON,LAT", help_heading = "Lot", allow_hyphen_values = true)]
    pub(crate) lot_at: Option<String>,
    /// Footprints of buildings (polygons): water goes round them, roofs drain to the lowest ground beside them
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) buildings: Option<PathBuf>,
    /// Layer of the buildings' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) buildings_layer: Option<String>,
    /// Downspouts (points, or a CSV table with lon,lat or x,y) with a field building, the id of their building, else of the nearest within 3 m [default: the layer downspouts of the buildings' file]
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) downspouts: Option<PathBuf>,
    /// Layer of the downspouts' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) downspouts_layer: Option<String>,
    /// Covers: polygons with a field class, or coefficient, or curve number (`curve_number`); or a raster of codes
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) cover: Option<PathBuf>,
    /// Layer of the covers' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) cover_layer: Option<String>,
    /// Cover of ground that no file says anything of: a class of the cover table
    #[arg(long, value_name = "CLASS", help_heading = "Ground")]
    pub(crate) default_cover: Option<String>,
    /// Cover table (TOML) that adds to the built-in one or overrides it, and says what the codes of a raster stand for
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) cover_table: Option<PathBuf>,
    /// Soils (polygons) with a field group: A, B, C or D
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) soils: Option<PathBuf>,
    /// Layer of the soils' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) soils_layer: Option<String>,
    /// Soil group of ground that no file says anything of: A, B, C or D
    #[arg(long, value_name = "GROUP", help_heading = "Ground")]
    pub(crate) soil_group: Option<String>,
    /// Storm inlets (points, or a CSV table with lon,lat or x,y) with fields id, rim, invert or depth, tailwater, public: water that stands at one leaves there
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) inlets: Option<PathBuf>,
    /// Layer of the inlets' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) inlets_layer: Option<String>,
    /// Ditches and kerbs that the line may drain to (lines) with fields id, kind (ditch, swale, channel, stream, kerb, gutter), invert or depth [default: the ground], tailwater
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) ditches: Option<PathBuf>,
    /// Layer of the ditches' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) ditches_layer: Option<String>,
    /// What the line is kept clear of (polygons, lines or points) with fields kind (easement, septic, well, tree, wall, footing, utility ...), distance as 3m or 10ft, base: depth of its base below the ground
    #[arg(long, value_name = "FILE", help_heading = "Ground")]
    pub(crate) keep_out: Option<PathBuf>,
    /// Layer of the keep-outs' file
    #[arg(long, value_name = "NAME", help_heading = "Ground")]
    pub(crate) keep_out_layer: Option<String>,
    /// How cells hand on water [default: proportional]
    #[arg(long, value_name = "NAME", help_heading = "Flow")]
    pub(crate) routing: Option<RoutingName>,
    /// Share of the run-on that the line is to catch [default: 0.95]
    #[arg(long, value_name = "SHARE", help_heading = "Flow")]
    pub(crate) catch: Option<String>,
    /// Rainfall intensity, as 100mm/h or 4in/h (no default: without one nothing is sized)
    #[arg(long, value_name = "VALUE", help_heading = "Storm")]
    pub(crate) intensity: Option<String>,
    /// Rainfall table: depths or intensities by duration and return period, see docs/rainfall.md
    #[arg(long, value_name = "FILE", help_heading = "Storm")]
    pub(crate) rainfall: Option<PathBuf>,
    /// Rainfall curve over the duration t in minutes, as "56.6/(t+8.6)^0.823 in/h"
    #[arg(long, value_name = "CURVE", help_heading = "Storm")]
    pub(crate) rain_curve: Option<String>,
    /// Return period of the design storm, in years [default with --rainfall: 10]
    #[arg(long, value_name = "YEARS", help_heading = "Storm")]
    pub(crate) return_period: Option<String>,
    /// Rain of the whole storm, for volumes [default with --rainfall: that of 24 hours]
    #[arg(long, value_name = "LENGTH", help_heading = "Storm")]
    pub(crate) rain_depth: Option<String>,
    /// How the rain of a day is spread over it, I, IA, II or III: also gives the peak by the graphical method
    #[arg(long, value_name = "TYPE", help_heading = "Storm")]
    pub(crate) rainfall_type: Option<String>,
    /// Share of the catchment that ponds and swamps cover, for --rainfall-type, up to 5% [default: 0]
    #[arg(long, value_name = "SHARE", help_heading = "Storm")]
    pub(crate) pond_share: Option<String>,
    /// Runoff coefficient of ground of which no cover is known or whose class has none, above 0 up to 1 (no default)
    #[arg(long, value_name = "C", help_heading = "Storm")]
    pub(crate) coefficient: Option<String>,
    /// Curve number of ground of which no cover is known or whose class has none, for volumes (no default)
    #[arg(long, value_name = "CN", help_heading = "Storm")]
    pub(crate) curve_number: Option<String>,
    /// Formula of the time that water takes to the lot line [default: chain]
    #[arg(long, value_name = "NAME", help_heading = "Storm")]
    pub(crate) time_by: Option<TimeName>,
    /// Least time of concentration, as 5min or 0.1h [default: 5min]
    #[arg(long, value_name = "TIME", help_heading = "Storm")]
    pub(crate) least_time: Option<String>,
    /// Area above which water runs in a channel [default: none, no channel]
    #[arg(long, value_name = "AREA", help_heading = "Storm")]
    pub(crate) channel_from: Option<String>,
    /// Distance of the line inside the lot line, as 0.6m or 2ft [default: 0.6m]
    #[arg(long, value_name = "LENGTH", help_heading = "Line")]
    pub(crate) setback: Option<String>,
    /// Least grade of its pipes, as fall per length [default: 0.01]
    #[arg(long, value_name = "GRADE", help_heading = "Line")]
    pub(crate) min_grade: Option<String>,
    /// Ground over a pipe, at the least, as 0.3m or 1ft [default: 0.3m]
    #[arg(long, value_name = "LENGTH", help_heading = "Line")]
    pub(crate) min_cover: Option<String>,
    /// Depth of a trench, at the most, as 1.5m or 5ft [default: 1.5m]
    #[arg(long, value_name = "LENGTH", help_heading = "Line")]
    pub(crate) max_depth: Option<String>,
    /// A place that the line may drain to, in degrees, with the lowest level at which a pipe may come in, as -78.9,42.6,98.2m: in the open, unless an inlet or a ditch that is given lies there; storm inlets of --inlets are looked at by themselves
    #[arg(long, value_name = "LON,LAT,INVERT", help_heading = "Line", allow_hyphen_values = true)]
    pub(crate) outlet: Option<String>,
    /// How the line is built [default: the recommended one]
    #[arg(long, value_name = "NAME", help_heading = "Drain")]
    pub(crate) arrangement: Option<ArrangementName>,
    /// Finish over the stone: bare-stone, irrigated-lawn, irrigated-lawn-on-loam, unirrigated-lawn, unirrigated-seed [default: bare-stone]
    #[arg(long, value_name = "NAME", help_heading = "Drain")]
    pub(crate) finish: Option<String>,
    /// Soil that is dug: sand, gravel, sandy-loam, loam, silt, clay, rock [default: loam]
    #[arg(long, value_name = "NAME", help_heading = "Drain")]
    pub(crate) trench_soil: Option<String>,
    /// Share of that soil that is finer than 0.075 mm, as 30%: chooses the fabric [default: unknown, fabric for the finest soils]
    #[arg(long, value_name = "SHARE", help_heading = "Drain")]
    pub(crate) fines: Option<String>,
    /// Size of the stone: 57, 67, 6, 8, 4, 3 [default: 57]
    #[arg(long, value_name = "NAME", help_heading = "Drain")]
    pub(crate) stone: Option<String>,
    /// Stone, soils, fabrics, grasses, surfaces and finishes of your own (TOML, as `lotshed size --tables materials` prints ours): they add to the built-in ones, or take the place of those of the same name
    #[arg(long, value_name = "FILE", help_heading = "Drain")]
    pub(crate) materials: Option<PathBuf>,
    /// Pipes of your own (TOML, as `lotshed size --tables catalogue` prints ours): they add to the ordinary ones, or take the place of those of the same size, wall and label; with "only = true" at the file's head, of all
    #[arg(long, value_name = "FILE", help_heading = "Drain")]
    pub(crate) catalogue: Option<PathBuf>,
    /// Prices (TOML, or a table whose name ends in .csv), see docs/prices.md
    #[arg(long, value_name = "FILE", help_heading = "Drain")]
    pub(crate) prices: Option<PathBuf>,
    /// Error (RMSE) of the elevations, as 0.1m or 4in: starts the repeats that say how sure the answer is
    #[arg(long, value_name = "LENGTH", help_heading = "Certainty")]
    pub(crate) elevation_rmse: Option<String>,
    /// Quality level of the lidar survey that the elevations come from, which stands for an error: QL0 0.05 m, QL1 and QL2 0.10 m, QL3 0.20 m; starts the repeats too
    #[arg(long, value_name = "LEVEL", conflicts_with = "elevation_rmse", help_heading = "Certainty")]
    pub(crate) elevation_quality: Option<QualityName>,
    /// Repeat with an assumed error of 0.10 m where it isn't known
    #[arg(long, help_heading = "Certainty")]
    pub(crate) certainty: bool,
    /// Repeats at the most, made whole eights; fewer are made when they are enough [default: 400]
    #[arg(long, value_name = "N", help_heading = "Certainty", value_parser = clap::value_parser!(u32).range(8..=100_000))]
    pub(crate) realisations: Option<u32>,
    /// Another number draws another sample of errors [default: 1]
    #[arg(long, value_name = "N", help_heading = "Certainty")]
    pub(crate) seed: Option<u64>,
    /// Error (RMSE along each axis) of the parcels' place, as 1m or 3ft [default: 1m]
    #[arg(long, value_name = "LENGTH", help_heading = "Certainty")]
    pub(crate) parcel_error: Option<String>,
    /// Levels taken on site (points, or a CSV table with lon,lat or x,y) with fields id, elevation, accuracy (standard error) [default: 0.03 m], unit (m, ft, us-ft, cm) [default: the elevations']: they correct the elevations around them, and the repeats agree with them
    #[arg(long, value_name = "FILE", help_heading = "Certainty")]
    pub(crate) shots: Option<PathBuf>,
    /// Layer of the shots' file
    #[arg(long, value_name = "NAME", help_heading = "Certainty")]
    pub(crate) shots_layer: Option<String>,
    /// When the elevations were surveyed, as 2019-06-30, 2019-06 or 2019 [default: what the rasters say of it]
    #[arg(long, value_name = "DATE", help_heading = "Certainty")]
    pub(crate) surveyed: Option<String>,
    /// When the ground around was last built on, graded or dug, as far as is known: elevations surveyed before are a reason to doubt the answer
    #[arg(long, value_name = "DATE", help_heading = "Certainty")]
    pub(crate) ground_changed: Option<String>,
    /// Say why water of this parcel comes to the lot, or doesn't, and the least change of the ground that would turn it (repeatable)
    #[arg(long, value_name = "PARCEL", help_heading = "Output")]
    pub(crate) why: Vec<String>,
    /// Units shown first [default: those of the elevation raster's coordinate system]
    #[arg(long, value_name = "SYSTEM", help_heading = "Output")]
    pub(crate) units: Option<UnitsName>,
    /// For whom the report is: the same facts, other sections [default: all]
    #[arg(long = "for", value_name = "AUDIENCE", help_heading = "Output")]
    pub(crate) audience: Option<AudienceName>,
    /// Also write rasters: filled surface, pond depth, direction, upstream area, share reaching the lot, and with repeats its likelihood
    #[arg(long, help_heading = "Output")]
    pub(crate) rasters: bool,
    /// Also write the drawings of the report as SVG files: profile, swale and section of each part
    #[arg(long, help_heading = "Output")]
    pub(crate) drawings: bool,
    /// Folder for the result
    #[arg(long, value_name = "DIR", help_heading = "Output")]
    pub(crate) out: Option<PathBuf>,
}

/// Inputs and how to read them.
#[derive(Debug, Default, Clone, Args)]
pub(crate) struct InputOptions {
    /// Elevation rasters; several are tiles of one survey
    #[arg(long, value_name = "FILE", num_args = 1.., help_heading = "Input")]
    pub(crate) elevation: Vec<PathBuf>,
    /// Parcel polygons: GeoJSON, GeoPackage, Shapefile, FlatGeobuf, file geodatabase, or a zip of one of them
    #[arg(long, value_name = "FILE", help_heading = "Input")]
    pub(crate) parcels: Option<PathBuf>,
    /// Layer of the parcel file
    #[arg(long, value_name = "NAME", help_heading = "Input")]
    pub(crate) parcels_layer: Option<String>,
    /// Field that holds the parcels' ids [default: the first usual name with unique values]
    #[arg(long, value_name = "NAME", help_heading = "Input")]
    pub(crate) id_field: Option<String>,
    /// Unit of the elevations [default: as the raster says]
    #[arg(long, value_name = "UNIT", help_heading = "Input")]
    pub(crate) elevation_unit: Option<ElevationUnit>,
    /// Coordinate system of the elevations, where it is missing or wrong
    #[arg(long, value_name = "CRS", help_heading = "Input")]
    pub(crate) elevation_crs: Option<String>,
    /// Coordinate system of the parcels, where it is missing or wrong
    #[arg(long, value_name = "CRS", help_heading = "Input")]
    pub(crate) parcels_crs: Option<String>,
    /// Value that stands for "no elevation"
    #[arg(long, value_name = "VALUE", help_heading = "Input", allow_hyphen_values = true)]
    pub(crate) elevation_nodata: Option<String>,
    /// Swap the axes of the parcels
    #[arg(long, help_heading = "Input")]
    pub(crate) swap_axes: bool,
    /// Bridge inner holes up to this area [default: 400m2]
    #[arg(long, value_name = "AREA", help_heading = "Input")]
    pub(crate) bridge_holes: Option<String>,
    /// Parcel fields to repeat in the result [default: none, ids only]
    #[arg(long, value_name = "NAME", value_delimiter = ',', help_heading = "Input")]
    pub(crate) keep_fields: Vec<String>,
}

/// How to run: has no part in the result.
#[derive(Debug, Clone, Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag that may be typed")]
pub(crate) struct RunArgs {
    /// Replace an earlier result
    #[arg(long, help_heading = "Run")]
    pub(crate) overwrite: bool,
    /// Keep nothing and exit with 8 when there is a warning (notes do not count)
    #[arg(long, help_heading = "Run")]
    pub(crate) strict: bool,
    /// Print the summary, and nothing else, on standard output
    #[arg(long, help_heading = "Run")]
    pub(crate) json: bool,
    /// Say nothing but errors
    #[arg(long, short, help_heading = "Run")]
    pub(crate) quiet: bool,
    /// Say more: what is being done, with cell counts, also where there is no terminal
    #[arg(long, short, help_heading = "Run", conflicts_with = "quiet")]
    pub(crate) verbose: bool,
    /// Threads to use [default: all]
    #[arg(long, value_name = "N", help_heading = "Run", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
}

#[derive(Debug, Args)]
pub(crate) struct InspectArgs {
    #[command(flatten)]
    pub(crate) input: InputOptions,
    /// Print the findings as JSON on standard output
    #[arg(long, help_heading = "Run")]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct DemoArgs {
    /// Folder for the neighbourhood and the result; replaces only what an earlier demo wrote
    #[arg(long, value_name = "DIR", default_value = "lotshed-demo")]
    pub(crate) out: PathBuf,
    /// Print the summary, and nothing else, on standard output
    #[arg(long)]
    pub(crate) json: bool,
    /// Say nothing but errors
    #[arg(long, short)]
    pub(crate) quiet: bool,
    /// Threads to use [default: all]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum RoutingName {
    /// To both ends of the steepest facet: right on average at every angle
    Proportional,
    /// To one of them, keeping closest to the fall
    Single,
    /// To the steepest of eight neighbours: drifts, for comparison only
    Steepest,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum TimeName {
    /// Sheet flow, shallow concentrated flow and channel one after the other
    Chain,
    /// Kerby over land, Kirpich beyond
    KerbyKirpich,
    /// Lag method of the curve number
    Lag,
    /// The formula for airports
    Airport,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ArrangementName {
    /// One perforated pipe in a trench of stone
    OnePipe,
    /// Two perforated pipes at one level in a trench of stone; the outlet is one pipe
    TwoPipes,
    /// A grassed swale to a basin at its end
    Swale,
    /// A swale over a perforated pipe in a trench of stone
    SwaleOverDrain,
    /// A solid pipe with basins where water arrives concentrated
    Basins,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum QualityName {
    /// RMSE of 0.05 m
    #[value(name = "QL0")]
    Ql0,
    /// RMSE of 0.10 m, eight pulses a square metre
    #[value(name = "QL1")]
    Ql1,
    /// RMSE of 0.10 m, two pulses a square metre
    #[value(name = "QL2")]
    Ql2,
    /// RMSE of 0.20 m
    #[value(name = "QL3")]
    Ql3,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsName {
    /// Feet, square feet, gallons per minute
    Us,
    /// Metres, square metres, litres per second
    Si,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum AudienceName {
    /// Everything
    All,
    /// The lot's owner: whose water, what is proposed, what it takes
    Owner,
    /// A neighbour: whose water, what changes for others
    Neighbour,
    /// A town's counter: the same, with methods and sources
    Counter,
    /// A crew: drawings, quantities, checklist
    Crew,
}

impl From<AudienceName> for Audience {
    fn from(name: AudienceName) -> Self {
        match name {
            AudienceName::All => Self::All,
            AudienceName::Owner => Self::Owner,
            AudienceName::Neighbour => Self::Neighbour,
            AudienceName::Counter => Self::Counter,
            AudienceName::Crew => Self::Crew,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ElevationUnit {
    /// Metres
    M,
    /// International feet
    Ft,
    /// US survey feet
    #[value(name = "us-ft")]
    UsFt,
    /// Centimetres
    Cm,
}

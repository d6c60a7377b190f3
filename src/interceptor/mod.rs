//! Stage 6: the line that intercepts the run-on, and what it would take.
//!
//! Takes stretches of the lot line with the area that drains to each, the ground, and what sizing rests on. Gives an
//! [`InterceptionLine`]: one part beside each stretch, inside the lot, with its profile and, when a storm is given, the
//! pipe or swale that carries the flow. Each part keeps the setback or says what it keeps; a part that can't be sized
//! says what is missing. Touches no files.

mod alignment;
mod bore;
pub mod catalogue;
mod chamber;
mod crests;
mod daylight;
mod detour;
mod digging;
pub mod drain;
mod fewer_bends;
mod findings;
mod full_pipe;
mod given_up;
mod ground_water;
mod leads;
pub mod materials;
mod methods;
mod minor_losses;
mod obstacles;
mod outlet;
mod part;
pub mod pipe;
pub mod profile;
pub mod proof;
mod propose;
pub mod quantities;
pub mod route;
mod shown;
mod stations;
pub mod swale;
mod tailwater;
pub mod trench;
mod undercut;
mod ways;

pub use bore::Bore;
pub use chamber::{Chamber, Pumped, Room};
pub use crests::{crests, low_point, up_to_corners};
pub use daylight::{DaylightPlace, comes_out, daylight_places};
pub use digging::Digging;
pub use findings::without_outlet;
pub use full_pipe::FullPipes;
pub use given_up::{GivenUp, given_up};
pub use ground_water::{GroundWater, WetTrench, ground_water};
pub use leads::KeptOff;
pub use methods::{CHAMBER, GROUND_WATER, SIZING};
pub use obstacles::{Approach, Digs, Obstacle, ObstacleKind, Obstacles, simplified};
pub use outlet::{DrainedEnd, LaidWay, OutletKind, OutletLimits, OutletPlace, OutletVerdict, OutletWay};
pub use part::{Coverage, InterceptionLine, LinePart, Sizing, Station};
pub use propose::{
    CaughtStretch, InterceptorError, LineSettings, LineStorm, PartWater, part_peak, propose, size_line,
};
pub use tailwater::{Backflow, Overflow, PipedWay, Receiving, Tailwater, grade_line_at, tailwaters};
pub use undercut::{Dug, DugBy, Undercut};
pub use ways::{BED, Land, way_to_outlet, ways_to_outlets};

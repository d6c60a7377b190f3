//! Stage 2: sinks of the ground, filled and listed as ponds.
//!
//! [`fill()`] raises the ground to the level at which water finds a way out; [`ponds()`] lists where it did, how deep and
//! how much. Nothing is added to elevations beyond that: a level stretch stays level, so that what comes after can
//! tell it from a slope.

mod band;
mod error;
mod fill;
mod graph;
mod label;
mod link;
mod lowest_ways;
mod ponds;
mod rim;
mod rows;
mod slope;
mod spill;
mod standing;

pub use error::TerrainError;
pub use fill::fill;
pub use lowest_ways::{LowestWay, LowestWays, lowest_ways};
pub use ponds::{Pond, Run, ponds};
pub use rim::{Outlet, Rim, Side};
pub use slope::{slope_around, slope_reach};
pub use standing::{Standing, standing_at};

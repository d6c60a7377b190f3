//! Stage 2: sinks of the ground, filled or listed as ponds.
//!
//! [`fill`] raises the ground to the level at which water finds a way out. Elevations
//! much. Elevations are never changed by increments: a level stretch stays level.

mod band;
mod error;
mod fill;
mod graph;
mod link;
mod rim;
mod rows;

pub use error::TerrainError;
pub use fill::fill;
pub use rim::{Outlet, Rim, Side};

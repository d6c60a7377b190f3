//! Coordinate systems: what they are, how to get from one to another, and how long their unit is on the ground.
//!
//! All values here are plain data ([`Send`] and [`Sync`]). The library's own transformation objects can't be shared,
//! so each thread builds its own on first use.

mod compare;
mod definition;
mod local;
mod scale;
mod transform;
mod working;

pub use compare::Difference;
pub use definition::{CrsDefinition, CrsError, CrsKind, LinearUnit, VerticalAxis};
pub use local::local_transverse_mercator;
pub use scale::{PointScale, point_scale};
pub use transform::Transform;
pub(crate) use transform::check_installation;
pub use working::WorkingCrs;

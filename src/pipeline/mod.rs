//! The stages in order: nothing but stage calls.

mod assess;
mod bank;
mod beyond;
mod catchment;
mod caught;
mod completeness;
mod cover;
mod doubts;
mod ground;
mod inlets;
mod lot_ponds;
mod obstacles;
mod outlets;
mod progress;
mod rasters;
mod roofs;
mod settings;
mod storm;
mod way_out;
mod ways;
mod window;

pub use assess::{Assessment, assess};
pub use catchment::Routed;
pub use completeness::{Completeness, EdgePart, EdgeSide};
pub use ground::Ground;
pub use lot_ponds::LotPond;
pub use outlets::{Downstream, DownstreamEnd, PartOutlets, WayOut};
pub use progress::{Phase, Progress, Silent};
pub use rasters::Rasters;
pub use roofs::Roofs;
pub use settings::{NamedOutlet, Settings};
pub use storm::Spilling;

//! The stages in order: nothing but stage calls.

mod assess;
mod catchment;
mod completeness;
mod doubts;
mod lot_ponds;
mod progress;
mod rasters;
mod settings;
mod way_out;

pub use assess::{Assessment, assess};
pub use catchment::{Ground, Routed};
pub use completeness::{Completeness, EdgePart, EdgeSide};
pub use lot_ponds::LotPond;
pub use progress::{Phase, Progress, Silent};
pub use rasters::Rasters;
pub use settings::Settings;

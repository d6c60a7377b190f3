//! The stages in order: nothing but stage calls.

mod assess;
mod catchment;
mod completeness;
mod progress;
mod rasters;
mod settings;
mod way_out;

pub use assess::{Assessment, LotPond, assess};
pub use catchment::{Ground, Routed};
pub use completeness::{Completeness, EdgePart, EdgeSide};
pub use progress::{Phase, Progress, Silent};
pub use rasters::Rasters;
pub use settings::{Settings, Sizing};

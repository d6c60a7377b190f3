//! Stage 5: from contributing area and storm to the flows and volumes that size things.
//!
//! Takes the ledger's areas by kind of ground, the ways of their water, and a [`DesignBasis`]. Gives a
//! [`Design`]: for each crossing, each lot and each kind of ground the peak and the volume, with the rain and the times
//! that they rest on; or what is missing. There is no default storm and no default coefficient: a made-up one would
//! look like an answer. Touches no files.

mod basis;
mod cover_table;
mod design;
mod durations;
mod graphical;
mod ground_kind;
pub mod limits;
pub(crate) mod methods;
mod ponds;
mod portions;
mod rain;
mod streams;
mod travel;

pub use basis::{DesignBasis, Missing};
pub use cover_table::{CoverClass, CoverFigure, CoverTable, CoverTableError, SlopeClass};
pub use design::{CrossingDesign, CrossingWater, Design, LotDesign, Piece, design};
pub use durations::Durations;
pub use graphical::{Catchment, GraphicalBasis, GraphicalPeak, graphical_peak};
pub use ground_kind::{GroundBasis, GroundKind, Lie};
pub use methods::{Citation, methods_used};
pub use ponds::{PondInStorm, StormLedger, storm_ledger};
pub use portions::Portion;
pub use rain::{Rain, RainAt, Source};
pub use streams::{JoinedPeak, Stream, joined_peak};
pub use travel::{
    AHEAD_M, ChannelFlow, Concentration, Segment, SegmentKind, SheetRule, SlowGround, SlowReach, Surface,
    TimeMethod, TravelBasis, WaterSurface, Way, WayGround, WayPoint, concentrate,
};

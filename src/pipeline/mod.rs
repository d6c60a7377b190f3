//! The stages in order: nothing but stage calls.

mod as_named;
mod assess;
mod bank;
mod beyond;
mod beyond_setback;
mod catches_less;
mod catchment;
mod caught;
mod chambers;
mod channels;
mod completeness;
mod cover;
mod doubts;
mod drain;
mod drowned;
mod findings;
mod for_drains;
mod given_up;
mod ground;
mod ground_water;
mod inlet_access;
mod inlets;
mod keeps_more;
mod laid;
mod lot_ponds;
mod low_points;
mod obstacles;
mod outlets;
mod overflow;
mod part_water;
mod progress;
mod proof;
mod rasters;
mod repeats;
mod roofs;
mod settings;
mod shares;
mod storm;
mod storms;
mod stretches;
mod town;
mod way_out;
mod ways;
mod why;
mod wider_setback;
mod window;

pub use as_named::AsNamed;
pub use assess::{Assessment, assess};
pub use catchment::Routed;
pub use completeness::{Completeness, EdgePart, EdgeSide};
pub use doubts::{Age, DatedBy, Doubt, Grade, Quality, Reason, Unsure};
pub use drain::{Drains, PartDrain};
pub use ground::Ground;
pub use inlet_access::{Bank, Beside, InletAccess, PondsFirst};
pub use lot_ponds::LotPond;
pub use outlets::{
    BuiltPipe, Downstream, DownstreamEnd, Meeting, NoLarger, PartOutlets, PassedOver, Untried, WayDrain,
    WayOut,
};
pub use overflow::Overflows;
pub use progress::{Phase, Progress, Silent};
pub(crate) use proof::last_place;
pub use proof::{InletReceived, LineProof};
pub use rasters::Rasters;
pub use repeats::{
    Certainty, Compared, CrossingCertainty, LikelihoodMap, OffData, ParcelCertainty, Settling, WantedShot,
};
pub use roofs::Roofs;
pub use settings::{CertaintySettings, DrainSettings, NamedOutlet, Settings};
pub use storm::Spilling;
pub use storms::{PartStorms, StormRow};
pub use town::{
    Cause, ClassReason, Classed, CommonSource, Crossed, Limit, LotScreen, Measure, PairRow, Ponding,
    RoutedTown, Rules, RulesError, ScreenSettings, ScreenStorm, Screening, Shedding, screen,
};
pub use why::{Comes, Decision, ExplainedWay, Explanation, Goes, WayStop};
pub use wider_setback::WiderSetback;

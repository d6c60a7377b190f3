//! Stage 4: whose water reaches the lot, and where it crosses the lot line.
//!
//! Takes routed ground ([`crate::flow::FlowField`]) and outlines of lots, gives a [`LotDrainage`]: the ledger of
//! contributions, the crossings, the main ways onto the lot, and what the lot itself sheds. Guarantees: every square
//! metre counts once; contributions, water handed over, and crossings each add up to the run-on. Never touches files.

mod arrival;
mod coverage;
mod covers;
mod crossings;
mod entries;
mod goal;
mod grouping;
mod handing;
mod labels;
mod leaving;
mod ledger;
mod line_places;
mod lot_line;
mod numbers;
mod pairs;
mod parcel_water;
mod paths;
mod scene;
mod sheds;
mod stretch;
mod turning;
mod ways;

pub use arrival::{Arrival, Step};
pub use coverage::{Coverage, coverage};
pub use covers::{CellCovers, GroundKey, Origin, WholeCells, origins_by_ground};
pub use crossings::{Boundary, Crossing, whole_steps};
pub use entries::{Descent, Entry, descend};
pub use goal::{Goal, OntoLot};
pub use grouping::{Group, Manner};
pub use labels::{CellLots, Label, TooManyLots, owner};
pub use leaving::LeavingStretch;
pub use ledger::{Contribution, contributions, origins, origins_weighted};
pub use line_places::LinePlaces;
pub use lot_line::{LinePosition, LotLine, LotLineError, LotRing, NearestPosition, RingKind};
pub use pairs::{Amount, Ledger, LotLines, Pair, Town, lot_lines};
pub use parcel_water::ParcelWater;
pub use paths::{FlowPath, main_paths};
pub use scene::{LEAST_SHARE, Scene};
pub use sheds::{Exit, Leaving, exits};
pub use stretch::{
    Inflow, Joining, Stretch, amount_within, separate, shortest_catching, widened, width_carrying,
};
pub use turning::{Turning, TurningSearch};
pub use ways::{LongestWay, WayField, WayTree};

use crate::grid::Georef;
use geo::MultiPolygon;
use handing::Handing;

/// Everything that is known of the water of one lot.
#[derive(Debug, Clone)]
pub struct LotDrainage {
    /// Area outside the lot whose rain reaches it, m².
    pub run_on_m2: f64,
    /// By lot, the largest first.
    pub contributions: Vec<Contribution>,
    /// By ring and start.
    pub crossings: Vec<Crossing>,
    /// Where along the lot line the water enters, one for each entry of the descent.
    pub inflows: Vec<Inflow>,
    /// The way of the water down to the lot.
    pub descent: Descent,
    /// Where the lot's own rain, and what crosses the lot, leaves it.
    pub exits: Vec<Exit>,
    /// Stretches of the lot line where it leaves, by ring and start.
    pub leaving: Vec<LeavingStretch>,
    /// The main ways onto the lot, the largest first.
    pub paths: Vec<FlowPath>,
}

/// The outlines of a window: the lot's line and all lots by label.
#[derive(Debug, Clone, Copy)]
pub struct Outlines<'a> {
    /// The subject's lot line.
    pub line: &'a LotLine,
    /// Outlines by label.
    pub all: &'a [&'a MultiPolygon<f64>],
    /// Place of the window.
    pub georef: Georef,
}

/// Follows the water down to the lot and books it.
///
/// `touches_edge` says which cells lie at the edge of the data.
#[must_use]
pub fn drainage(
    scene: &Scene<'_>,
    arrival: &Arrival,
    outlines: Outlines<'_>,
    touches_edge: impl Fn(usize) -> bool,
) -> LotDrainage {
    let owner = |point| owner(outlines.all, point).and_then(Label::of_place);
    let handing = Handing { lots: scene.lots, georef: outlines.georef, owner };
    let hands_over = |from: usize, into: usize| handing.over(from, into, scene.subject);
    let descent = descend(scene, arrival, touches_edge, hands_over);
    let exits = exits(scene, &descent.entries);
    let contributions = contributions(scene, arrival, &descent.entries);
    let boundary = Boundary {
        scene,
        line: outlines.line,
        georef: outlines.georef,
        entries: &descent.entries,
        exits: &exits,
    };
    let inflows = boundary.inflows();
    let crossings = boundary.crossings(&inflows, arrival);
    let leaving = boundary.leaving();
    let apart = cells_of_8_m(scene);
    let paths = main_paths(scene, &descent, &crossings, apart);
    // The sum of nothing is minus zero, which would show in the files.
    let run_on_m2 = descent.entries.iter().map(|e| e.area_m2).sum::<f64>() + 0.0;
    LotDrainage { run_on_m2, contributions, crossings, inflows, descent, exits, leaving, paths }
}

/// Paths of one crossing are drawn at least 8 m apart, so that a sheet shows as a few arrows.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive number")]
fn cells_of_8_m(scene: &Scene<'_>) -> usize {
    (8.0 / scene.cell.longer_m()).ceil() as usize
}

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
mod labels;
mod leaving;
mod ledger;

mod lot_line;
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
pub use crossings::{Boundary, Crossing, Manner, whole_steps};
pub use entries::{Descent, Entry, descend};
pub use goal::{Goal, OntoLot};
pub use labels::{CellLots, Label, TooManyLots, owner};
pub use leaving::LeavingStretch;
pub use ledger::{Contribution, contributions, origins, origins_weighted};
pub use lot_line::{LinePosition, LotLine, LotLineError, LotRing, NearestPosition, RingKind};
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
use geo::{Coord, MultiPolygon};

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
    let hands_over = |from: usize, into: usize| lot_before(scene, &outlines, from, into);
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

/// The lot just outside the line at a step onto the subject, however thin it is: looked for between the two centres.
fn lot_before(scene: &Scene<'_>, outlines: &Outlines<'_>, from: usize, into: usize) -> Label {
    /// Points looked at between the centres of two cells.
    const SAMPLES: i32 = 32;
    let label = scene.lots.label(from);
    let others = |cell: usize| {
        scene.lots.parts(cell).any(|(l, _)| l != label && l != scene.subject && l != Label::UNPARCELLED)
    };
    let Some(subject) = scene.subject.place().filter(|_| others(from) || others(into)) else { return label };
    let shape = scene.lots.shape();
    let ((x0, y0), (x1, y1)) =
        (outlines.georef.centre(shape.cell(from)), outlines.georef.centre(shape.cell(into)));
    for step in (0..SAMPLES).rev() {
        let t = f64::from(step) / f64::from(SAMPLES);
        let point = Coord { x: x0 + t * (x1 - x0), y: y0 + t * (y1 - y0) };
        match owner(outlines.all, point) {
            Some(place) if place == subject => {}
            Some(place) => return Label::of_place(place).unwrap_or(Label::UNPARCELLED),
            None => return Label::UNPARCELLED,
        }
    }
    label
}

//! Whether the data reach far enough.

use super::catchment::Routed;
use crate::lots::Crossing;
use serde::{Deserialize, Serialize};

/// A side of the data, or a hole in them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum EdgeSide {
    /// The raster's north edge.
    North,
    /// The raster's east edge.
    East,
    /// The raster's south edge.
    South,
    /// The raster's west edge.
    West,
    /// A hole in the elevations that is too large to bridge.
    Hole,
}

/// A part of the edge of the data from beyond which water may reach the lot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EdgePart {
    /// Which edge.
    pub side: EdgeSide,
    /// Length of it from which water reaches the lot, m.
    pub length_m: f64,
    /// More ground that should be added beyond it, m: as far again as from the lot to that edge.
    pub more_ground_m: f64,
}

impl EdgePart {
    /// Where, how much of the edge, and how much more ground is wanted.
    #[must_use]
    pub fn in_words(&self) -> String {
        let Self { length_m, more_ground_m, .. } = self;
        match self.side {
            EdgeSide::Hole => format!("a hole in the elevations ({length_m:.0} m of its rim)"),
            side => format!(
                "the raster's {} edge ({length_m:.0} m of it; at least {more_ground_m:.0} m more ground is needed there)",
                side.in_words()
            ),
        }
    }
}

impl EdgeSide {
    const fn in_words(self) -> &'static str {
        match self {
            Self::North => "north",
            Self::East => "east",
            Self::South => "south",
            Self::West => "west",
            Self::Hole => "inner",
        }
    }
}

/// Whether the catchment is known whole.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Completeness {
    /// Area of the crossings whose catchment meets the edge of the data, m².
    pub edge_limited_m2: f64,
    /// Edges concerned.
    pub edges: Vec<EdgePart>,
    /// How much the run-on would change if the ground just beyond the edge stood a decimetre higher, as a share of
    /// the run-on: a sink that the edge cuts could then spill towards the lot.
    pub bank_change: f64,
    /// Share of the lot itself that has no elevations: what crosses its line there isn't known.
    pub lot_without_elevation: f64,
}

/// Height of the imagined bank just beyond the edge, m: the usual error of elevation data, which could hide it.
pub(super) const BANK_M: f32 = 0.1;
/// A smaller share of the lot without elevations doesn't count: rounding of outlines.
const WITHOUT_ELEVATION_FLOOR: f64 = 1e-3;
/// A smaller change of the run-on by the bank doesn't count.
const BANK_CHANGE_FLOOR: f64 = 0.01;

impl Completeness {
    /// Whether a sink that the edge cuts could change the run-on.
    #[must_use]
    pub fn is_cut_by_sink(&self) -> bool {
        self.bank_change > BANK_CHANGE_FLOOR
    }

    /// Whether nothing is missing.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.edge_limited_m2 <= 0.0
            && !self.is_cut_by_sink()
            && self.lot_without_elevation <= WITHOUT_ELEVATION_FLOOR
    }
}

/// Looks at the crossings and at the edges that their water comes from.
pub(super) fn completeness(
    routed: &Routed,
    crossings: &[Crossing],
    lot_m2: f64,
    bank_change: f64,
) -> Completeness {
    // The sum of nothing is minus zero, which would show in the files.
    let edge_limited_m2: f64 = crossings.iter().filter(|c| !c.complete).map(|c| c.area_m2).sum::<f64>() + 0.0;
    let edges = if edge_limited_m2 > 0.0 { edge_parts(routed) } else { Vec::new() };
    let covered_m2: f64 = lot_cells(routed).map(|share| share * routed.ground.cell.area_m2()).sum();
    let lot_without_elevation = (1.0 - covered_m2 / lot_m2).max(0.0);
    Completeness { edge_limited_m2, edges, bank_change, lot_without_elevation }
}

/// Shares of the cells with an elevation that the lot covers.
fn lot_cells(routed: &Routed) -> impl Iterator<Item = f64> + '_ {
    let ground = &routed.ground;
    let cells = ground.lots.cells_of(ground.subject).chain(ground.lots.fringe_of(ground.subject));
    cells
        .filter(|&cell| !ground.raw.values()[cell].is_nan())
        .map(|cell| ground.lots.share(cell, ground.subject))
}

fn edge_parts(routed: &Routed) -> Vec<EdgePart> {
    let ground = &routed.ground;
    let shape = ground.raw.shape();
    let mut lengths: Vec<(EdgeSide, f64)> = Vec::new();
    for (place, &cell) in routed.reach.cells().iter().enumerate() {
        let cell = cell as usize;
        if routed.arrival.at_place(place) <= 0.0 || routed.is_subject(cell) {
            continue;
        }
        let Some(side) = ground.edge_side(cell) else { continue };
        let length = match side {
            EdgeSide::North | EdgeSide::South => ground.cell.dx_m,
            EdgeSide::East | EdgeSide::West => ground.cell.dy_m,
            EdgeSide::Hole => ground.cell.longer_m(),
        };
        match lengths.iter_mut().find(|(s, _)| *s == side) {
            Some((_, sum)) => *sum += length,
            None => lengths.push((side, length)),
        }
    }
    lengths.sort_by_key(|&(side, _)| side);
    let (mut top, mut bottom, mut left, mut right) = (shape.rows, 0, shape.cols, 0);
    for cell in ground.lots.cells_of(ground.subject) {
        let at = shape.cell(cell);
        (top, bottom) = (top.min(at.row), bottom.max(at.row));
        (left, right) = (left.min(at.col), right.max(at.col));
    }
    lengths
        .into_iter()
        .map(|(side, length_m)| {
            #[expect(clippy::cast_precision_loss, reason = "a number of rows or columns")]
            let way_m = match side {
                EdgeSide::North => top as f64 * ground.cell.dy_m,
                EdgeSide::South => (shape.rows - bottom) as f64 * ground.cell.dy_m,
                EdgeSide::West => left as f64 * ground.cell.dx_m,
                EdgeSide::East => (shape.cols - right) as f64 * ground.cell.dx_m,
                EdgeSide::Hole => 0.0,
            };
            EdgePart { side, length_m, more_ground_m: way_m.max(20.0).round() }
        })
        .collect()
}

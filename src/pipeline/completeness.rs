//! Whether the data reach far enough.

use super::catchment::Routed;
use super::ground::Ground;
use crate::flow::FlowField;
use crate::lots::LotDrainage;
use crate::wording::metres;
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
        let Self { length_m, more_ground_m, .. } = *self;
        match self.side {
            EdgeSide::Hole => format!(
                "where the elevations end (an irregular edge or a gap: {} of it; at least {} more ground is needed there)",
                metres(length_m, 0),
                metres(more_ground_m, 0)
            ),
            side => format!(
                "the raster's {} edge ({} of it; at least {} more ground is needed there)",
                side.in_words(),
                metres(length_m, 0),
                metres(more_ground_m, 0)
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
    /// Length of the lot itself that lies at an edge of the data from which its ground falls inwards: what enters over
    /// it isn't known, m.
    pub lot_at_edge_m: f64,
    /// How much the run-on would change if the ground just beyond the edge stood a decimetre higher, m²: a sink that
    /// the edge cuts could then spill towards the lot. 0 if the edge cuts the run-on anyway.
    pub bank_change_m2: f64,
    /// Whether that change is large enough to matter.
    pub cut_by_sink: bool,
    /// Share of the lot itself that has no elevations: what crosses its line there isn't known.
    pub lot_without_elevation: f64,
}

/// Height of the imagined bank just beyond the edge, m: the usual error of elevation data, which could hide it.
pub(super) const BANK_M: f32 = 0.1;
/// A smaller share of the lot without elevations doesn't count: rounding of outlines.
pub(super) const WITHOUT_ELEVATION_FLOOR: f64 = 1e-3;
/// A smaller change of the run-on by the bank doesn't count: share of the run-on, and area in cells.
const BANK_CHANGE_FLOOR: (f64, f64) = (0.01, 4.0);

impl Completeness {
    /// Whether nothing is missing.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.edge_limited_m2 <= 0.0
            && self.lot_at_edge_m <= 0.0
            && !self.cut_by_sink
            && self.lot_without_elevation <= WITHOUT_ELEVATION_FLOOR
    }
}

/// Looks at the crossings and at the edges that their water comes from.
pub(super) fn completeness(
    routed: &Routed,
    drainage: &LotDrainage,
    lot_m2: f64,
    bank_change_m2: f64,
) -> Completeness {
    let crossings = &drainage.crossings;
    // The sum of nothing is minus zero, which would show in the files.
    let edge_limited_m2: f64 = crossings.iter().filter(|c| !c.complete).map(|c| c.area_m2).sum::<f64>() + 0.0;
    let inward = lot_cells_at_edge(routed);
    let (area_floor, cell_floor) = BANK_CHANGE_FLOOR;
    let floor_m2 = (area_floor * drainage.run_on_m2).max(cell_floor * routed.ground.cell.area_m2());
    let covered_m2: f64 = lot_cells(routed).map(|share| share * routed.ground.cell.area_m2()).sum();
    let lot_without_elevation = (1.0 - covered_m2 / lot_m2).max(0.0);
    let lot_at_edge_m = inward.iter().map(|&(side, _)| edge_length_m(routed, side)).sum::<f64>() + 0.0;
    let edges = edge_parts(routed, edge_limited_m2 > 0.0, &inward);
    Completeness {
        edge_limited_m2,
        edges,
        lot_at_edge_m,
        bank_change_m2,
        cut_by_sink: bank_change_m2 > floor_m2,
        lot_without_elevation,
    }
}

/// Shares of the cells with an elevation that the lot covers.
fn lot_cells(routed: &Routed) -> impl Iterator<Item = f64> + '_ {
    let ground = &routed.ground;
    let cells = ground.lots.cells_of(ground.subject).chain(ground.lots.fringe_of(ground.subject));
    cells
        .filter(|&cell| !ground.raw.values()[cell].is_nan())
        .map(|cell| ground.lots.share(cell, ground.subject))
}

/// Cells of the lot at an edge of the data whose water runs on inwards: water from beyond would come in over them.
fn lot_cells_at_edge(routed: &Routed) -> Vec<(EdgeSide, usize)> {
    let ground = &routed.ground;
    let cells = ground.lots.cells_of(ground.subject).chain(ground.lots.fringe_of(ground.subject));
    cells
        .filter(|&cell| !ground.raw.values()[cell].is_nan() && !routed.field.leaves(cell))
        .filter_map(|cell| ground.edge_side(cell).map(|side| (side, cell)))
        .filter(|&(side, cell)| runs_inwards(ground, &routed.field, side, cell))
        .collect()
}

/// Whether a cell's water leaves an edge behind: its receivers lie further in. Water that runs along the edge says
/// nothing of what lies beyond.
pub(super) fn runs_inwards(ground: &Ground, field: &FlowField, side: EdgeSide, cell: usize) -> bool {
    let shape = ground.raw.shape();
    let at = shape.cell(cell);
    field.receivers(cell).into_iter().any(|(receiver, _)| {
        let to = shape.cell(receiver);
        match side {
            EdgeSide::North => to.row > at.row,
            EdgeSide::South => to.row < at.row,
            EdgeSide::West => to.col > at.col,
            EdgeSide::East => to.col < at.col,
            EdgeSide::Hole => ground.edge_side(receiver) != Some(EdgeSide::Hole),
        }
    })
}

fn edge_length_m(routed: &Routed, side: EdgeSide) -> f64 {
    let cell = routed.ground.cell;
    match side {
        EdgeSide::North | EdgeSide::South => cell.dx_m,
        EdgeSide::East | EdgeSide::West => cell.dy_m,
        EdgeSide::Hole => cell.longer_m(),
    }
}

/// Edges from beyond which water may come: through outside ground (if `through_crossings`), and straight onto the lot.
fn edge_parts(routed: &Routed, through_crossings: bool, inward: &[(EdgeSide, usize)]) -> Vec<EdgePart> {
    let ground = &routed.ground;
    let shape = ground.raw.shape();
    let mut lengths: Vec<(EdgeSide, f64)> = Vec::new();
    let mut add = |side: EdgeSide| match lengths.iter_mut().find(|(s, _)| *s == side) {
        Some((_, sum)) => *sum += edge_length_m(routed, side),
        None => lengths.push((side, edge_length_m(routed, side))),
    };
    let outside = routed.reach.cells().iter().enumerate().filter(|_| through_crossings);
    for (place, &cell) in outside {
        if routed.arrival.at_place(place) > 0.0 && !routed.is_subject(cell as usize) {
            ground.edge_side(cell as usize).into_iter().for_each(&mut add);
        }
    }
    for &(side, _) in inward {
        add(side);
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

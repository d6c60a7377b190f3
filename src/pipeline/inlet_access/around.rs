//! The ground beside inlets, and what passes it.

use super::super::catchment::Routed;
use super::NOISE_M;
use crate::error::Error;
use crate::flow::Reach;
use crate::grid::Cell;
use crate::terrain::{LowestWays, Standing, lowest_ways, standing_at};

/// Ground around an inlet that counts as beside it, m, and at least so many cells. Ours.
const BESIDE_M: f64 = 10.0;
const BESIDE_CELLS: f64 = 3.0;
/// An inlet's catchment is cut by the edge of what was read when so many cells' worth of its water comes from there.
const EDGE_FLOOR_CELLS: f64 = 1e-3;

/// The ground beside an inlet.
pub(super) struct Around {
    /// Distance of the inlet from the lot, m.
    pub(super) away_m: f64,
    /// Its place among those with a cell.
    pub(super) place: usize,
    /// The lowest ways to it.
    pub(super) ways: LowestWays,
    /// Ponds that lie beside it in part at least; puddles left out.
    pub(super) ponds: Vec<Standing>,
}

impl Around {
    pub(super) fn of(routed: &Routed, away_m: f64, place: usize) -> Self {
        let ground = &routed.ground;
        let ways = ways_beside(routed, place);
        let mut ponds: Vec<Standing> = Vec::new();
        for cell in ways.cells() {
            if ponds.iter().all(|pond| pond.cells.binary_search(&cell).is_err()) {
                let at = ground.raw.shape().cell(cell);
                ponds.extend(standing_at(&ground.raw, &routed.filled, ground.cell, at));
            }
        }
        ponds.retain(|pond| pond.depth_m >= NOISE_M);
        Self { away_m, place, ways, ponds }
    }

    /// Its cells, and those of its ponds that lie farther off.
    pub(super) fn cells(&self) -> impl Iterator<Item = usize> + '_ {
        self.ways.cells().chain(self.ponds.iter().flat_map(|pond| pond.cells.iter().copied()))
    }
}

fn ways_beside(routed: &Routed, place: usize) -> LowestWays {
    let ground = &routed.ground;
    let cell = ground.inlets.cells()[place];
    let reach_m = BESIDE_M.max(BESIDE_CELLS * ground.cell.longer_m());
    let at = ground.raw.shape().cell(cell);
    lowest_ways(&ground.raw, at, |other| apart_m(routed, at, other) <= reach_m)
}

pub(super) fn apart_m(routed: &Routed, a: Cell, b: Cell) -> f64 {
    let size = routed.ground.cell;
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (rows, cols) = (a.row.abs_diff(b.row) as f64, a.col.abs_diff(b.col) as f64);
    (rows * size.dy_m).hypot(cols * size.dx_m)
}

/// What passes the ground beside inlets.
pub(super) struct Passing {
    reach: Reach,
    /// Area above each place of the reach, its own included, m².
    area_m2: Vec<f64>,
    /// Cells' worth of it from the edge of the data or of the ground that was read.
    edge_cells: Vec<f32>,
}

impl Passing {
    /// One pass down the catchments of some cells, all together.
    pub(super) fn over(routed: &Routed, cells: impl Iterator<Item = usize>) -> Result<Self, Error> {
        let ground = &routed.ground;
        let reach = Reach::upstream_of(&routed.field, cells)?;
        let mut area_m2 = vec![ground.cell.area_m2(); reach.cells().len()];
        let mut edge_cells = vec![0.0_f32; reach.cells().len()];
        for (place, &cell) in reach.cells().iter().enumerate() {
            let cell = cell as usize;
            if ground.edge_side(cell).is_some() || ground.near_cut_sides(cell, 1).contains(&true) {
                edge_cells[place] += 1.0;
            }
            for (to, share) in routed.field.receivers(cell) {
                if let Some(next) = reach.place(to) {
                    area_m2[next] += share * area_m2[place];
                    #[expect(clippy::cast_possible_truncation, reason = "only compared with a floor")]
                    let handed = (share * f64::from(edge_cells[place])) as f32;
                    edge_cells[next] += handed;
                }
            }
        }
        Ok(Self { reach, area_m2, edge_cells })
    }

    pub(super) fn area_m2(&self, cell: usize) -> f64 {
        self.reach.place(cell).map_or(0.0, |place| self.area_m2[place])
    }

    pub(super) fn is_complete(&self, cell: usize) -> bool {
        self.reach.place(cell).is_some_and(|place| f64::from(self.edge_cells[place]) < EDGE_FLOOR_CELLS)
    }
}

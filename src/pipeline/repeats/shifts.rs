//! By how much the lots are moved on each surface, so that the lot stays on ground that is known.

use super::super::ground::Ground;
use crate::certainty::{ErrorModel, parcel_shifts};
use crate::grid::{Cell, CellSize, Grid};
use crate::terrain::{Rim, Side};

/// A lot that loses more than this share of its cells has gone off the data.
const LOST: f64 = 1e-3;
/// Draws for one realisation; when none of them leaves the lot on the data it stays in its place. Ours.
const TRIES: usize = 100;

/// The moves of all realisations, by their number.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shifts {
    all: Vec<Shift>,
}

/// By how much the lots are moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shift {
    /// East and north, m.
    pub(super) by_m: (f64, f64),
    /// Draws before it that took the lot off the data: [`TRIES`] if all did.
    off: usize,
}

/// Moves that took the lot off the data.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct OffData {
    /// Surfaces for which another move was drawn.
    pub drawn_again: usize,
    /// Surfaces on which the lot stays in its place, since no move that was drawn left it on the data.
    pub stays: usize,
}

impl OffData {
    /// Surfaces whose first move took the lot off the data.
    #[must_use]
    pub const fn all(self) -> usize {
        self.drawn_again + self.stays
    }
}

impl Shifts {
    /// Moves for so many realisations; nothing if one takes the lot over a side cut out of the data, where a window that
    /// `may_grow` has to.
    pub(super) fn of(
        ground: &Ground,
        model: &ErrorModel,
        seed: u64,
        realisations: usize,
        may_grow: bool,
    ) -> Option<Self> {
        let lot = LotOnGround::of(ground);
        let shift = |realisation: usize| {
            let mut off = 0;
            for by_m in parcel_shifts(model, seed, realisation as u64).take(TRIES) {
                match lot.moved(by_m) {
                    Landing::OnData => return Some(Shift { by_m, off }),
                    Landing::BeyondWindow if may_grow => return None,
                    Landing::BeyondWindow | Landing::OffData => off += 1,
                }
            }
            Some(Shift { by_m: (0.0, 0.0), off })
        };
        (0..realisations).map(shift).collect::<Option<Vec<_>>>().map(|all| Self { all })
    }

    /// That of a realisation.
    pub(super) fn at(&self, realisation: u64) -> (f64, f64) {
        usize::try_from(realisation).ok().and_then(|place| self.all.get(place)).map_or((0.0, 0.0), |s| s.by_m)
    }

    /// Among the first realisations those whose first move took the lot off the data.
    pub(super) fn off_data(&self, realisations: usize) -> OffData {
        let mut found = OffData::default();
        for shift in self.all.iter().take(realisations).filter(|shift| shift.off > 0) {
            if shift.off < TRIES {
                found.drawn_again += 1;
            } else {
                found.stays += 1;
            }
        }
        found
    }
}

/// Where a move takes the lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Landing {
    OnData,
    /// Some of it has no elevations that had them before.
    OffData,
    /// Some of it lies beyond a side that the window was cut out at.
    BeyondWindow,
}

/// The lot's cells as given.
struct LotOnGround<'a> {
    raw: &'a Grid<f32>,
    edges: Rim,
    cell: CellSize,
    cells: Vec<Cell>,
    /// Of these, with an elevation.
    known: usize,
    /// First and last row, first and last column.
    bounds: [usize; 4],
    has_holes: bool,
}

impl<'a> LotOnGround<'a> {
    fn of(ground: &'a Ground) -> Self {
        let shape = ground.raw.shape();
        let cells = ground.lots.cells_of(ground.subject).map(|index| shape.cell(index)).collect();
        Self::new(&ground.raw, ground.data_edges, ground.cell, cells)
    }

    fn new(raw: &'a Grid<f32>, edges: Rim, cell: CellSize, cells: Vec<Cell>) -> Self {
        let known = cells.iter().filter(|&&cell| !raw.at(cell).is_nan()).count();
        let ends = |of: fn(&Cell) -> usize| {
            let all = || cells.iter().map(of);
            [all().min().unwrap_or(0), all().max().unwrap_or(0)]
        };
        let ([top, bottom], [left, right]) = (ends(|cell| cell.row), ends(|cell| cell.col));
        let has_holes = raw.values().iter().any(|z| z.is_nan());
        Self { raw, edges, cell, cells, known, bounds: [top, bottom, left, right], has_holes }
    }

    /// Moved by whole cells, the nearest to the way.
    fn moved(&self, (east_m, north_m): (f64, f64)) -> Landing {
        #[expect(clippy::cast_possible_truncation, reason = "some cells; what is more is off the data")]
        let steps = |way_m: f64, step_m: f64| (way_m / step_m).round() as isize;
        let (right, down) = (steps(east_m, self.cell.dx_m), steps(-north_m, self.cell.dy_m));
        let shape = self.raw.shape();
        let [top, bottom, first, last] = self.bounds;
        let before = |from: usize, by: isize| from.checked_add_signed(by).is_none();
        let after = |to: usize, by: isize, count: usize| to.saturating_add_signed(by) >= count;
        let over = [
            (before(top, down), self.edges.north),
            (after(last, right, shape.cols), self.edges.east),
            (after(bottom, down, shape.rows), self.edges.south),
            (before(first, right), self.edges.west),
        ];
        if over.iter().any(|&(is_over, side)| is_over && side == Side::Closed) {
            return Landing::BeyondWindow;
        }
        if !self.has_holes && !over.iter().any(|&(is_over, _)| is_over) {
            return Landing::OnData;
        }
        let is_known = |cell: &&Cell| {
            let row = cell.row.checked_add_signed(down).filter(|&row| row < shape.rows);
            let col = cell.col.checked_add_signed(right).filter(|&col| col < shape.cols);
            row.zip(col).is_some_and(|(row, col)| !self.raw.at(Cell { row, col }).is_nan())
        };
        let lost = self.known.saturating_sub(self.cells.iter().filter(is_known).count());
        #[expect(clippy::cast_precision_loss, reason = "cells stay far below 2^52")]
        let is_off = lost as f64 > LOST * self.known as f64;
        if is_off { Landing::OffData } else { Landing::OnData }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::GridShape;

    /// A lot of 2 by 2 cells of 2 m at the east side of 4 by 5, a hole two cells west of it.
    fn moved(edges: Rim, by_m: (f64, f64)) -> Landing {
        let shape = GridShape { rows: 4, cols: 5 };
        let mut raw = Grid::new(shape, vec![1.0; 20]);
        raw.values_mut()[shape.index(Cell { row: 1, col: 1 })] = f32::NAN;
        let cells = [(1, 3), (1, 4), (2, 3), (2, 4)].map(|(row, col)| Cell { row, col });
        LotOnGround::new(&raw, edges, CellSize { dx_m: 2.0, dy_m: 2.0 }, cells.to_vec()).moved(by_m)
    }

    #[test]
    fn a_lot_goes_off_the_data_over_the_edge_and_into_a_hole() {
        for (by_m, landing) in [
            ((0.9, 0.9), Landing::OnData),
            ((1.1, 0.0), Landing::OffData),
            ((-2.0, 2.0), Landing::OnData),
            ((-4.0, 0.0), Landing::OffData),
            ((0.0, -4.0), Landing::OffData),
            ((1e9, -1e9), Landing::OffData),
        ] {
            assert_eq!(moved(Rim::OPEN, by_m), landing, "{by_m:?}");
        }
    }

    #[test]
    fn beyond_a_cut_side_lies_ground_that_can_be_read() {
        let cut = Rim { east: Side::Closed, ..Rim::OPEN };
        assert_eq!(moved(cut, (1.1, 0.0)), Landing::BeyondWindow);
        assert_eq!(moved(cut, (0.0, -4.0)), Landing::OffData);
    }
}

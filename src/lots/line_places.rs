//! Where along a lot line water goes over it, from the cells that it comes from and goes to.

use super::lot_line::{LinePosition, LotLine};
use super::stretch::Inflow;
use crate::grid::{CellSize, Georef, GridShape};
use geo::Coord;

/// A lot line over the cells of a window.
#[derive(Debug, Clone, Copy)]
pub struct LinePlaces<'a> {
    /// The lot line.
    pub line: &'a LotLine,
    /// Place of the window.
    pub georef: Georef,
    /// Rows and columns of the window.
    pub shape: GridShape,
    /// Size of a cell.
    pub cell: CellSize,
}

impl LinePlaces<'_> {
    /// Water on its way from a cell outside into a cell of the lot, spread over the width of a cell.
    #[must_use]
    pub fn inflow(&self, from: usize, into: usize, amount: f64) -> Inflow {
        let (outside, inside) = (self.centre(from), self.centre(into));
        let at = self.line.last_crossing(outside, inside).unwrap_or_else(|| self.nearest(inside));
        self.spread(at, amount)
    }

    /// Water at a cell, at the nearest place of the lot line.
    #[must_use]
    pub fn at_line(&self, cell: usize, amount: f64) -> Inflow {
        self.spread(self.nearest(self.centre(cell)), amount)
    }

    /// Inflow-free gaps longer than this separate crossings; narrower flows are concentrated, m.
    #[must_use]
    pub fn gap_m(&self) -> f64 {
        (3.0 * self.cell.longer_m()).max(3.0)
    }

    fn centre(&self, cell: usize) -> Coord {
        let (x, y) = self.georef.centre(self.shape.cell(cell));
        Coord { x, y }
    }

    fn nearest(&self, point: Coord) -> LinePosition {
        let nearest = self.line.nearest(point);
        LinePosition { ring: nearest.ring, chainage_m: nearest.chainage_m }
    }

    /// Spread over the width that a cell has along the line there.
    fn spread(&self, at: LinePosition, amount: f64) -> Inflow {
        let tangent = self.line.rings()[at.ring].direction_at(at.chainage_m);
        let half_width_m = 0.5 * (tangent.x.abs() * self.cell.dx_m + tangent.y.abs() * self.cell.dy_m);
        Inflow { ring: at.ring, chainage_m: at.chainage_m, half_width_m, amount }
    }
}

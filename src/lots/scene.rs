//! What the passes over one lot's catchment share.

use super::labels::{CellLots, Label};
use super::sheds::Leaving;
use crate::flow::{FlowField, Reach};
use crate::grid::{Cell, CellSize};

/// Shares of a cell's water below this are not followed further: one part in a million.
///
/// Proportional routing spreads a trace of water over ever wider ground. The cut makes the answer depend on a bounded
/// piece of ground, so that a window gives the same numbers as the whole raster. What it leaves out is below a
/// millionth of the ground concerned.
pub const LEAST_SHARE: f64 = 1e-6;

/// One lot on routed ground.
#[derive(Debug, Clone, Copy)]
pub struct Scene<'a> {
    /// Where water goes.
    pub field: &'a FlowField,
    /// The lot's cells and all cells above them.
    pub reach: &'a Reach,
    /// Whose cell is whose.
    pub lots: &'a CellLots,
    /// Cells where water goes below ground, into a storm inlet. Rising.
    pub inlets: &'a [usize],
    /// Size of a cell.
    pub cell: CellSize,
    /// Where the window's first cell lies in the whole raster: the same ground has the same ways in every window.
    pub origin: Cell,
    /// The lot.
    pub subject: Label,
    /// Shares below this are not followed.
    pub least_share: f64,
}

impl Scene<'_> {
    /// Whether the lot covers the cell's centre.
    #[must_use]
    pub fn is_subject(&self, cell: usize) -> bool {
        self.lots.label(cell) == self.subject
    }

    /// Where water goes that leaves the ground at a cell.
    #[must_use]
    pub fn leaving_at(&self, cell: usize) -> Leaving {
        self.inlets.binary_search(&cell).map_or(Leaving::OffTheData, Leaving::IntoInlet)
    }

    /// Share of the cell that lies outside the lot.
    #[must_use]
    pub fn share_outside(&self, cell: usize) -> f64 {
        if !self.is_subject(cell) && !self.lots.is_shared(cell) {
            return 1.0;
        }
        self.lots.parts(cell).filter(|&(label, _)| label != self.subject).map(|(_, share)| share).sum()
    }

    /// East and south from one cell to another, m.
    #[must_use]
    pub fn displacement(&self, from: usize, to: usize) -> (f64, f64) {
        let shape = self.lots.shape();
        let (a, b) = (shape.cell(from), shape.cell(to));
        #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
        let between = |a: usize, b: usize| b as f64 - a as f64;
        (between(a.col, b.col) * self.cell.dx_m, between(a.row, b.row) * self.cell.dy_m)
    }

    /// Length of the step between two cells: straight, also from a roof to where its water is let out.
    #[must_use]
    pub fn step_length(&self, from: usize, to: usize) -> f64 {
        self.cell.between_m(self.lots.shape(), from, to)
    }
}

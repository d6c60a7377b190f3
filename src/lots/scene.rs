//! What the passes over one lot's catchment share.

use super::labels::{CellLots, Label};
use crate::flow::{FlowField, Reach};
use crate::grid::CellSize;

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
    /// Size of a cell.
    pub cell: CellSize,
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

    /// Share of the cell that lies outside the lot.
    #[must_use]
    pub fn share_outside(&self, cell: usize) -> f64 {
        if !self.is_subject(cell) && !self.lots.is_shared(cell) {
            return 1.0;
        }
        self.lots.parts(cell).filter(|&(label, _)| label != self.subject).map(|(_, share)| share).sum()
    }

    /// Length of the step between two cells that touch.
    #[must_use]
    pub fn step_length(&self, from: usize, to: usize) -> f64 {
        let shape = self.lots.shape();
        let (a, b) = (shape.cell(from), shape.cell(to));
        match (a.row == b.row, a.col == b.col) {
            (true, _) => self.cell.dx_m,
            (_, true) => self.cell.dy_m,
            _ => self.cell.diagonal_m(),
        }
    }
}

//! The way of let-out water downstream, to the next lots and the first inlet.

use super::received::Spread;
use crate::lots::{Label, Leaving};

/// Where let-out water runs.
#[derive(Debug, Clone, PartialEq)]
pub struct DischargeWay {
    /// Cells from the outlet on, always to the receiver that gets the most.
    pub cells: Vec<usize>,
    /// Lots on this way in the order in which it comes to them, each once.
    pub lots: Vec<PassedLot>,
    /// The first inlet on the way, whether it takes the water or the ground falls on past it: place in the scene's list.
    pub first_inlet: Option<usize>,
    /// Where the way ends.
    pub end: Leaving,
}

/// A lot that let-out water comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PassedLot {
    /// The lot.
    pub label: Label,
    /// Share of the water that ever comes to it, on this way or beside it.
    pub share: f64,
}

impl Spread<'_> {
    /// The main way from a cell.
    pub(super) fn way_from(&self, start: usize) -> DischargeWay {
        let mut cells = vec![start];
        let mut at = start;
        while !self.scene.field.leaves(at) {
            let Some(next) = self.scene.field.receivers(at).main() else { break };
            cells.push(next);
            at = next;
        }
        let mut lots: Vec<PassedLot> = Vec::new();
        for &cell in &cells {
            let label = self.scene.lots.label(cell);
            if lots.iter().all(|lot| lot.label != label) {
                lots.push(PassedLot { label, share: self.arriving(self.unit_at(start), label) });
            }
        }
        let first_inlet = cells.iter().find_map(|cell| self.scene.inlets.binary_search(cell).ok());
        DischargeWay { end: self.scene.leaving_at(at), cells, lots, first_inlet }
    }
}

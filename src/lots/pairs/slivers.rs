//! Parts of a lot's own cells that lie across its line: whether their water comes onto the lot.
//!
//! The rule is that of the ledger of one lot ([`crate::lots::Arrival`]): such a part enters where the next cell has less ground
//! outside, else it stays outside alongside the line.

use super::{Town, forest::Forest};
use crate::lots::LEAST_SHARE;
use crate::lots::arrival::entering_share;

/// What comes of the part outside of one shared cell.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sliver {
    /// The cell.
    pub(super) cell: usize,
    /// Share of its water that comes onto the cell's own lot in the end.
    pub(super) arriving: f64,
    /// Share that does so at the next step.
    pub(super) at_once: f64,
}

/// All shared cells with ground, rising.
pub(super) fn slivers(town: &Town<'_>, forest: &Forest) -> Vec<Sliver> {
    let mut found: Vec<Sliver> = town
        .lots
        .shared_cells()
        .filter(|&cell| town.field.is_valid(cell))
        .map(|cell| Sliver { cell, arriving: 0.0, at_once: 0.0 })
        .collect();
    let place = |found: &[Sliver], cell: usize| found.binary_search_by_key(&cell, |sliver| sliver.cell).ok();
    // Receivers first.
    for &cell in town.order.cells().iter().rev() {
        let cell = cell as usize;
        if !town.lots.is_shared(cell) {
            continue;
        }
        let Some(own) = place(&found, cell) else { continue };
        let further = |receiver: usize| place(&found, receiver).map_or(0.0, |place| found[place].arriving);
        let (arriving, at_once) = shares(town, forest, cell, further);
        found[own].arriving = if arriving < LEAST_SHARE { 0.0 } else { arriving };
        found[own].at_once = at_once;
    }
    found
}

/// What arrives in the end, and at the next step.
fn shares(town: &Town<'_>, forest: &Forest, cell: usize, further: impl Fn(usize) -> f64) -> (f64, f64) {
    let own = town.lots.label(cell);
    let outside = town.share_outside(cell, own);
    let Some(receiver) = town.receiver(cell).filter(|_| outside > 0.0) else { return (0.0, 0.0) };
    if town.lots.label(receiver) != own {
        let comes_back = forest.first(receiver).and_then(|first| forest.onto(own, first)).is_some();
        return (if comes_back { 1.0 } else { 0.0 }, 0.0);
    }
    let entering = entering_share(outside, town.share_outside(receiver, own));
    (entering + (1.0 - entering) * further(receiver), entering)
}

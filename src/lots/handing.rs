//! Which lot hands water over at a step onto another.

use super::labels::{CellLots, Label};
use crate::grid::Georef;
use geo::Coord;

/// Points looked at between the centres of two cells.
const SAMPLES: i32 = 32;

/// Outlines of lots over the cells of a window.
pub(super) struct Handing<'a, F> {
    /// Whose cell is whose.
    pub(super) lots: &'a CellLots,
    /// Place of the window.
    pub(super) georef: Georef,
    /// The lot that covers a point; nothing for land without one.
    pub(super) owner: F,
}

impl<F: Fn(Coord) -> Option<Label>> Handing<'_, F> {
    /// The lot just outside the line at a step onto a lot, however thin it is: looked for between the two centres.
    pub(super) fn over(&self, from: usize, into: usize, onto: Label) -> Label {
        let label = self.lots.label(from);
        let others = |cell: usize| {
            self.lots.parts(cell).any(|(l, _)| l != label && l != onto && l != Label::UNPARCELLED)
        };
        if onto == Label::UNPARCELLED || !(others(from) || others(into)) {
            return label;
        }
        let shape = self.lots.shape();
        let ((x0, y0), (x1, y1)) =
            (self.georef.centre(shape.cell(from)), self.georef.centre(shape.cell(into)));
        for step in (0..SAMPLES).rev() {
            let t = f64::from(step) / f64::from(SAMPLES);
            let owner = (self.owner)(Coord { x: x0 + t * (x1 - x0), y: y0 + t * (y1 - y0) });
            if owner != Some(onto) {
                return owner.unwrap_or(Label::UNPARCELLED);
            }
        }
        label
    }
}

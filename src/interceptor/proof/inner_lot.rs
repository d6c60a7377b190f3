//! The lot's ground behind the setback, on which a line lies, and where the run-on comes onto it.

use super::Coming;
use super::fence::middle;
use crate::grid::{Georef, GridShape};
use crate::interceptor::alignment::inset;
use crate::lots::{CellLots, Entry, Inflow, Label, LotLine, Scene, TooManyLots};
use crate::units::Length;

/// The lot's ground no nearer to the lot line than the setback.
#[derive(Debug, Clone)]
pub struct InnerLot {
    outline: LotLine,
    georef: Georef,
    cells: CellLots,
}

impl InnerLot {
    /// Of a lot; nothing where the setback leaves nothing of it.
    ///
    /// # Errors
    /// [`TooManyLots`], never for one outline.
    pub fn new(
        line: &LotLine,
        setback: Length,
        shape: GridShape,
        georef: Georef,
    ) -> Result<Option<Self>, TooManyLots> {
        let Some(outline) = inset(line, setback.as_m()) else { return Ok(None) };
        let cells = CellLots::new(shape, georef, &[outline.lot()])?;
        Ok(Some(Self { outline, georef, cells }))
    }

    /// Whether the middle of a cell lies behind the setback.
    pub(super) fn has(&self, cell: usize) -> bool {
        self.cells.label(cell) != Label::UNPARCELLED
    }

    /// Where run-on that comes to no part of a line comes behind the setback first, by place of the lot line beside it; without
    /// a part all of it.
    ///
    /// # Units
    /// The amounts in m² of ground whose rain it is.
    ///
    /// # Method
    /// As in the proof water goes from middle to middle. Where its step crosses the outline of the ground behind the setback a
    /// line there would take it; the place of the lot line is the next one to that crossing, and the water is spread over
    /// the width that a cell has along it. Of what comes to a part farther on only the rest counts; water in a gutter crosses no
    /// line.
    #[must_use]
    pub fn passing(&self, coming: &Coming<'_>, entries: &[Entry]) -> Vec<Inflow> {
        let scene = coming.scene;
        let mut found = Vec::new();
        let mut loads = vec![0.0; scene.reach.cells().len()];
        let mut step = |loads: &mut Vec<f64>, (from, to): (usize, usize), area_m2: f64| {
            let passing_m2 = area_m2 * (1.0 - coming.of_any(to));
            if !self.has(to) {
                if let Some(next) = scene.reach.place(to) {
                    loads[next] += area_m2;
                }
            } else if passing_m2 > 0.0 && (from == to || scene.field.facet(from).is_some()) {
                found.push(self.inflow(scene, coming.line, (from, to), passing_m2));
            }
        };
        for entry in entries.iter().filter(|entry| coming.crossed_at_entry(entry).is_none()) {
            step(&mut loads, (entry.from, entry.into), entry.area_m2);
        }
        for (place, &cell) in scene.reach.cells().iter().enumerate() {
            let (cell, load_m2) = (cell as usize, loads[place]);
            if load_m2 <= 0.0 {
                continue;
            }
            for (to, share) in scene.field.receivers(cell) {
                if coming.fence.step_at_lot(scene, cell, to).is_none() {
                    step(&mut loads, (cell, to), load_m2 * share);
                }
            }
        }
        found
    }

    fn inflow(
        &self,
        scene: &Scene<'_>,
        line: &LotLine,
        (from, to): (usize, usize),
        amount: f64,
    ) -> Inflow {
        let shape = scene.field.shape();
        let [start, end] = [from, to].map(|cell| middle(self.georef, shape, cell));
        let crossing = (from != to).then(|| self.outline.last_crossing(start, end)).flatten();
        let at = crossing.map_or(end, |at| self.outline.rings()[at.ring].point_at(at.chainage_m));
        let beside = line.nearest(at);
        let along = line.rings()[beside.ring].direction_at(beside.chainage_m);
        let half_width_m = 0.5 * (along.x.abs() * scene.cell.dx_m + along.y.abs() * scene.cell.dy_m);
        Inflow { ring: beside.ring, chainage_m: beside.chainage_m, half_width_m, amount }
    }
}

//! The lot's ground behind the setback, on which a line lies, and where the run-on comes onto it.

use super::Coming;
use super::fence::{Crossed, Fence};
use crate::grid::{CellSize, Georef, GridShape};
use crate::interceptor::alignment::inset;
use crate::lots::{CellLots, Entry, Inflow, Label, LotLine, Scene, TooManyLots};
use crate::units::Length;
use geo::LineString;

/// The lot's ground no nearer to the lot line than the setback.
#[derive(Debug, Clone)]
pub struct InnerLot {
    outline: LotLine,
    /// Along the outline: its parts are the outline's rings.
    fence: Fence,
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
        let rings: Vec<LineString> = outline.rings().iter().map(|r| r.points().to_vec().into()).collect();
        let rings: Vec<&LineString> = rings.iter().collect();
        let fence = Fence::new(&rings, line.metres_per_unit(), shape, georef);
        let cells = CellLots::new(shape, georef, &[outline.lot()])?;
        Ok(Some(Self { outline, fence, cells }))
    }

    /// Whether the middle of a cell lies behind the setback.
    fn has(&self, cell: usize) -> bool {
        self.cells.label(cell) != Label::UNPARCELLED
    }

    /// Where a step, or a sliver's water, comes behind the setback; water in a gutter comes there without
    /// crossing its outline.
    fn crossed(&self, scene: &Scene<'_>, line: &LotLine, (from, to): (usize, usize)) -> Option<Crossed> {
        if from == to { self.fence.sliver(line, to) } else { self.fence.step_at_lot(scene, from, to) }
    }

    /// Whether water that goes from a cell to a cell of the lot comes behind the setback, were it only around
    /// a corner of it.
    pub(super) fn is_reached(&self, scene: &Scene<'_>, line: &LotLine, step: (usize, usize)) -> bool {
        self.has(step.1) || self.crossed(scene, line, step).is_some()
    }

    /// Where run-on that comes to no part of a line comes behind the setback first, by place of the lot line
    /// beside it; without a part all of it.
    ///
    /// # Units
    /// The amounts in m² of ground whose rain it is.
    ///
    /// # Method
    /// As in the proof water goes from middle to middle. Where its step crosses the outline of the ground
    /// behind the setback a line there would take it; the place of the lot line is the next one to that
    /// crossing, and the water is spread over the width that a cell has along it. Of what comes to a part
    /// farther on only the rest counts; water in a gutter crosses no line.
    #[must_use]
    pub fn passing(&self, coming: &Coming<'_>, entries: &[Entry]) -> Vec<Inflow> {
        let scene = coming.scene;
        let mut found = Vec::new();
        let mut loads = vec![0.0; scene.reach.cells().len()];
        let mut go = |loads: &mut Vec<f64>, (from, to): (usize, usize), area_m2: f64| {
            let onto_lot = scene.is_subject(to);
            match self.crossed(scene, coming.line, (from, to)).filter(|_| onto_lot) {
                Some(at) => {
                    let passing_m2 = area_m2 * (1.0 - coming.of_any(to));
                    found.push(self.inflow(scene.cell, coming.line, at, passing_m2));
                }
                None if onto_lot && self.has(to) => {}
                None => {
                    if let Some(next) = scene.reach.place(to) {
                        loads[next] += area_m2;
                    }
                }
            }
        };
        for entry in entries.iter().filter(|entry| coming.crossed_at_entry(entry).is_none()) {
            go(&mut loads, (entry.from, entry.into), entry.area_m2);
        }
        for (place, &cell) in scene.reach.cells().iter().enumerate() {
            let (cell, load_m2) = (cell as usize, loads[place]);
            if load_m2 <= 0.0 {
                continue;
            }
            for (to, share) in scene.field.receivers(cell) {
                if coming.fence.step_at_lot(scene, cell, to).is_none() {
                    go(&mut loads, (cell, to), load_m2 * share);
                }
            }
        }
        found.retain(|inflow| inflow.amount > 0.0);
        found
    }

    fn inflow(&self, cell: CellSize, line: &LotLine, at: Crossed, amount: f64) -> Inflow {
        let beside = line.nearest(self.outline.rings()[at.part].point_at(at.station_m));
        let along = line.rings()[beside.ring].direction_at(beside.chainage_m);
        let half_width_m = 0.5 * (along.x.abs() * cell.dx_m + along.y.abs() * cell.dy_m);
        Inflow { ring: beside.ring, chainage_m: beside.chainage_m, half_width_m, amount }
    }
}

//! Where a full pond passes water on.

use super::Pond;
use crate::grid::{Cell, CellSet, Direction, Grid};

/// Searches for spill cells on one pair of surfaces.
pub(super) struct Spills<'a> {
    raw: &'a Grid<f32>,
    filled: &'a Grid<f32>,
    /// Cells that the search has met; empty between searches.
    met: CellSet,
}

impl<'a> Spills<'a> {
    pub(super) fn new(raw: &'a Grid<f32>, filled: &'a Grid<f32>) -> Self {
        Self { raw, filled, met: CellSet::none_of(raw.values().len()) }
    }

    /// The nearest cell level with the pond beside which water stands lower; if there is none, the nearest dry one
    /// at the edge of the ground.
    pub(super) fn find(&mut self, pond: &Pond) -> Option<Cell> {
        let shape = self.raw.shape();
        let mut queue: Vec<Cell> = pond.cells().collect();
        for &cell in &queue {
            self.met.insert(shape.index(cell));
        }
        let found = self.search(&mut queue);
        for cell in queue {
            self.met.remove(shape.index(cell));
        }
        found
    }

    /// Adds to the queue whatever it meets.
    fn search(&mut self, queue: &mut Vec<Cell>) -> Option<Cell> {
        let shape = self.raw.shape();
        let level = queue.first().map(|&cell| *self.filled.at(cell))?;
        let mut at_edge = None;
        let mut done = 0;
        while let Some(&cell) = queue.get(done) {
            done += 1;
            let dry = self.raw.at(cell) >= self.filled.at(cell);
            for direction in Direction::ALL {
                let next = shape.neighbour(cell, direction);
                let Some((next, water)) = next.map(|next| (next, *self.filled.at(next))) else {
                    at_edge = at_edge.or(dry.then_some(cell));
                    continue;
                };
                if water < level {
                    return Some(cell);
                }
                if water.is_nan() {
                    at_edge = at_edge.or(dry.then_some(cell));
                }
                if water <= level && self.met.insert(shape.index(next)) {
                    queue.push(next);
                }
            }
        }
        at_edge
    }
}

//! Where a full pond passes water on.

use super::Pond;
use crate::grid::{Cell, Direction, Grid};
use std::collections::VecDeque;

/// Searches for spill cells on one pair of surfaces.
pub(super) struct Spills<'a> {
    raw: &'a Grid<f32>,
    filled: &'a Grid<f32>,
    /// For each cell the number of the search that met it last.
    met: Vec<u32>,
    searches: u32,
}

impl<'a> Spills<'a> {
    pub(super) fn new(raw: &'a Grid<f32>, filled: &'a Grid<f32>) -> Self {
        Self { raw, filled, met: vec![0; raw.values().len()], searches: 0 }
    }

    /// The nearest cell level with the pond beside which water stands lower; if there is none, the nearest dry one
    /// at the edge of the ground.
    pub(super) fn find(&mut self, pond: &Pond) -> Option<Cell> {
        let shape = self.raw.shape();
        self.searches += 1;
        let mut queue: VecDeque<Cell> = pond.cells().collect();
        let level = queue.front().map(|&cell| *self.filled.at(cell))?;
        for &cell in &queue {
            self.met[shape.index(cell)] = self.searches;
        }
        let mut at_edge = None;
        while let Some(cell) = queue.pop_front() {
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
                let index = shape.index(next);
                if self.met[index] != self.searches && water <= level {
                    self.met[index] = self.searches;
                    queue.push_back(next);
                }
            }
        }
        at_edge
    }
}

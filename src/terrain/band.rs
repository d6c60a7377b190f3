//! One band of rows: what can be decided about its basins without looking further.

use super::Rim;
use super::graph::{Fate, OUTSIDE, Pass, fates};
use super::label::{Saddle, Scan, scan};
use crate::grid::{Cell, Direction, Grid, OFFSETS};

/// The basins of a band.
#[derive(Debug)]
pub(super) struct Band {
    /// First row.
    pub(super) first_row: usize,
    /// What becomes of a basin.
    pub(super) fates: Vec<Fate>,
    /// Number of exits: basins that reach the band's first or last row.
    pub(super) exits: u32,
    /// Passes between exits, and out.
    pub(super) passes: Vec<Pass>,
    /// Cells of the first and last row where basins may touch.
    pub(super) seams: Vec<Saddle>,
    /// First place of an infinite elevation.
    pub(super) infinite: Option<usize>,
}

/// What a band is cut from.
#[derive(Clone, Copy)]
pub(super) struct Ground<'a> {
    /// Elevations.
    pub(super) raw: &'a Grid<f32>,
    /// Sides.
    pub(super) rim: Rim,
    /// Further ways out as places and levels, by place.
    pub(super) outlets: &'a [(usize, f32)],
}

impl Band {
    /// Labels a band's cells and decides what its own passes decide.
    pub(super) fn new(ground: Ground<'_>, first_row: usize, labels: &mut [u32]) -> Self {
        let cols = ground.raw.shape().cols;
        let Scan { basins, saddles, holes, infinite } = scan(ground.raw.values(), cols, first_row, labels);
        let mut maker = Maker { ground, first_row, labels, passes: Vec::new() };
        maker.inner_passes(&saddles);
        maker.ways_out(&holes);
        let (exits, count) = maker.exits(basins);
        let (fates, passes) = fates(&exits, &maker.passes);
        let last_row = labels.len() - cols;
        // From copies, since a list that is filtered in its own place keeps the room that it had.
        let at_seam = |saddle: &Saddle| saddle.at() < cols || saddle.at() >= last_row;
        let seams = saddles.iter().copied().filter(at_seam).collect();
        Self { first_row, fates, exits: count, passes, seams, infinite }
    }
}

struct Maker<'a> {
    ground: Ground<'a>,
    first_row: usize,
    labels: &'a [u32],
    passes: Vec<Pass>,
}

impl Maker<'_> {
    fn basin(&self, at: usize) -> u32 {
        self.labels[at]
    }

    /// Passes at saddles whose basins both lie in the band.
    fn inner_passes(&mut self, saddles: &[Saddle]) {
        let cols = self.ground.raw.shape().cols;
        let values = &self.ground.raw.values()[self.first_row * cols..];
        let steps = OFFSETS.map(|(down, right)| down.wrapping_mul(cols.cast_signed()) + right);
        for saddle in saddles {
            let at = saddle.at();
            let from = self.basin(at);
            let mut groups = saddle.groups();
            while groups != 0 {
                let below = at.wrapping_add_signed(steps[groups.trailing_zeros() as usize]);
                groups &= groups - 1;
                if below < self.labels.len() {
                    let to = self.basin(below);
                    if to != from {
                        self.passes.push(Pass { level: values[at], from, to });
                    }
                }
            }
        }
    }

    /// Passes over the rim, into holes and through outlets.
    fn ways_out(&mut self, holes: &[bool]) {
        let Ground { raw, rim, outlets } = self.ground;
        let shape = raw.shape();
        let start = self.first_row * shape.cols;
        let rows = self.first_row..self.first_row + holes.len();
        let has_hole = |row: usize| {
            if rows.contains(&row) {
                return holes[row - rows.start];
            }
            row < shape.rows && raw.values()[shape.cols * row..][..shape.cols].iter().any(|z| z.is_nan())
        };
        for row in rows.clone() {
            let near_hole = (row.saturating_sub(1)..=row + 1).any(has_hole);
            // Inside, only the first and the last column can be a way out.
            let whole = near_hole || row == 0 || row + 1 == shape.rows;
            let step = if whole { 1 } else { (shape.cols - 1).max(1) };
            for col in (0..shape.cols).step_by(step) {
                let cell = Cell { row, col };
                let level = *raw.at(cell);
                let out = || rim.lets_out(shape, cell) || (near_hole && touches_hole(raw, cell));
                if !level.is_nan() && out() {
                    let from = self.basin(shape.index(cell) - start);
                    self.passes.push(Pass { level, from, to: OUTSIDE });
                }
            }
        }
        let place = |at| outlets.partition_point(|&(outlet, _)| outlet < at);
        for &(outlet, level_m) in &outlets[place(start)..place(start + self.labels.len())] {
            let level = raw.values()[outlet].max(level_m);
            self.passes.push(Pass { level, from: self.basin(outlet - start), to: OUTSIDE });
        }
    }

    /// Numbers the basins that reach the first or the last row.
    fn exits(&self, basins: usize) -> (Vec<Option<u32>>, u32) {
        let cols = self.ground.raw.shape().cols;
        let mut exits = vec![None; basins];
        let mut count = 0;
        let last_row = self.labels.len() - cols;
        for at in (0..cols).chain(last_row..self.labels.len()) {
            exits[self.basin(at) as usize].get_or_insert_with(|| {
                count += 1;
                count - 1
            });
        }
        (exits, count)
    }
}

/// Whether any of the eight neighbours is a hole.
fn touches_hole(raw: &Grid<f32>, cell: Cell) -> bool {
    Direction::ALL
        .into_iter()
        .any(|direction| raw.shape().neighbour(cell, direction).is_some_and(|next| raw.at(next).is_nan()))
}

//! Ponds: where filling raised the ground.

use super::spill::Spills;
use crate::grid::{Cell, CellSize, Grid};

/// A stretch of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// Row.
    pub row: usize,
    /// First column.
    pub first_col: usize,
    /// Column after the last.
    pub end_col: usize,
}

impl Run {
    /// Its cells, from the west.
    pub fn cells(self) -> impl Iterator<Item = Cell> {
        (self.first_col..self.end_col).map(move |col| Cell { row: self.row, col })
    }
}

/// Cells that fill with water to one level and touch one another (eight neighbours).
///
/// # Invariants
/// At least one cell; every cell's ground lies below the level.
#[derive(Debug, Clone, PartialEq)]
pub struct Pond {
    /// Number from 1, the largest volume first, so that 0 is left for "no pond".
    pub id: u32,
    /// Level at which it passes water on, in metres.
    pub level_m: f64,
    /// Depth at the deepest cell, in metres.
    pub depth_m: f64,
    /// Area in square metres.
    pub area_m2: f64,
    /// Volume in cubic metres.
    pub volume_m3: f64,
    /// The deepest cell; of several the first, row by row.
    pub deepest: Cell,
    /// The cell over which water leaves once the pond is full: level with it, outside it or at the edge of the
    /// ground, and nearest in steps among those with lower water beside them. `None` where water can only leave
    /// through an outlet in the pond.
    pub spill: Option<Cell>,
    /// Its cells, row by row.
    pub runs: Vec<Run>,
}

impl Pond {
    /// Its cells, row by row.
    pub fn cells(&self) -> impl Iterator<Item = Cell> + '_ {
        self.runs.iter().flat_map(|run| run.cells())
    }
}

/// Lists the ponds at least `min_depth_m` deep, the largest volume first, ties by the first cell.
///
/// # Units
/// Metres for both surfaces and the depth.
///
/// # Panics
/// If the two grids differ in shape: a fault of the caller.
#[must_use]
pub fn ponds(raw: &Grid<f32>, filled: &Grid<f32>, cell: CellSize, min_depth_m: f32) -> Vec<Pond> {
    assert_eq!(raw.shape(), filled.shape(), "the filled surface belongs to the ground");
    let mut spills = Spills::new(raw, filled);
    let mut ponds: Vec<Pond> = gather(raw, filled, f64::from(min_depth_m))
        .into_iter()
        .map(|runs| measure(runs, raw, filled, cell))
        .collect();
    ponds.sort_by(|a, b| b.volume_m3.total_cmp(&a.volume_m3).then_with(|| first(a).cmp(&first(b))));
    for (id, pond) in (1..).zip(&mut ponds) {
        pond.id = id;
        pond.spill = spills.find(pond);
    }
    ponds
}

fn first(pond: &Pond) -> Cell {
    Cell { row: pond.runs[0].row, col: pond.runs[0].first_col }
}

fn measure(runs: Vec<Run>, raw: &Grid<f32>, filled: &Grid<f32>, cell: CellSize) -> Pond {
    let mut deepest = Cell { row: runs[0].row, col: runs[0].first_col };
    let level_m = f64::from(*filled.at(deepest));
    let (mut depth_m, mut sum_m, mut cells) = (0.0, 0.0, 0_u32);
    for at in runs.iter().flat_map(|run| run.cells()) {
        let depth = depth(level_m, raw, at);
        if depth > depth_m {
            (depth_m, deepest) = (depth, at);
        }
        sum_m += depth;
        cells += 1;
    }
    Pond {
        id: 0,
        level_m,
        depth_m,
        area_m2: f64::from(cells) * cell.area_m2(),
        volume_m3: sum_m * cell.area_m2(),
        deepest,
        spill: None,
        runs,
    }
}

/// Depth in metres at a cell of a pond that stands at `level_m`.
fn depth(level_m: f64, raw: &Grid<f32>, cell: Cell) -> f64 {
    // Both are exact as f64, and so is nearly always their difference.
    level_m - f64::from(*raw.at(cell))
}

/// The runs of each pond that is deep enough, in the order of first cells.
fn gather(raw: &Grid<f32>, filled: &Grid<f32>, min_depth_m: f64) -> Vec<Vec<Run>> {
    let mut runs: Vec<Run> = Vec::new();
    let mut above: Vec<usize> = Vec::new();
    let mut earlier = 0..0;
    for row in 0..raw.shape().rows {
        let start = runs.len();
        find_runs(raw, filled, row, &mut runs);
        above.extend(start..runs.len());
        for number in start..runs.len() {
            let run = runs[number];
            // Runs that end before this one's western neighbour can't touch a later one either.
            while earlier.start < earlier.end && runs[earlier.start].end_col < run.first_col {
                earlier.start += 1;
            }
            for other in earlier.clone().take_while(|&other| runs[other].first_col <= run.end_col) {
                if level(filled, runs[other]) == level(filled, run) {
                    let (a, b) = (head(&mut above, other), head(&mut above, number));
                    above[a.max(b)] = a.min(b);
                }
            }
        }
        earlier = start..runs.len();
    }
    // Rough ground has puddles everywhere: what is too shallow must not take room of its own.
    let mut deepest = vec![0.0_f64; runs.len()];
    for (number, &run) in runs.iter().enumerate() {
        let top = head(&mut above, number);
        let level_m = f64::from(*filled.at(Cell { row: run.row, col: run.first_col }));
        deepest[top] = run.cells().map(|cell| depth(level_m, raw, cell)).fold(deepest[top], f64::max);
    }
    let mut place = vec![usize::MAX; runs.len()];
    let mut ponds: Vec<Vec<Run>> = Vec::new();
    for (number, run) in runs.into_iter().enumerate() {
        let top = head(&mut above, number);
        if deepest[top] < min_depth_m {
            continue;
        }
        if place[top] == usize::MAX {
            place[top] = ponds.len();
            ponds.push(Vec::new());
        }
        ponds[place[top]].push(run);
    }
    ponds
}

/// Bits, because levels are compared for being the same number.
fn level(filled: &Grid<f32>, run: Run) -> u32 {
    // Adding 0 makes the two zeros one.
    (filled.at(Cell { row: run.row, col: run.first_col }) + 0.0).to_bits()
}

fn find_runs(raw: &Grid<f32>, filled: &Grid<f32>, row: usize, runs: &mut Vec<Run>) {
    let cols = raw.shape().cols;
    let cells = row * cols..(row + 1) * cols;
    let mut open: Option<(usize, u32)> = None;
    for (col, (z, f)) in raw.values()[cells.clone()].iter().zip(&filled.values()[cells]).enumerate() {
        let here = (f > z).then(|| (f + 0.0).to_bits());
        if let Some((first_col, level)) = open
            && here != Some(level)
        {
            runs.push(Run { row, first_col, end_col: col });
            open = None;
        }
        if let (None, Some(level)) = (open, here) {
            open = Some((col, level));
        }
    }
    if let Some((first_col, _)) = open {
        runs.push(Run { row, first_col, end_col: cols });
    }
}

fn head(above: &mut [usize], mut number: usize) -> usize {
    while above[number] != number {
        above[number] = above[above[number]];
        number = above[number];
    }
    number
}

#[cfg(test)]
mod tests;

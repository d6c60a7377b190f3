//! The level at which water beyond a window's edge finds a way off the data.
//!
//! A window is filled twice: with its edge as an outlet, which can only be too low, and with its edge as a wall but for
//! its lowest cell, which can only be too high if that cell is given the level at which its water really gets away.
//! This flood finds that level: it spreads from the cell over the whole raster, always at the lowest place next, until
//! it comes to the edge of the data. Ground is read in blocks, as it is needed.

use crate::grid::{Cell, GridShape};
use crate::input::{InputError, Survey, Window};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap, HashSet};

/// Side of the blocks that are read, in cells.
const BLOCK: usize = 256;
/// Most cells that one flood visits; beyond, its level so far is what is known.
const MOST_CELLS: usize = 20_000_000;

/// Level at which water at `start` gets off the data; `None` if so many cells had to be visited that it stays open.
///
/// # Errors
/// What reading the raster gives.
pub(super) fn level_of_way_out(survey: &Survey, start: Cell) -> Result<Option<f32>, InputError> {
    let shape = survey.shape();
    let mut blocks = Blocks { survey, shape, read: BTreeMap::new() };
    let mut seen: HashSet<usize> = HashSet::from([shape.index(start)]);
    let first = blocks.at(start)?;
    let mut front = BinaryHeap::from([Reverse((key(first), shape.index(start)))]);
    let mut level = first;
    while let Some(Reverse((_, index))) = front.pop() {
        let cell = shape.cell(index);
        level = level.max(blocks.at(cell)?);
        if shape.is_rim(cell) {
            return Ok(Some(level));
        }
        for direction in crate::grid::Direction::ALL {
            let Some(next) = shape.neighbour(cell, direction) else { continue };
            let height = blocks.at(next)?;
            if height.is_nan() {
                return Ok(Some(level));
            }
            if seen.insert(shape.index(next)) {
                front.push(Reverse((key(height), shape.index(next))));
            }
        }
        if seen.len() > MOST_CELLS {
            return Ok(None);
        }
    }
    Ok(Some(level))
}

/// Orders heights as numbers of the same order.
fn key(height: f32) -> u32 {
    let bits = height.to_bits();
    if bits >> 31 == 1 { !bits } else { bits | (1 << 31) }
}

/// Ground read so far.
struct Blocks<'a> {
    survey: &'a Survey,
    shape: GridShape,
    read: BTreeMap<(usize, usize), Vec<f32>>,
}

impl Blocks<'_> {
    fn at(&mut self, cell: Cell) -> Result<f32, InputError> {
        let (row, col) = (cell.row / BLOCK, cell.col / BLOCK);
        let cols = BLOCK.min(self.shape.cols - col * BLOCK);
        let place = (cell.row % BLOCK) * cols + cell.col % BLOCK;
        if let Some(values) = self.read.get(&(row, col)) {
            return Ok(values[place]);
        }
        let rows = BLOCK.min(self.shape.rows - row * BLOCK);
        let window = Window { row: row * BLOCK, col: col * BLOCK, shape: GridShape { rows, cols } };
        let values = self.survey.read(window)?.into_values();
        let height = values[place];
        self.read.insert((row, col), values);
        Ok(height)
    }
}

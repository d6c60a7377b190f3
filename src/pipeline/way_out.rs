//! The level at which water beyond a window's edge finds a way off the data.
//!
//! A window is filled twice: with its edge as an outlet, which can only be too low, and with its edge as a wall but for
//! its lowest cell, which can only be too high if that cell is given the level at which its water really gets away.
//! This flood finds that level: it spreads from the cell over the whole raster, always at the lowest place next, until
//! it comes to the edge of the data. Ground is read, roofs raised, in blocks, as it is needed. Holes small enough to be bridged are no
//! way out; the flood goes round them, so that the level it finds is never too low.

use super::roofs::read_surface;
use crate::grid::{Cell, Direction, GridShape};
use crate::input::{InputError, Site, Window};
use crate::units::Area;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap, HashSet};

/// Side of the blocks that are read, in cells.
const BLOCK: usize = 256;
/// Most cells that one flood visits; beyond, the level stays open.
const MOST_CELLS: usize = 20_000_000;

/// Level at which water at `start` gets off the data, a bank of `bank_m` on their edge included; `None` if so many
/// cells had to be visited that it stays open.
///
/// Inner holes up to `bridged` are not edges of the data.
///
/// # Errors
/// What reading the raster gives.
pub(super) fn level_of_way_out(
    site: &Site,
    start: Cell,
    bridged: Area,
    bank_m: f32,
) -> Result<Option<f32>, InputError> {
    let shape = site.survey.shape();
    let mut blocks = Blocks { site, shape, read: BTreeMap::new() };
    let mut holes = Holes { largest_m2: bridged.as_m2(), seen: HashSet::new() };
    let mut seen: HashSet<usize> = HashSet::from([shape.index(start)]);
    let first = blocks.at(start)?;
    let mut front = BinaryHeap::from([Reverse((key(first), shape.index(start)))]);
    let mut level = first;
    while let Some(Reverse((_, index))) = front.pop() {
        let cell = shape.cell(index);
        let height = blocks.at(cell)?;
        level = level.max(height);
        if shape.is_rim(cell) {
            return Ok(Some(level.max(height + bank_m)));
        }
        for direction in Direction::ALL {
            let Some(next) = shape.neighbour(cell, direction) else { continue };
            let beyond = blocks.at(next)?;
            if beyond.is_nan() {
                if holes.are_edge(&mut blocks, next)? {
                    return Ok(Some(level.max(height + bank_m)));
                }
            } else if seen.insert(shape.index(next)) {
                front.push(Reverse((key(beyond), shape.index(next))));
            }
        }
        if seen.len() > MOST_CELLS {
            return Ok(None);
        }
    }
    // Ground that small holes alone surround: no way round them was found.
    Ok(None)
}

/// Orders heights as numbers of the same order.
fn key(height: f32) -> u32 {
    let bits = height.to_bits();
    if bits >> 31 == 1 { !bits } else { bits | (1 << 31) }
}

/// Holes met so far that are no edge of the data.
struct Holes {
    largest_m2: f64,
    seen: HashSet<usize>,
}

impl Holes {
    /// Whether the hole at a cell stays a hole when small ones are bridged.
    fn are_edge(&mut self, blocks: &mut Blocks<'_>, start: Cell) -> Result<bool, InputError> {
        let shape = blocks.shape;
        if self.seen.contains(&shape.index(start)) || blocks.is_gap(start)? {
            return Ok(false);
        }
        self.seen.insert(shape.index(start));
        let cell_m2 = blocks.site.survey.cell_size().area_m2();
        let mut found = vec![start];
        let mut next = 0;
        let mut area_m2 = 0.0;
        while let Some(&cell) = found.get(next) {
            next += 1;
            area_m2 += cell_m2;
            if shape.is_rim(cell) || area_m2 > self.largest_m2 {
                return Ok(true);
            }
            for direction in Direction::ALL {
                let Some(beside) = shape.neighbour(cell, direction) else { continue };
                let is_open = blocks.at(beside)?.is_nan() && !blocks.is_gap(beside)?;
                if is_open && self.seen.insert(shape.index(beside)) {
                    found.push(beside);
                }
            }
        }
        Ok(false)
    }
}

/// Ground read so far.
struct Blocks<'a> {
    site: &'a Site,
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
        let values = read_surface(self.site, window)?.0.into_values();
        let height = values[place];
        self.read.insert((row, col), values);
        Ok(height)
    }

    /// Whether a hole's cell lies between two valid cells that face each other: such gaps are bridged. Where only
    /// corners face, that depends on more; taken as a gap, the cell is one way out less, and the level never too low.
    fn is_gap(&mut self, cell: Cell) -> Result<bool, InputError> {
        for direction in Direction::ALL.into_iter().take(4) {
            let ends = [direction, direction.reverse()].map(|d| self.shape.neighbour(cell, d));
            if let [Some(a), Some(b)] = ends
                && !self.at(a)?.is_nan()
                && !self.at(b)?.is_nan()
            {
                return Ok(true);
            }
        }
        Ok(false)
    }
}

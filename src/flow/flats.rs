//! Ways out of flats.
//!
//! On a filled surface every cell without a lower neighbour lies in a flat that touches an outlet or a cell from
//! which water falls. Ranks (steps to the nearest way out) grow from there ring by ring; each cell hands its water to
//! a neighbour of the ring before. Elevations are never touched. The path of a cell has as many steps as the flat
//! needs at least (on an open rectangle: the Chebyshev distance).

use super::error::FlowError;
use super::field::{FLAT, LEAVES, steps_of};
use crate::grid::{Cell, Direction, Grid, GridShape};
use memchr::memchr_iter;

/// Neighbours in the order in which they are preferred on a flat: those that share a side first.
const PREFERRED: [u8; 8] = [0, 2, 4, 6, 1, 3, 5, 7];

/// A flat cell that belongs to the ring being made.
const WAITING: u8 = u8::MAX;

/// Gives every [`FLAT`] cell a single direction, or marks it as a place where water leaves.
///
/// `is_outlet` says at which cells water may leave the data.
pub(super) fn resolve_flats(
    filled: &Grid<f32>,
    towards: &mut [u8],
    share: &mut [f32],
    is_outlet: impl Fn(usize) -> bool,
) -> Result<(), FlowError> {
    let shape = filled.shape();
    let steps = steps_of(shape);
    let flats: Vec<usize> = memchr_iter(FLAT, towards).collect();
    let mut ring = first_ring(filled, towards, &flats, &steps, is_outlet);
    let mut left = flats.len();
    while !ring.is_empty() {
        left -= ring.len();
        for &(cell, code) in &ring {
            towards[cell] = code;
            if let Some(part) = share.get_mut(cell) {
                // All of it to the one neighbour, whichever kind it is.
                *part = if code & 1 == 1 { 1.0 } else { 0.0 };
            }
        }
        ring = next_ring(filled, towards, &ring, &steps);
    }
    if left > 0 {
        return Err(FlowError::NoWayOut { cells: left });
    }
    Ok(())
}

/// Flat cells that are outlets, or that touch a cell of their level from which water falls.
fn first_ring(
    filled: &Grid<f32>,
    towards: &[u8],
    flats: &[usize],
    steps: &[isize; 8],
    is_outlet: impl Fn(usize) -> bool,
) -> Vec<(usize, u8)> {
    let decided = |cell: usize| towards[cell] < LEAVES;
    flats
        .iter()
        .filter_map(|&cell| {
            if is_outlet(cell) {
                return Some((cell, LEAVES));
            }
            preferred_neighbour(filled, cell, steps, decided).map(|code| (cell, code))
        })
        .collect()
}

/// Flat cells that touch the ring just decided; they are [`WAITING`] then.
fn next_ring(
    filled: &Grid<f32>,
    towards: &mut [u8],
    ring: &[(usize, u8)],
    steps: &[isize; 8],
) -> Vec<(usize, u8)> {
    let mut touched: Vec<usize> = Vec::new();
    for &(cell, _) in ring {
        for_each_level_neighbour(filled, cell, steps, |neighbour| {
            if towards[neighbour] == FLAT {
                towards[neighbour] = WAITING;
                touched.push(neighbour);
            }
        });
    }
    // All cells decided so far at this level that touch a cell of the new ring belong to the ring before it.
    let decided = |cell: usize| towards[cell] < FLAT;
    touched
        .into_iter()
        .filter_map(|cell| preferred_neighbour(filled, cell, steps, decided).map(|code| (cell, code)))
        .collect()
}

fn preferred_neighbour(
    filled: &Grid<f32>,
    cell: usize,
    steps: &[isize; 8],
    decided: impl Fn(usize) -> bool,
) -> Option<u8> {
    let level = filled.values()[cell];
    let around = Around::of(filled.shape(), cell);
    PREFERRED.into_iter().find(|&code| {
        around.has(code) && {
            let neighbour = cell.wrapping_add_signed(steps[usize::from(code)]);
            same_level(filled.values()[neighbour], level) && decided(neighbour)
        }
    })
}

fn for_each_level_neighbour(
    filled: &Grid<f32>,
    cell: usize,
    steps: &[isize; 8],
    mut visit: impl FnMut(usize),
) {
    let level = filled.values()[cell];
    let around = Around::of(filled.shape(), cell);
    for (code, &step) in (0_u8..).zip(steps) {
        if around.has(code) && same_level(filled.values()[cell.wrapping_add_signed(step)], level) {
            visit(cell.wrapping_add_signed(step));
        }
    }
}

/// Which neighbours a cell has: all, as a rule.
struct Around {
    shape: GridShape,
    at: Cell,
    inside: bool,
}

impl Around {
    fn of(shape: GridShape, cell: usize) -> Self {
        let at = shape.cell(cell);
        Self { shape, at, inside: !shape.is_rim(at) }
    }

    fn has(&self, code: u8) -> bool {
        self.inside || self.shape.neighbour(self.at, Direction::from_code(code)).is_some()
    }
}

/// Filled levels are copies of one another, never computed: only bit-equal values are one level.
#[expect(clippy::float_cmp, reason = "levels of one flat are copies of the same number")]
fn same_level(a: f32, b: f32) -> bool {
    a == b
}

#[cfg(test)]
mod tests {
    use super::*;

    // Closed form: on an open rectangle with one outlet the steps to it are the Chebyshev distance.
    #[test]
    fn steps_out_of_a_rectangle_are_the_chebyshev_distance() {
        let shape = GridShape { rows: 9, cols: 14 };
        let filled = Grid::filled(shape, 7.25_f32);
        let outlet = Cell { row: 3, col: 0 };
        let mut towards = vec![FLAT; shape.len()];
        resolve_flats(&filled, &mut towards, &mut [], |c| c == shape.index(outlet)).unwrap();
        for start in 0..shape.len() {
            let (mut at, mut steps) = (shape.cell(start), 0);
            while towards[shape.index(at)] != LEAVES {
                at = shape.neighbour(at, Direction::from_code(towards[shape.index(at)])).unwrap();
                steps += 1;
                assert!(steps < 100, "goes round in a circle from {start}");
            }
            assert_eq!(at, outlet);
            let from = shape.cell(start);
            let expected = from.row.abs_diff(outlet.row).max(from.col.abs_diff(outlet.col));
            assert_eq!(steps, expected, "from {from:?}");
        }
    }

    #[test]
    fn a_flat_without_a_way_out_is_an_error() {
        let shape = GridShape { rows: 4, cols: 4 };
        let mut towards = vec![FLAT; shape.len()];
        let found = resolve_flats(&Grid::filled(shape, 1.0_f32), &mut towards, &mut [], |_| false);
        assert_eq!(found, Err(FlowError::NoWayOut { cells: 16 }));
    }
}

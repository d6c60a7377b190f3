//! A turned or mirrored surface gives the turned or mirrored answer, to the last digit but rounding of sums.
//!
//! Ground without ties: a tie is decided by compass direction, which a mirror doesn't keep.

use crate::world::{World, block, heights};
use approx::assert_relative_eq;
use geo::{MapCoords, MultiPolygon};
use lotshed::flow::Routing;
use lotshed::grid::{Cell, CellSize, Grid, GridShape};

const SIZE: usize = 48;
const SHAPE: GridShape = GridShape { rows: SIZE, cols: SIZE };
const UNIT: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };

/// One of the eight symmetries of the square, on row and column and on east and north alike.
#[derive(Clone, Copy, Debug)]
struct Symmetry {
    transposed: bool,
    flip_rows: bool,
    flip_cols: bool,
}

impl Symmetry {
    fn cell(self, cell: Cell) -> Cell {
        let (row, col) = if self.transposed { (cell.col, cell.row) } else { (cell.row, cell.col) };
        let flip = |yes: bool, at: usize| if yes { SIZE - 1 - at } else { at };
        Cell { row: flip(self.flip_rows, row), col: flip(self.flip_cols, col) }
    }

    fn grid<T: Copy>(self, grid: &Grid<T>) -> Grid<T> {
        let mut turned = grid.clone();
        for index in 0..SHAPE.len() {
            *turned.at_mut(self.cell(SHAPE.cell(index))) = *grid.at(SHAPE.cell(index));
        }
        turned
    }

    fn outline(self, outline: &MultiPolygon<f64>) -> MultiPolygon<f64> {
        let size = SIZE as f64;
        outline.map_coords(|c| {
            let (row, col) = (size - c.y, c.x);
            let (row, col) = if self.transposed { (col, row) } else { (row, col) };
            let flip = |yes: bool, at: f64| if yes { size - at } else { at };
            let (row, col) = (flip(self.flip_rows, row), flip(self.flip_cols, col));
            geo::Coord { x: col, y: size - row }
        })
    }
}

/// A lumpy slope without sinks, two equal heights or equal slopes.
fn ground() -> Grid<f32> {
    let mut z = heights(SHAPE, UNIT, |x, y| {
        0.11 * y + 0.037 * x + (x * 0.31 + y * 0.17).sin() * 0.15 + (x * 0.13 - y * 0.29).cos() * 0.2
    });
    let mut state = 12_345_u32;
    for value in z.values_mut() {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        *value += (state >> 8) as f32 / 16_777_216.0 * 0.005;
    }
    z
}

#[test]
fn all_eight_symmetries_give_the_same_answer_turned() {
    let z = ground();
    let outlines = [block(16.0, 10.0, 30.0, 25.0)];
    for routing in [Routing::Proportional, Routing::Steepest, Routing::Single] {
        let plain = World::new(&z, UNIT, routing, &outlines).shares();
        let total: f64 = plain.values().iter().sum();
        assert!(total > 20.0, "the lot has a catchment: {total}");
        for code in 0..8_u8 {
            let symmetry =
                Symmetry { transposed: code & 1 > 0, flip_rows: code & 2 > 0, flip_cols: code & 4 > 0 };
            let turned_outlines: Vec<_> = outlines.iter().map(|o| symmetry.outline(o)).collect();
            let turned = World::new(&symmetry.grid(&z), UNIT, routing, &turned_outlines).shares();
            let expected = symmetry.grid(&plain);
            for (found, expected) in turned.values().iter().zip(expected.values()) {
                assert_relative_eq!(*found, *expected, epsilon = 1e-12);
            }
        }
    }
}

//! The ways straight over the sides of a part to the rim of the window around it.

use crate::grid::{Cell, Grid, GridShape};

/// Highest ground on the way straight out over each side of a part, from the part's own cell to the window's rim or
/// the last cell before a hole, m.
pub(super) struct StraightWays {
    shape: GridShape,
    north: Vec<f32>,
    south: Vec<f32>,
    west: Vec<f32>,
    east: Vec<f32>,
}

impl StraightWays {
    /// Those of a part of some shape whose first cell lies at `first` in the window.
    pub(super) fn over(window: &Grid<f32>, first: Cell, shape: GridShape) -> Self {
        let rows: Vec<&[f32]> = window.values().chunks(window.shape().cols).collect();
        let (last_row, last_col) = (first.row + shape.rows - 1, first.col + shape.cols - 1);
        let own = first.col..=last_col;
        let own_rows = &rows[first.row..=last_row];
        Self {
            shape,
            north: highest_by_column(rows[..=first.row].iter().rev().map(|row| &row[own.clone()])),
            south: highest_by_column(rows[last_row..].iter().map(|row| &row[own.clone()])),
            west: own_rows.iter().map(|row| highest(row[..=first.col].iter().rev())).collect(),
            east: own_rows.iter().map(|row| highest(row[last_col..].iter())).collect(),
        }
    }

    /// The lowest of the ways from one of the part's cells, over the sides that it lies on; no bound for one that
    /// lies on none.
    pub(super) fn lowest_from(&self, Cell { row, col }: Cell) -> f32 {
        let over = |on: bool, ways: &[f32], at: usize| if on { ways[at] } else { f32::INFINITY };
        over(row == 0, &self.north, col)
            .min(over(row + 1 == self.shape.rows, &self.south, col))
            .min(over(col == 0, &self.west, row))
            .min(over(col + 1 == self.shape.cols, &self.east, row))
    }
}

/// The highest of some ground before the first hole.
fn highest<'a>(ground: impl Iterator<Item = &'a f32>) -> f32 {
    ground.take_while(|z| !z.is_nan()).fold(f32::NEG_INFINITY, |highest, &z| highest.max(z))
}

/// The same of each column, row after row: memory lies in rows.
fn highest_by_column<'a>(rows: impl Iterator<Item = &'a [f32]>) -> Vec<f32> {
    let mut ways: Vec<(f32, bool)> = Vec::new();
    for row in rows {
        ways.resize(row.len(), (f32::NEG_INFINITY, true));
        for ((highest, is_open), &z) in ways.iter_mut().zip(row) {
            *is_open &= !z.is_nan();
            *highest = if *is_open { highest.max(z) } else { *highest };
        }
    }
    ways.into_iter().map(|(highest, _)| highest).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    // A part of one row and two columns in the middle of 3 by 4 cells, its ways read off by eye.
    #[test]
    fn ways_end_at_the_rim_or_at_a_hole() {
        let (shape, hole) = (GridShape { rows: 3, cols: 4 }, f32::NAN);
        let window = Grid::new(shape, vec![9.0, hole, 3.0, 4.0, 7.0, 1.0, 2.0, 5.0, 8.0, 6.0, 1.0, 2.0]);
        let ways = StraightWays::over(&window, Cell { row: 1, col: 1 }, GridShape { rows: 1, cols: 2 });
        assert_eq!(ways.north, [1.0, 3.0]);
        assert_eq!(ways.south, [6.0, 2.0]);
        assert_eq!((ways.west.clone(), ways.east.clone()), (vec![7.0], vec![5.0]));
        // Over the hole: no higher than itself. The other cell: 3 up, 2 down, 5 east; west is none of its sides.
        let lowest = [0, 1].map(|col| ways.lowest_from(Cell { row: 0, col }));
        assert_eq!(lowest.to_vec(), [1.0, 2.0]);
    }

    #[test]
    fn a_cell_inside_has_no_way_straight_out() {
        let window = Grid::filled(GridShape { rows: 5, cols: 5 }, 1.0);
        let ways = StraightWays::over(&window, Cell { row: 1, col: 1 }, GridShape { rows: 3, cols: 3 });
        let lowest = [1, 0].map(|row| ways.lowest_from(Cell { row, col: 1 }));
        assert_eq!(lowest.to_vec(), [f32::INFINITY, 1.0]);
    }
}

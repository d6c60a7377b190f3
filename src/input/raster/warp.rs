//! Reading through a change of grid: from degrees, from projections that distort, from rotated rows.
//!
//! Bilinear between cell centres. A cell is a hole as soon as one of the source cells that count for it is a hole: a hole
//! may so grow by one cell, but what it holds never leaks into its neighbours.

use super::describe::invert;
use super::mosaic::{SourceGrid, whole_range};
use super::window::Window;
use crate::crs::Transform;
use crate::grid::{Cell, Georef, Grid, GridShape};
use crate::input::error::{InputError, InputKind};
use crate::input::numbers::{count, real, single};

/// Spacing, in cells, of the places whose source is worked out exactly; between them it is interpolated. The error is
/// the projection's curvature over that distance, below a thousandth of a cell for cells up to 30 m. The places are
/// multiples of this in the whole grid, so that a window reads the same numbers as the whole.
const NODE: usize = 32;
/// A source cell whose weight is below this doesn't count (places that coincide but for rounding).
const NO_WEIGHT: f64 = 1e-6;

/// How the working grid looks at the source.
#[derive(Debug, Clone)]
pub(crate) struct Warp {
    /// Place of the working grid.
    pub(crate) georef: Georef,
    /// From the working to the source system; `None` if they are the same.
    pub(crate) to_source: Option<Transform>,
    /// Map units of a full turn where the source counts angles.
    pub(crate) full_turn: Option<f64>,
}

/// Columns and rows in the source of a lattice of places.
struct Lattice {
    first: Cell,
    cols: usize,
    places: Vec<Option<(f64, f64)>>,
}

impl Warp {
    /// Elevations of a part of the working grid.
    pub(crate) fn read(&self, source: &SourceGrid, window: Window) -> Result<Grid<f32>, InputError> {
        let lattice = self.lattice(source, window)?;
        let mut out = Grid::filled(window.shape, f32::NAN);
        let Some(needed) = lattice.needed(source.shape) else { return Ok(out) };
        let heights = source.read(needed)?;
        for index in 0..window.shape.len() {
            let here = window.shape.cell(index);
            let cell = Cell { row: here.row + window.row, col: here.col + window.col };
            if let Some((col, row)) = lattice.at(cell) {
                let height = bilinear(&heights, col - real(needed.col), row - real(needed.row));
                *out.at_mut(here) = height.map_or(f32::NAN, single);
            }
        }
        Ok(out)
    }

    /// Columns and rows in the source of a place of the working grid.
    fn source_place(&self, source: &SourceGrid, x: f64, y: f64) -> Option<(f64, f64)> {
        let (mut x, y) = match &self.to_source {
            Some(transform) => transform.point(x, y).ok()?,
            None => (x, y),
        };
        if let Some(turn) = self.full_turn {
            let corners = source.corners();
            let middle = f64::midpoint(corners[0].0, corners[2].0);
            x += turn * ((middle - x) / turn).round();
        }
        Some(invert(source.affine, x, y))
    }

    fn lattice(&self, source: &SourceGrid, window: Window) -> Result<Lattice, InputError> {
        if let Some(transform) = &self.to_source {
            // A transformation that can't be built must not look like an empty raster.
            transform.points(&[]).map_err(|e| InputError::crs("".as_ref(), InputKind::Elevation, e))?;
        }
        let first = Cell { row: window.row / NODE, col: window.col / NODE };
        let last = Cell {
            row: (window.row + window.shape.rows).div_ceil(NODE),
            col: (window.col + window.shape.cols).div_ceil(NODE),
        };
        let cols = last.col - first.col + 1;
        let mut places = Vec::with_capacity(cols * (last.row - first.row + 1));
        for row in first.row..=last.row {
            for col in first.col..=last.col {
                let (x, y) = self.georef.centre(Cell { row: row * NODE, col: col * NODE });
                places.push(self.source_place(source, x, y));
            }
        }
        Ok(Lattice { first, cols, places })
    }
}

impl Lattice {
    /// The part of the source that all places need, one cell to spare.
    fn needed(&self, shape: GridShape) -> Option<Window> {
        let mut range = [f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY];
        for &(col, row) in self.places.iter().flatten() {
            range = [range[0].min(col), range[1].max(col), range[2].min(row), range[3].max(row)];
        }
        if range[0] > range[1] {
            return None;
        }
        let (left, right) = whole_range(range[0] - 2.0, range[1] + 2.0, shape.cols);
        let (top, bottom) = whole_range(range[2] - 2.0, range[3] + 2.0, shape.rows);
        (left < right && top < bottom).then(|| Window {
            row: top,
            col: left,
            shape: GridShape { rows: bottom - top, cols: right - left },
        })
    }

    /// Columns and rows in the source of a cell of the working grid.
    fn at(&self, cell: Cell) -> Option<(f64, f64)> {
        let (down, right) = (real(cell.row % NODE) / real(NODE), real(cell.col % NODE) / real(NODE));
        let index = (cell.row / NODE - self.first.row) * self.cols + cell.col / NODE - self.first.col;
        let place = |offset: usize| self.places.get(index + offset).copied().flatten();
        let (a, b, c, d) = (place(0)?, place(1)?, place(self.cols)?, place(self.cols + 1)?);
        let mix = |a: f64, b: f64, c: f64, d: f64| {
            (1.0 - down) * ((1.0 - right) * a + right * b) + down * ((1.0 - right) * c + right * d)
        };
        Some((mix(a.0, b.0, c.0, d.0), mix(a.1, b.1, c.1, d.1)))
    }
}

/// Height at a place in columns and rows (0 at the corner of the first cell); `None` next to a hole or the rim.
fn bilinear(heights: &Grid<f32>, col: f64, row: f64) -> Option<f64> {
    let (col, row) = (col - 0.5, row - 0.5);
    let (left, top) = (col.floor(), row.floor());
    let (right_share, down_share) = (col - left, row - top);
    let (mut height, mut weights) = (0.0, 0.0);
    for (drow, dcol, weight) in [
        (0.0, 0.0, (1.0 - down_share) * (1.0 - right_share)),
        (0.0, 1.0, (1.0 - down_share) * right_share),
        (1.0, 0.0, down_share * (1.0 - right_share)),
        (1.0, 1.0, down_share * right_share),
    ] {
        if weight <= NO_WEIGHT {
            continue;
        }
        let (row, col) = (top + drow, left + dcol);
        if row < 0.0 || col < 0.0 {
            return None;
        }
        let cell = Cell { row: count(row), col: count(col) };
        if cell.row >= heights.shape().rows || cell.col >= heights.shape().cols {
            return None;
        }
        let value = f64::from(*heights.at(cell));
        if value.is_nan() {
            return None;
        }
        height += weight * value;
        weights += weight;
    }
    Some(height / weights)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plane(shape: GridShape) -> Grid<f32> {
        let values = (0..shape.len())
            .map(|i| {
                let cell = shape.cell(i);
                single(2.0 * real(cell.col) - 3.0 * real(cell.row))
            })
            .collect();
        Grid::new(shape, values)
    }

    // Closed form: bilinear interpolation reproduces planes.
    #[test]
    fn planes_come_through_exactly() {
        let grid = plane(GridShape { rows: 5, cols: 6 });
        let height = bilinear(&grid, 2.75, 3.25).unwrap();
        assert!((height - (2.0 * 2.25 - 3.0 * 2.75)).abs() < 1e-6);
        assert_eq!(bilinear(&grid, 0.2, 3.0), None);
        assert!(bilinear(&grid, 0.5, 0.5).is_some());
    }

    #[test]
    fn a_hole_reaches_no_further_than_the_next_cell_and_never_leaks() {
        let mut grid = plane(GridShape { rows: 7, cols: 7 });
        *grid.at_mut(Cell { row: 3, col: 3 }) = f32::NAN;
        assert_eq!(bilinear(&grid, 3.0, 3.5), None);
        assert_eq!(bilinear(&grid, 4.4, 3.5), None);
        let beside = bilinear(&grid, 4.5, 3.5).unwrap();
        assert!((beside - (2.0 * 4.0 - 3.0 * 3.0)).abs() < 1e-6);
    }
}

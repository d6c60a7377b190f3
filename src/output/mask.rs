//! Outlines of sets of cells.

use crate::grid::{Cell, Georef, GridShape};
use geo::{Coord, MultiPolygon, Polygon, Rect, unary_union};

/// The outline of all cells for which `holds` is true, in the units of the grid's coordinate system.
#[must_use]
pub(super) fn outline(shape: GridShape, georef: Georef, holds: impl Fn(usize) -> bool) -> MultiPolygon<f64> {
    let mut runs: Vec<Polygon<f64>> = Vec::new();
    for row in 0..shape.rows {
        let mut col = 0;
        while col < shape.cols {
            let start = col;
            while col < shape.cols && holds(row * shape.cols + col) {
                col += 1;
            }
            if col > start {
                runs.push(run(georef, row, start, col));
            }
            col += 1;
        }
    }
    unary_union(&runs)
}

/// Cells of one row from `start` up to `end`, as a rectangle.
fn run(georef: Georef, row: usize, start: usize, end: usize) -> Polygon<f64> {
    let (first, last) = (georef.centre(Cell { row, col: start }), georef.centre(Cell { row, col: end - 1 }));
    let (half_x, half_y) = (georef.step_x / 2.0, georef.step_y / 2.0);
    Rect::new(
        Coord { x: first.0 - half_x, y: first.1 - half_y },
        Coord { x: last.0 + half_x, y: last.1 + half_y },
    )
    .to_polygon()
}

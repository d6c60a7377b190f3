//! Outlines of sets of cells.

use crate::grid::{Georef, GridShape};
use geo::{Coord, MultiPolygon, Polygon, Rect, unary_union};
use std::ops::Range;

/// The outline of cells, which come in rising order, in the units of the grid's coordinate system.
#[must_use]
pub(super) fn outline(
    shape: GridShape,
    georef: Georef,
    cells: impl IntoIterator<Item = usize>,
) -> MultiPolygon<f64> {
    let mut runs: Vec<Range<usize>> = Vec::new();
    for cell in cells {
        match runs.last_mut() {
            Some(last) if last.end == cell && cell % shape.cols != 0 => last.end += 1,
            _ => runs.push(cell..cell + 1),
        }
    }
    let rectangles: Vec<Polygon<f64>> = runs.into_iter().map(|cells| run(shape, georef, &cells)).collect();
    unary_union(&rectangles)
}

/// Cells side by side in one row, as a rectangle.
fn run(shape: GridShape, georef: Georef, cells: &Range<usize>) -> Polygon<f64> {
    let centre = |cell: usize| georef.centre(shape.cell(cell));
    let (first, last) = (centre(cells.start), centre(cells.end - 1));
    let (half_x, half_y) = (georef.step_x / 2.0, georef.step_y / 2.0);
    Rect::new(
        Coord { x: first.0 - half_x, y: first.1 - half_y },
        Coord { x: last.0 + half_x, y: last.1 + half_y },
    )
    .to_polygon()
}

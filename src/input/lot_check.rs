//! Is there enough elevation, fine enough, on the subject lot?

use super::error::InputError;
use super::holes::bridge_holes;
use super::numbers::{count, real};
use super::parcels::Parcel;
use super::raster::{Survey, Window};
use crate::grid::{Cell, GridShape};
use crate::units::Area;
use crate::warning::Warning;
use geo::{BoundingRect, Length, LinesIter, MinimumRotatedRect, MultiPolygon};

/// Cells that a lot must have at least.
const FEWEST_CELLS: f64 = 4.0;
/// Lots up to this many cells are checked cell by cell, larger ones by every n-th row.
const ALL_ROWS: usize = 4 << 20;
/// Share of the lot that may lack elevations before it is worth a word.
const LACKING: f64 = 1e-4;
/// Share from which on there is nothing to say of the lot.
const ALL_LACKING: f64 = 1.0 - 1e-6;

/// Checks size and coverage.
pub(super) fn check(survey: &Survey, lot: &Parcel, limit: Area) -> Result<Vec<Warning>, InputError> {
    let cell = survey.cell_size();
    if lot.area_m2 < FEWEST_CELLS * cell.area_m2() {
        return Err(InputError::TooCoarse {
            id: lot.id.clone(),
            area_m2: lot.area_m2,
            cell_m2: cell.area_m2(),
        });
    }
    let mut warnings = Vec::new();
    let width_m = width(&lot.outline) * survey.crs().metres_per_unit();
    if width_m < cell.longer_m() {
        return Err(InputError::TooNarrow { id: lot.id.clone(), width_m, cell_m: cell.longer_m() });
    }
    if width_m < 2.0 * cell.longer_m() {
        warnings.push(Warning::new(
            "cells-large",
            format!(
                "lot {} is {width_m:.1} m wide, less than two cells ({:.1} m each)",
                lot.id,
                cell.longer_m()
            ),
            "use finer elevations",
        ));
    }
    let lacking = lacking(survey, lot, limit)?;
    if lacking >= ALL_LACKING {
        let raster = survey.facts().tiles.first().map(|tile| tile.path.clone().into()).unwrap_or_default();
        return Err(InputError::LotUncovered { id: lot.id.clone(), raster });
    }
    if lacking > LACKING {
        warnings.push(Warning::new(
            "lot-partly-covered",
            format!("{:.1} % of lot {} has no elevations", lacking * 100.0, lot.id),
            "fetch elevations that cover the lot and the ground above it",
        ));
    }
    Ok(warnings)
}

/// Counts the lots of a town that disappear between the cells.
pub(super) fn check_all(survey: &Survey, lots: &[Parcel]) -> Option<Warning> {
    let cell_m2 = survey.cell_size().area_m2();
    let small = lots.iter().filter(|lot| lot.area_m2 < FEWEST_CELLS * cell_m2).count();
    (small > 0).then(|| {
        Warning::new(
            "cells-large",
            format!(
                "{small} of {} lots are smaller than {FEWEST_CELLS} cells of {cell_m2:.1} m²: nothing can be said about them",
                lots.len()
            ),
            "use elevations with cells of a metre or two",
        )
    })
}

/// Shorter side of the smallest rectangle, turned any way, that holds the lot.
fn width(outline: &MultiPolygon<f64>) -> f64 {
    let Some(rect) = outline.minimum_rotated_rect() else { return 0.0 };
    rect.exterior().lines().map(|side| geo::Euclidean.length(&side)).take(2).fold(f64::INFINITY, f64::min)
}

/// Share of the lot's cells (by their centres) that have no elevation once small holes are bridged.
fn lacking(survey: &Survey, lot: &Parcel, limit: Area) -> Result<f64, InputError> {
    let Some(rect) = lot.outline.bounding_rect() else { return Ok(1.0) };
    let georef = survey.georef();
    let (left, top) = georef.to_grid(rect.min().x, rect.max().y);
    let (right, bottom) = georef.to_grid(rect.max().x, rect.min().y);
    let (first_row, last_row) = (top.floor(), bottom.ceil());
    let width = count(right.ceil() - left.floor()).max(1);
    let height = count(last_row - first_row).max(1);
    let stride = (width * height).div_ceil(ALL_ROWS);
    // Two cells more on every side, so that holes at the lot line are judged by their rims.
    let shape = survey.shape();
    let (row0, row1) = (count(top - 2.0).min(shape.rows), count(bottom.ceil() + 2.0).min(shape.rows));
    let (col0, col1) = (count(left - 2.0).min(shape.cols), count(right.ceil() + 2.0).min(shape.cols));
    let window = Window { row: row0, col: col0, shape: GridShape { rows: row1 - row0, cols: col1 - col0 } };
    if window.shape.is_empty() {
        return Ok(1.0);
    }
    let whole = if stride == 1 {
        let mut grid = survey.read(window)?;
        bridge_holes(&mut grid, survey.cell_size(), limit, survey.frame(window));
        Some(grid)
    } else {
        None
    };
    let (mut inside, mut valid) = (0.0, 0.0);
    for step in (0..height).step_by(stride) {
        let row = first_row + real(step);
        let spans = spans(&lot.outline, georef.north - (row + 0.5) * georef.step_y);
        let columns = |x: f64| ((x - georef.west) / georef.step_x - 0.5).ceil();
        inside += spans.iter().map(|s| columns(s.1) - columns(s.0)).sum::<f64>();
        if row < real(row0) || row >= real(row1) {
            continue;
        }
        let row = count(row);
        let strip = Window { row, col: col0, shape: GridShape { rows: 1, cols: col1 - col0 } };
        let values = match &whole {
            Some(_) => None,
            None => Some(survey.read(strip)?),
        };
        for (from, to) in spans {
            for col in count(columns(from)).max(col0)..count(columns(to)).min(col1) {
                let value = match (&whole, &values) {
                    (Some(grid), _) => *grid.at(Cell { row: row - row0, col: col - col0 }),
                    (None, Some(values)) => *values.at(Cell { row: 0, col: col - col0 }),
                    (None, None) => f32::NAN,
                };
                valid += f64::from(u8::from(!value.is_nan()));
            }
        }
    }
    Ok(if inside > 0.0 { 1.0 - valid / inside } else { 0.0 })
}

/// The stretches of a horizontal line that lie inside an outline, from west to east.
fn spans(outline: &MultiPolygon<f64>, y: f64) -> Vec<(f64, f64)> {
    let mut crossings: Vec<f64> = outline
        .lines_iter()
        .filter(|l| (l.start.y > y) != (l.end.y > y))
        .map(|l| l.start.x + (y - l.start.y) / (l.end.y - l.start.y) * (l.end.x - l.start.x))
        .collect();
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    #[test]
    fn a_line_through_a_lot_with_a_hole_has_two_stretches() {
        let lot: MultiPolygon<f64> = polygon!(
            exterior: [(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)],
            interiors: [[(x: 2., y: 2.), (x: 4., y: 2.), (x: 4., y: 4.), (x: 2., y: 4.)]],
        )
        .into();
        assert_eq!(spans(&lot, 3.0), vec![(0.0, 2.0), (4.0, 10.0)]);
        assert_eq!(spans(&lot, 11.0), vec![]);
        assert!((width(&lot) - 10.0).abs() < 1e-9);
    }
}

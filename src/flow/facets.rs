//! Direction of steepest descent on triangular facets, shared by the tangent of the angle.
//!
//! The eight facets around a cell are spanned by a neighbour that shares a side and one that shares a corner
//! (Tarboton 1997, Water Resources Research 33(2):309-319, from memory). Tarboton shares the water by the angle; here
//! the share of the corner neighbour is the tangent ratio (s2/s1)(d1/d2), so that the mean step is along the true
//! direction: d1·(1-p)·(1,0) + p·(d1,d2) = (d1, p·d2), whose slope is p·d2/d1 = s2/s1 (own derivation; see
//! `docs/methods.md`, "Proportional routing").

use super::field::{FLAT, FlowField, VOID};
use crate::grid::{CellSize, Grid, GridShape, OFFSETS};
use rayon::prelude::*;

/// Distances to the neighbours, for one cell size.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spacing {
    dx: f64,
    dy: f64,
    diagonal: f64,
}

impl Spacing {
    pub(super) fn of(cell: CellSize) -> Self {
        Self { dx: cell.dx_m, dy: cell.dy_m, diagonal: cell.diagonal_m() }
    }

    /// Distance along the side direction and across it, for the facet that starts at `code`.
    pub(super) const fn along_across(&self, code: u8) -> (f64, f64) {
        // The side neighbour of facets 7, 0 is north, of 1, 2 east, of 3, 4 south, of 5, 6 west.
        if (code + 1) & 2 == 0 { (self.dy, self.dx) } else { (self.dx, self.dy) }
    }

    pub(super) const fn distance(&self, code: usize) -> f64 {
        match code & 3 {
            0 => self.dy,
            2 => self.dx,
            _ => self.diagonal,
        }
    }
}

/// The steepest facet of one cell: its first direction and the share of its corner neighbour.
///
/// Neighbours are given clockwise from north, NaN where there is none. Of equally steep facets the first clockwise
/// from north is taken. Gives [`FLAT`] when no neighbour is lower.
#[expect(clippy::cast_possible_truncation, reason = "codes are below 8; shares are stored as f32 on purpose")]
fn steepest_facet(centre: f64, around: &[f64; 8], spacing: &Spacing) -> (u8, f32) {
    let mut best = 0.0;
    let mut found = (FLAT, 0.0_f32);
    for first in 0..8_usize {
        let second = (first + 1) & 7;
        let (side, corner) = if first & 1 == 0 { (first, second) } else { (second, first) };
        let (e1, e2) = (around[side], around[corner]);
        let (along, across) = spacing.along_across(first as u8);
        let s1 = (centre - e1) / along;
        let s2 = (e1 - e2) / across;
        // `corner_share` is the part that goes to the corner neighbour.
        let (slope_squared, corner_share) = if e2.is_nan() || s2 <= 0.0 {
            (signed_square(s1), 0.0)
        } else if e1.is_nan() || s2 * along > s1 * across {
            (signed_square((centre - e2) / spacing.diagonal), 1.0)
        } else {
            (s1 * s1 + s2 * s2, s2 * along / (s1 * across))
        };
        if slope_squared > best {
            best = slope_squared;
            found = (first as u8, corner_share as f32);
        }
    }
    found
}

fn signed_square(slope: f64) -> f64 {
    slope * slope.abs()
}

/// Directions of all cells; flats are left as [`FLAT`].
pub(super) fn facet_directions(filled: &Grid<f32>, cell: CellSize) -> (Vec<u8>, Vec<f32>) {
    let shape = filled.shape();
    let spacing = Spacing::of(cell);
    let mut towards = vec![VOID; shape.len()];
    let mut share = vec![0.0_f32; shape.len()];
    towards.par_chunks_mut(shape.cols).zip(share.par_chunks_mut(shape.cols)).enumerate().for_each(
        |(row, (towards, share))| {
            for (col, (code, part)) in towards.iter_mut().zip(share).enumerate() {
                let centre = filled.values()[row * shape.cols + col];
                if centre.is_nan() {
                    continue;
                }
                let around = neighbours(filled.values(), shape, row, col);
                (*code, *part) = steepest_facet(f64::from(centre), &around, &spacing);
            }
        },
    );
    (towards, share)
}

/// Values around a cell, clockwise from north, NaN off the grid.
pub(super) fn neighbours(values: &[f32], shape: GridShape, row: usize, col: usize) -> [f64; 8] {
    let inside = row > 0 && col > 0 && row + 1 < shape.rows && col + 1 < shape.cols;
    let at = row * shape.cols + col;
    if inside {
        let (north, south) = (at - shape.cols, at + shape.cols);
        return [north, north + 1, at + 1, south + 1, south, south - 1, at - 1, north - 1]
            .map(|i| f64::from(values[i]));
    }
    OFFSETS.map(|(down, right)| {
        let (Some(r), Some(c)) = (row.checked_add_signed(down), col.checked_add_signed(right)) else {
            return f64::NAN;
        };
        if r < shape.rows && c < shape.cols { f64::from(values[r * shape.cols + c]) } else { f64::NAN }
    })
}

/// Puts the parts of a field together.
pub(super) fn field(shape: GridShape, towards: Vec<u8>, share: Vec<f32>) -> FlowField {
    FlowField::new(shape, towards, share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const UNIT: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };

    /// Heights around a cell on a plane that falls `steep` per metre towards `azimuth` degrees clockwise from north.
    fn plane(azimuth: f64, cell: CellSize) -> [f64; 8] {
        let (sin, cos) = azimuth.to_radians().sin_cos();
        OFFSETS.map(|(down, right)| {
            #[expect(clippy::cast_precision_loss, reason = "-1, 0 or 1")]
            let (east, north) = (right as f64 * cell.dx_m, -(down as f64) * cell.dy_m);
            -0.05 * (east * sin + north * cos)
        })
    }

    // Closed form: the mean step of the two receivers points exactly along the plane's fall.
    #[test]
    fn mean_step_points_along_the_fall_at_every_angle_and_cell_shape() {
        for cell in [UNIT, CellSize { dx_m: 0.5, dy_m: 2.0 }] {
            for tenth in 0..3600 {
                let azimuth = f64::from(tenth) / 10.0;
                let (first, share) = steepest_facet(0.0, &plane(azimuth, cell), &Spacing::of(cell));
                let step = |code: u8| {
                    let (down, right) = OFFSETS[(code & 7) as usize];
                    #[expect(clippy::cast_precision_loss, reason = "-1, 0 or 1")]
                    let vector = (right as f64 * cell.dx_m, -(down as f64) * cell.dy_m);
                    vector
                };
                let ((ax, ay), (bx, by)) = (step(first), step(first + 1));
                let p = if first & 1 == 0 { f64::from(share) } else { 1.0 - f64::from(share) };
                let (east, north) = (ax * (1.0 - p) + bx * p, ay * (1.0 - p) + by * p);
                let found = east.atan2(north).to_degrees().rem_euclid(360.0);
                let off = (found - azimuth + 180.0).rem_euclid(360.0) - 180.0;
                assert!(off.abs() < 1e-4, "azimuth {azimuth}: found {found}");
            }
        }
    }

    // Closed form: on a plane at 22.5 degrees the tangent share of the corner neighbour is tan 22.5 = sqrt 2 - 1.
    #[test]
    fn corner_share_is_the_tangent() {
        let (first, share) = steepest_facet(0.0, &plane(22.5, UNIT), &Spacing::of(UNIT));
        assert_eq!(first, 0);
        assert_relative_eq!(f64::from(share), 2.0_f64.sqrt() - 1.0, epsilon = 1e-6);
    }

    #[test]
    fn missing_neighbours_leave_the_other_end() {
        let mut around = [1.0; 8];
        around[2] = f64::NAN;
        around[3] = -1.0;
        let (first, share) = steepest_facet(0.0, &around, &Spacing::of(UNIT));
        assert!(first == 2 || first == 3);
        assert_relative_eq!(share, 1.0);
    }
}

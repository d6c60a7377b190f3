//! Direction of steepest descent on triangular facets, shared by the tangent of the angle.
//!
//! The eight facets around a cell are spanned by a neighbour that shares a side and one that shares a corner
//! (Tarboton 1997, Water Resources Research 33(2):309-319, from memory). Tarboton shares the water by the angle; here
//! the share of the corner neighbour is the tangent ratio (s2/s1)(d1/d2), so that the mean step is along the true
//! direction: d1·(1-p)·(1,0) + p·(d1,d2) = (d1, p·d2), whose slope is p·d2/d1 = s2/s1 (own derivation; see
//! `docs/methods.md`, "Proportional routing").

#![allow(
    clippy::needless_bitwise_bool,
    clippy::needless_range_loop,
    reason = "several cells at once: lazy operators and zipped slices would bring the branches back"
)]

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

/// Cells that are looked at together, so that the processor does the same to several at once.
const LANES: usize = 8;
type Lanes = [f64; LANES];

/// The rows around one row of the ground, as wide numbers with holes on either end.
struct Around {
    rows: [Vec<f64>; 3],
}

impl Around {
    fn new(cols: usize) -> Self {
        Self { rows: std::array::from_fn(|_| vec![f64::NAN; cols.next_multiple_of(LANES) + 2]) }
    }

    /// Takes the rows around `row`, NaN beyond the grid.
    fn load(&mut self, values: &[f32], shape: GridShape, row: usize) {
        for (slot, wide) in self.rows.iter_mut().enumerate() {
            let inner = &mut wide[1..=shape.cols];
            match (row + slot).checked_sub(1).filter(|&row| row < shape.rows) {
                Some(row) => {
                    let cells = &values[row * shape.cols..][..shape.cols];
                    inner.iter_mut().zip(cells).for_each(|(wide, &z)| *wide = f64::from(z));
                }
                None => inner.fill(f64::NAN),
            }
        }
    }

    /// A piece of one of the rows (0 is the northern one), from the column west of `col` on for 0, from `col` for 1,
    /// from the one east of it for 2.
    fn lanes(&self, row: usize, col: usize, shift: usize) -> Lanes {
        let mut lanes = [0.0; LANES];
        lanes.copy_from_slice(&self.rows[row][col + shift..][..LANES]);
        lanes
    }

    /// The cells from `col` on, and their neighbours clockwise from north.
    fn piece(&self, col: usize) -> Piece {
        Piece {
            centre: self.lanes(1, col, 1),
            around: OFFSETS.map(|(down, right)| {
                self.lanes(1_usize.wrapping_add_signed(down), col, 1_usize.wrapping_add_signed(right))
            }),
        }
    }
}

/// Some cells of a row and their neighbours.
struct Piece {
    centre: Lanes,
    around: [Lanes; 8],
}

/// The steepest facet of each cell: its first direction ([`FLAT`] when no neighbour is lower), and the share of its
/// corner neighbour.
struct Steepest {
    first: [u8; LANES],
    corner_share: [f32; LANES],
}

/// The steepest facet so far.
struct Best {
    squared: Lanes,
    /// First direction, as a number of the same kind as the slopes.
    first: Lanes,
    /// Fall across and along, each times the other's distance: their ratio is the tangent that shares the water.
    across: Lanes,
    along: Lanes,
}

/// One of two numbers, without a branch.
fn pick(when: bool, yes: f64, no: f64) -> f64 {
    let mask = u64::from(when).wrapping_neg();
    f64::from_bits((yes.to_bits() & mask) | (no.to_bits() & !mask))
}

impl Piece {
    /// Of equally steep facets the first clockwise from north is taken.
    ///
    /// Without branches, which on rough ground no processor can foretell.
    fn steepest(&self, spacing: &Spacing) -> Steepest {
        let zero = [0.0; LANES];
        let mut best =
            Best { squared: zero, first: [f64::from(FLAT); LANES], across: zero, along: [1.0; LANES] };
        let slopes: [Lanes; 8] = std::array::from_fn(|code| {
            let distance = spacing.distance(code);
            std::array::from_fn(|x| (self.centre[x] - self.around[code][x]) / distance)
        });
        for first in 0..8 {
            self.try_facet(first, &slopes, spacing, &mut best);
        }
        best.told()
    }

    #[expect(clippy::needless_range_loop, reason = "eight lists go side by side")]
    #[expect(clippy::needless_bitwise_bool, reason = "both sides are cheaper than a branch")]
    fn try_facet(&self, first: u8, slopes: &[Lanes; 8], spacing: &Spacing, best: &mut Best) {
        let second = (first + 1) & 7;
        let (side, corner) = if first & 1 == 0 { (first, second) } else { (second, first) };
        let (side, corner) = (usize::from(side), usize::from(corner));
        let (along, across) = spacing.along_across(first);
        for x in 0..LANES {
            let (s1, by_corner) = (slopes[side][x], slopes[corner][x]);
            let s2 = (self.around[side][x] - self.around[corner][x]) / across;
            let (fall_across, fall_along) = (s2 * along, s1 * across);
            // A missing neighbour leaves the other end; so does a fall that points past an end.
            let no_side = s1.is_nan();
            let to_corner = no_side | (fall_across > fall_along);
            let inside = (s2 > 0.0) & !to_corner;
            let end = pick(to_corner, by_corner, s1);
            let upward_is_none = pick(end > 0.0, end * end, 0.0);
            let squared = pick(inside, s1 * s1 + s2 * s2, upward_is_none);
            let steeper = squared > best.squared[x];
            best.squared[x] = pick(steeper, squared, best.squared[x]);
            best.first[x] = pick(steeper, f64::from(first), best.first[x]);
            best.across[x] = pick(steeper, fall_across, best.across[x]);
            best.along[x] = pick(steeper, fall_along, best.along[x]);
        }
    }
}

impl Best {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "codes are whole numbers below 11; shares are stored as f32 on purpose"
    )]
    #[expect(clippy::needless_bitwise_bool, reason = "both sides are cheaper than a branch")]
    fn told(&self) -> Steepest {
        let share = |x: usize| {
            let (across, along) = (self.across[x], self.along[x]);
            let inside = pick(across > 0.0, across / along, 0.0);
            pick(along.is_nan() | (across > along), 1.0, inside) as f32
        };
        Steepest { first: self.first.map(|code| code as u8), corner_share: std::array::from_fn(share) }
    }
}

/// Directions of all cells that lie no lower than a level; flats are left as [`FLAT`].
pub(super) fn facet_directions(filled: &Grid<f32>, cell: CellSize, lowest_m: f64) -> (Vec<u8>, Vec<f32>) {
    let shape = filled.shape();
    let spacing = Spacing::of(cell);
    let mut towards = vec![VOID; shape.len()];
    let mut share = vec![0.0_f32; shape.len()];
    towards.par_chunks_mut(shape.cols).zip(share.par_chunks_mut(shape.cols)).enumerate().for_each_init(
        || Around::new(shape.cols),
        |around, (row, (towards, share))| {
            around.load(filled.values(), shape, row);
            for (number, (towards, share)) in
                towards.chunks_mut(LANES).zip(share.chunks_mut(LANES)).enumerate()
            {
                let piece = around.piece(number * LANES);
                // Of nothing but holes and lower ground nothing is asked.
                if !piece.centre.iter().any(|&z| z >= lowest_m) {
                    continue;
                }
                let found = piece.steepest(&spacing);
                for (x, (code, part)) in towards.iter_mut().zip(share).enumerate() {
                    *code = if piece.centre[x] >= lowest_m { found.first[x] } else { VOID };
                    *part = found.corner_share[x];
                }
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

    /// First direction of the steepest facet around one cell, and the share of its corner neighbour.
    fn steepest_facet(centre: f64, around: &[f64; 8], cell: CellSize) -> (u8, f32) {
        let piece = Piece { centre: [centre; LANES], around: around.map(|z| [z; LANES]) };
        let found = piece.steepest(&Spacing::of(cell));
        (found.first[LANES - 1], found.corner_share[LANES - 1])
    }

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
                let (first, share) = steepest_facet(0.0, &plane(azimuth, cell), cell);
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
        let (first, share) = steepest_facet(0.0, &plane(22.5, UNIT), UNIT);
        assert_eq!(first, 0);
        assert_relative_eq!(f64::from(share), 2.0_f64.sqrt() - 1.0, epsilon = 1e-6);
    }

    #[test]
    fn missing_neighbours_leave_the_other_end() {
        let mut around = [1.0; 8];
        around[2] = f64::NAN;
        around[3] = -1.0;
        let (first, share) = steepest_facet(0.0, &around, UNIT);
        assert!(first == 2 || first == 3);
        assert_relative_eq!(share, 1.0);
    }
}

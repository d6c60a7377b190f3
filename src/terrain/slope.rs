//! The slope of the ground around a place.

use crate::grid::{Cell, CellSize, GridShape};

/// Half the side of the square that a slope is taken over, m. Ours: a yard's width together, so that furrows, steps and the
/// noise of the elevation even out; tables of runoff tell apart what falls below 2 %, to 7 % and more.
const HALF_SIDE_M: f64 = 7.5;
/// Places looked at to either side, at most: on fine rasters not every cell counts.
const MOST_TO_A_SIDE: usize = 7;

/// How many cells around one its slope hangs on, along the longer side of the square in cells.
#[must_use]
pub fn slope_reach(cell: CellSize) -> usize {
    reach(cell.dx_m).max(reach(cell.dy_m))
}

/// Cells to either side: one at the least.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive number")]
fn reach(side_m: f64) -> usize {
    (HALF_SIDE_M / side_m).round().max(1.0) as usize
}

/// Fall by length of the plane that lies closest to the ground in a square around a cell; nothing where too little of it is
/// known.
///
/// # Method
/// Least squares over the cells of the square, 15 m wide or three cells where those are larger; those of unknown height are
/// left out.
///
/// # Source
/// Closed form.
#[must_use]
pub fn slope_around(
    shape: GridShape,
    size: CellSize,
    cell: Cell,
    height: impl Fn(Cell) -> Option<f64>,
) -> Option<f64> {
    let centre_m = height(cell).unwrap_or(0.0);
    let mut sums = PlaneSums::default();
    for row in places(cell.row, shape.rows, reach(size.dy_m)) {
        for col in places(cell.col, shape.cols, reach(size.dx_m)) {
            let Some(z) = height(Cell { row, col }) else { continue };
            sums.add(offset(col, cell.col) * size.dx_m, offset(row, cell.row) * size.dy_m, z - centre_m);
        }
    }
    sums.slope()
}

/// Rows or columns looked at.
fn places(middle: usize, count: usize, reach: usize) -> impl Iterator<Item = usize> {
    let step = reach.div_ceil(MOST_TO_A_SIDE);
    let to_a_side = reach / step;
    let before = (middle / step).min(to_a_side);
    (0..=before + to_a_side)
        .map(move |i| middle - before * step + i * step)
        .filter(move |&place| place < count)
}

#[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
fn offset(place: usize, middle: usize) -> f64 {
    place as f64 - middle as f64
}

/// What a plane is fitted by.
#[derive(Default)]
struct PlaneSums {
    n: f64,
    x: f64,
    y: f64,
    z: f64,
    xx: f64,
    xy: f64,
    yy: f64,
    xz: f64,
    yz: f64,
}

impl PlaneSums {
    fn add(&mut self, x: f64, y: f64, z: f64) {
        self.n += 1.0;
        self.x += x;
        self.y += y;
        self.z += z;
        self.xx += x * x;
        self.xy += x * y;
        self.yy += y * y;
        self.xz += x * z;
        self.yz += y * z;
    }

    /// Nothing for places on one line.
    fn slope(&self) -> Option<f64> {
        let (xx, yy) = (self.xx - self.x * self.x / self.n, self.yy - self.y * self.y / self.n);
        let xy = self.xy - self.x * self.y / self.n;
        let (xz, yz) = (self.xz - self.x * self.z / self.n, self.yz - self.y * self.z / self.n);
        let area = xx * yy - xy * xy;
        if !(self.n >= 3.0 && area > 1e-9 * xx * yy) {
            return None;
        }
        let (east, south) = ((xz * yy - yz * xy) / area, (yz * xx - xz * xy) / area);
        Some(east.hypot(south))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const SHAPE: GridShape = GridShape { rows: 40, cols: 40 };

    fn cells(dx_m: f64, dy_m: f64) -> CellSize {
        CellSize { dx_m, dy_m }
    }

    fn plane(size: CellSize, east: f64, south: f64) -> impl Fn(Cell) -> Option<f64> {
        move |cell| {
            Some(90.0 + east * offset(cell.col, 0) * size.dx_m + south * offset(cell.row, 0) * size.dy_m)
        }
    }

    // 3 % to the east and 4 % to the south are 5 %, in the middle, at a corner and on cells that aren't square.
    #[test]
    fn a_plane_has_its_own_slope_everywhere() {
        for size in [cells(1.0, 1.0), cells(0.25, 0.5), cells(10.0, 30.0)] {
            for cell in [Cell { row: 20, col: 20 }, Cell { row: 0, col: 39 }] {
                let found = slope_around(SHAPE, size, cell, plane(size, 0.03, -0.04)).unwrap();
                assert_relative_eq!(found, 0.05, max_relative = 1e-9);
            }
        }
    }

    // Every other row stands 20 cm up, the same to the north and the south.
    #[test]
    fn furrows_even_out() {
        let size = cells(1.0, 1.0);
        let furrows = |cell: Cell| Some(if cell.row.is_multiple_of(2) { 0.2 } else { 0.0 });
        assert!(slope_around(SHAPE, size, Cell { row: 20, col: 20 }, furrows).unwrap() < 1e-9);
    }

    #[test]
    fn unknown_ground_is_left_out() {
        let size = cells(1.0, 1.0);
        let here = Cell { row: 20, col: 20 };
        let known = plane(size, 0.0, 0.1);
        let half = |cell: Cell| known(cell).filter(|_| cell.col < 20);
        assert_relative_eq!(slope_around(SHAPE, size, here, half).unwrap(), 0.1, max_relative = 1e-9);
        let line = |cell: Cell| known(cell).filter(|_| cell.col == 20);
        assert_eq!(slope_around(SHAPE, size, here, line), None);
        assert_eq!(slope_around(SHAPE, size, here, |_| None), None);
    }

    #[test]
    fn fine_rasters_are_looked_at_here_and_there() {
        assert_eq!(slope_reach(cells(0.25, 1.0)), 30);
        assert!(places(100, 200, 30).eq((70..=130).step_by(5)));
        assert!(places(12, 20, 30).eq([2, 7, 12, 17]));
    }
}

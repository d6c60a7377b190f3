//! The exact share of each cell that a polygon covers.
//!
//! Every edge adds, row by row, the signed area between itself and the east end of the row; a running sum along the
//! row then gives each cell's covered share (Green's theorem, cell by cell). Exact for any polygon with holes and
//! parts that don't overlap, up to rounding of the sums.

use geo::{Coord, LineString, MultiPolygon};

/// A block of cells and the share of each that a polygon covers.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverage {
    /// First row of the block.
    pub row: usize,
    /// First column of the block.
    pub col: usize,
    /// Rows of the block.
    pub rows: usize,
    /// Columns of the block.
    pub cols: usize,
    /// Shares from 0 to 1, row by row.
    pub shares: Vec<f64>,
}

/// Covered shares of the cells of a grid with `rows` x `cols` cells; nothing if the polygon doesn't touch the grid.
///
/// `to_grid` gives column and row as real numbers (0, 0 at the north-west corner of the first cell).
///
/// # Method
/// See the module; expected values for its tests come from a general geometry library.
#[must_use]
pub fn coverage(
    outline: &MultiPolygon<f64>,
    rows: usize,
    cols: usize,
    to_grid: impl Fn(Coord<f64>) -> (f64, f64),
) -> Option<Coverage> {
    let rings: Vec<Vec<(f64, f64)>> = outline
        .iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .map(|ring| ring.coords().map(|&c| to_grid(c)).collect())
        .collect();
    let mut block = Block::around(&rings, rows, cols)?;
    for (polygon_rings, ring) in orientations(outline).into_iter().zip(&rings) {
        for pair in ring.windows(2) {
            block.add_edge(pair[0], pair[1], polygon_rings);
        }
    }
    Some(block.finish())
}

/// For every ring, +1 or -1 so that outer rings count as covered and holes as not, however they are wound.
fn orientations(outline: &MultiPolygon<f64>) -> Vec<f64> {
    let sign = |ring: &LineString<f64>, wanted: f64| wanted * doubled_area(ring).signum();
    outline
        .iter()
        .flat_map(|polygon| {
            std::iter::once(sign(polygon.exterior(), 1.0))
                .chain(polygon.interiors().iter().map(move |hole| sign(hole, -1.0)))
        })
        .collect()
}

/// Twice the signed area of a ring (counter-clockwise is positive), taken from its first vertex to keep digits.
fn doubled_area(ring: &LineString<f64>) -> f64 {
    let Some(&origin) = ring.0.first() else { return 0.0 };
    ring.lines()
        .map(|line| {
            let (a, b) = (line.start - origin, line.end - origin);
            a.x * b.y - b.x * a.y
        })
        .sum()
}

struct Block {
    row: usize,
    col: usize,
    rows: usize,
    cols: usize,
    /// One column more than cells, for what lies east of the block.
    sums: Vec<f64>,
}

impl Block {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "clamped to the grid before it is cut to whole cells"
    )]
    fn around(rings: &[Vec<(f64, f64)>], rows: usize, cols: usize) -> Option<Self> {
        let points = || rings.iter().flatten();
        let low = |value: f64, count: usize| value.floor().clamp(0.0, count as f64) as usize;
        let high = |value: f64, count: usize| value.ceil().clamp(0.0, count as f64) as usize;
        let min = |pick: fn(&(f64, f64)) -> f64| points().map(pick).fold(f64::INFINITY, f64::min);
        let max = |pick: fn(&(f64, f64)) -> f64| points().map(pick).fold(f64::NEG_INFINITY, f64::max);
        let (col, end_col) = (low(min(|p| p.0), cols), high(max(|p| p.0), cols));
        let (row, end_row) = (low(min(|p| p.1), rows), high(max(|p| p.1), rows));
        if col >= end_col || row >= end_row {
            return None;
        }
        let (rows, cols) = (end_row - row, end_col - col);
        Some(Self { row, col, rows, cols, sums: vec![0.0; rows * (cols + 1)] })
    }

    /// Adds the signed area to the east of one edge. `sign` turns the ring's winding into covered or not.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "clamped to the block before it is cut to whole rows"
    )]
    fn add_edge(&mut self, from: (f64, f64), to: (f64, f64), sign: f64) {
        let shift = |p: (f64, f64)| (p.0 - self.col as f64, p.1 - self.row as f64);
        let (a, b) = (shift(from), shift(to));
        // Rows are counted southwards, so a counter-clockwise ring runs down on its west side.
        let (top, bottom, sign) = if a.1 <= b.1 { (a, b, sign) } else { (b, a, -sign) };
        let (start, end) = (top.1.max(0.0), bottom.1.min(self.rows as f64));
        if start >= end {
            return;
        }
        let x_at = |y: f64| top.0 + (bottom.0 - top.0) * ((y - top.1) / (bottom.1 - top.1));
        for row in start as usize..(end.ceil() as usize).min(self.rows) {
            let (y0, y1) = (start.max(row as f64), end.min(row as f64 + 1.0));
            if y1 > y0 {
                self.add_in_row(row, (x_at(y0), x_at(y1)), sign * (y1 - y0));
            }
        }
    }

    /// Spreads a piece of edge that lies in one row over the columns it passes. `height` is signed.
    #[expect(clippy::cast_precision_loss, reason = "a block has far fewer than 2^52 columns")]
    fn add_in_row(&mut self, row: usize, (xa, xb): (f64, f64), height: f64) {
        let width = self.cols as f64;
        let (west, east) = if xa <= xb { (xa, xb) } else { (xb, xa) };
        let base = row * (self.cols + 1);
        // The part of the edge west of the block covers whole rows of it, the part east of it nothing.
        let run = east - west;
        let share = |from: f64, to: f64| if run > 0.0 { (to - from).max(0.0) / run } else { 0.0 };
        if run <= 0.0 || east <= 0.0 || west >= width {
            let x = west.clamp(0.0, width);
            self.add_piece(base, (x, x), height);
            return;
        }
        if west < 0.0 {
            self.add_piece(base, (0.0, 0.0), height * share(west, 0.0));
        }
        let (first, last) = (west.clamp(0.0, width), east.clamp(0.0, width));
        let mut x = first;
        while x < last {
            let next = (x.floor() + 1.0).min(last);
            self.add_piece(base, (x, next), height * share(x, next));
            x = next;
        }
    }

    /// A piece of edge within one column: the cell gets the part east of it, all later cells get the full height.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "inside the block"
    )]
    fn add_piece(&mut self, base: usize, (x0, x1): (f64, f64), height: f64) {
        let column = ((x0 + x1) * 0.5).floor().clamp(0.0, self.cols as f64) as usize;
        let inside = (x0 + x1) * 0.5 - column as f64;
        self.sums[base + column] += height * (1.0 - inside);
        if column < self.cols {
            self.sums[base + column + 1] += height * inside;
        }
    }

    fn finish(self) -> Coverage {
        let mut shares = Vec::with_capacity(self.rows * self.cols);
        for row in self.sums.chunks(self.cols + 1) {
            let mut running = 0.0;
            for &sum in &row[..self.cols] {
                running += sum;
                shares.push(running.clamp(0.0, 1.0));
            }
        }
        Coverage { row: self.row, col: self.col, rows: self.rows, cols: self.cols, shares }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use geo::{Area, polygon};

    fn shares(outline: &MultiPolygon<f64>) -> Coverage {
        coverage(outline, 8, 8, |c| (c.x, 8.0 - c.y)).unwrap()
    }

    // Hand arithmetic: a right triangle with legs of 2 covers half of the two cells on its long side.
    #[test]
    fn triangle_covers_halves_along_its_long_side() {
        let outline =
            MultiPolygon(vec![polygon![(x: 0., y: 8.), (x: 0., y: 6.), (x: 2., y: 6.), (x: 0., y: 8.)]]);
        let found = shares(&outline);
        assert_eq!((found.row, found.col, found.rows, found.cols), (0, 0, 2, 2));
        for (share, expected) in found.shares.iter().zip([0.5, 0.0, 1.0, 0.5]) {
            assert_relative_eq!(*share, expected, epsilon = 1e-12);
        }
    }

    #[test]
    fn shares_add_up_to_the_area_of_a_polygon_with_a_hole_wound_either_way() {
        let outline = polygon![exterior: [(x: 0.3, y: 0.2), (x: 7.1, y: 1.4), (x: 6.2, y: 7.7), (x: 1.1, y: 5.5), (x: 0.3, y: 0.2)],
            interiors: [[(x: 2.2, y: 2.2), (x: 4.7, y: 2.9), (x: 3.3, y: 4.8), (x: 2.2, y: 2.2)]]];
        let area = outline.unsigned_area();
        let mut turned = outline.clone();
        turned.exterior_mut(|r| r.0.reverse());
        for outline in [outline, turned] {
            let total: f64 = shares(&MultiPolygon(vec![outline])).shares.iter().sum();
            assert_relative_eq!(total, area, epsilon = 1e-9);
        }
    }

    #[test]
    fn a_polygon_that_reaches_beyond_the_grid_covers_its_part() {
        let outline = MultiPolygon(vec![
            polygon![(x: -5., y: -5.), (x: 20., y: -5.), (x: 20., y: 4.5), (x: -5., y: 4.5), (x: -5., y: -5.)],
        ]);
        let found = shares(&outline);
        let total: f64 = found.shares.iter().sum();
        assert_relative_eq!(total, 36.0, epsilon = 1e-9);
        assert_eq!((found.row, found.rows), (3, 5));
    }
}

//! Where the cells lie, and how large they are on the ground.

use super::{Cell, GridShape};

/// Place of a north-up grid in its coordinate system.
///
/// # Units
/// Those of the coordinate system (metres or feet).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Georef {
    /// West edge of the first column.
    pub west: f64,
    /// North edge of the first row.
    pub north: f64,
    /// Width of a column, above 0.
    pub step_x: f64,
    /// Height of a row, above 0.
    pub step_y: f64,
}

impl Georef {
    /// Coordinates of the middle of a cell.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    pub fn centre(self, cell: Cell) -> (f64, f64) {
        (
            self.west + (cell.col as f64 + 0.5) * self.step_x,
            self.north - (cell.row as f64 + 0.5) * self.step_y,
        )
    }

    /// The place of a part of the grid whose first cell is `first`.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    pub fn part(self, first: Cell) -> Self {
        Self {
            west: self.west + first.col as f64 * self.step_x,
            north: self.north - first.row as f64 * self.step_y,
            ..self
        }
    }

    /// Column and row as real numbers (0 at the north-west corner of the first cell).
    #[must_use]
    pub fn to_grid(self, x: f64, y: f64) -> (f64, f64) {
        ((x - self.west) / self.step_x, (self.north - y) / self.step_y)
    }
}

/// Size of a cell on the ground, the scale of the map projection taken out.
///
/// # Units
/// Metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellSize {
    /// West to east.
    pub dx_m: f64,
    /// North to south.
    pub dy_m: f64,
}

impl CellSize {
    /// Area of a cell in square metres.
    #[must_use]
    pub fn area_m2(self) -> f64 {
        self.dx_m * self.dy_m
    }

    /// Distance between cells that share a corner, in metres.
    #[must_use]
    pub fn diagonal_m(self) -> f64 {
        self.dx_m.hypot(self.dy_m)
    }

    /// Length of the step between two cells of a grid: straight, however far apart they are, in metres.
    #[must_use]
    pub fn between_m(self, shape: GridShape, from: usize, to: usize) -> f64 {
        let (a, b) = (shape.cell(from), shape.cell(to));
        match (a.row.abs_diff(b.row), a.col.abs_diff(b.col)) {
            (0, 1) => self.dx_m,
            (1, 0) => self.dy_m,
            (1, 1) => self.diagonal_m(),
            #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
            (rows, cols) => (rows as f64 * self.dy_m).hypot(cols as f64 * self.dx_m),
        }
    }

    /// The longer side, in metres.
    #[must_use]
    pub fn longer_m(self) -> f64 {
        self.dx_m.max(self.dy_m)
    }
}

//! Rectangular parts of a grid.

use crate::grid::GridShape;

/// A rectangle of cells of the working grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    /// First row.
    pub row: usize,
    /// First column.
    pub col: usize,
    /// Rows and columns.
    pub shape: GridShape,
}

impl Window {
    /// The whole of a grid.
    #[must_use]
    pub const fn whole(shape: GridShape) -> Self {
        Self { row: 0, col: 0, shape }
    }

    /// Whether the rectangle lies within a grid and has cells.
    #[must_use]
    pub const fn is_inside(self, shape: GridShape) -> bool {
        !self.shape.is_empty()
            && self.row + self.shape.rows <= shape.rows
            && self.col + self.shape.cols <= shape.cols
    }

    /// What the rectangle shares with another one.
    #[must_use]
    pub fn overlap(self, row: usize, col: usize, shape: GridShape) -> Option<Self> {
        let (top, left) = (self.row.max(row), self.col.max(col));
        let bottom = (self.row + self.shape.rows).min(row + shape.rows);
        let right = (self.col + self.shape.cols).min(col + shape.cols);
        (top < bottom && left < right).then(|| Self {
            row: top,
            col: left,
            shape: GridShape { rows: bottom - top, cols: right - left },
        })
    }
}

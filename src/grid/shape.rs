//! Rows, columns and cells.

use super::direction::{Direction, OFFSETS};

/// Rows and columns of a grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct GridShape {
    /// Rows, from north to south.
    pub rows: usize,
    /// Columns, from west to east.
    pub cols: usize,
}

/// One cell: row from the north, column from the west, both from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Cell {
    /// Row from the north, from 0.
    pub row: usize,
    /// Column from the west, from 0.
    pub col: usize,
}

impl GridShape {
    /// Number of cells.
    #[must_use]
    pub const fn len(self) -> usize {
        self.rows * self.cols
    }

    /// Whether there is no cell at all.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.len() == 0
    }

    /// Place of a cell in the row-by-row order.
    #[must_use]
    pub const fn index(self, cell: Cell) -> usize {
        cell.row * self.cols + cell.col
    }

    /// The cell at a place of the row-by-row order.
    #[must_use]
    pub const fn cell(self, index: usize) -> Cell {
        Cell { row: index / self.cols, col: index % self.cols }
    }

    /// Whether the cell lies on the outermost ring.
    #[must_use]
    pub const fn is_rim(self, cell: Cell) -> bool {
        cell.row == 0 || cell.col == 0 || cell.row + 1 == self.rows || cell.col + 1 == self.cols
    }

    /// The neighbour of a cell, if it lies on the grid.
    #[must_use]
    pub fn neighbour(self, cell: Cell, direction: Direction) -> Option<Cell> {
        let (down, right) = OFFSETS[direction.code() as usize];
        let row = cell.row.checked_add_signed(down)?;
        let col = cell.col.checked_add_signed(right)?;
        (row < self.rows && col < self.cols).then_some(Cell { row, col })
    }
}

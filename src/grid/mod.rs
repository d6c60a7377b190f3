//! Rasters in memory: shape, cells, values, and where the cells lie.

mod cell_set;
mod direction;
mod georef;
mod shape;

pub use cell_set::CellSet;
pub use direction::{Direction, OFFSETS};
pub use georef::{CellSize, Georef};
pub use shape::{Cell, GridShape};

/// Values of one kind on a grid, row by row from the north-west corner.
///
/// # Invariants
/// There are exactly `shape.len()` values.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid<T> {
    shape: GridShape,
    values: Vec<T>,
}

impl<T> Grid<T> {
    /// A grid of the given values.
    ///
    /// # Panics
    /// If the number of values isn't that of the shape: a fault of the caller.
    #[must_use]
    pub fn new(shape: GridShape, values: Vec<T>) -> Self {
        assert_eq!(values.len(), shape.len(), "a grid holds one value per cell");
        Self { shape, values }
    }

    /// A grid with one value throughout.
    #[must_use]
    pub fn filled(shape: GridShape, value: T) -> Self
    where
        T: Clone,
    {
        Self { shape, values: vec![value; shape.len()] }
    }

    /// Rows and columns.
    #[must_use]
    pub const fn shape(&self) -> GridShape {
        self.shape
    }

    /// All values, row by row.
    #[must_use]
    pub fn values(&self) -> &[T] {
        &self.values
    }

    /// All values, row by row, to be changed.
    #[must_use]
    pub fn values_mut(&mut self) -> &mut [T] {
        &mut self.values
    }

    /// Gives the values away.
    #[must_use]
    pub fn into_values(self) -> Vec<T> {
        self.values
    }

    /// The value of a cell.
    #[must_use]
    pub fn at(&self, cell: Cell) -> &T {
        &self.values[self.shape.index(cell)]
    }

    /// The value of a cell, to be changed.
    #[must_use]
    pub fn at_mut(&mut self, cell: Cell) -> &mut T {
        let index = self.shape.index(cell);
        &mut self.values[index]
    }
}

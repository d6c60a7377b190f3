//! Where water leaves the ground.

use crate::grid::{Cell, GridShape};

/// What a side of the grid is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Water leaves over it.
    Open,
    /// A wall.
    Closed,
}

/// The four sides of the grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rim {
    /// The first row.
    pub north: Side,
    /// The last column.
    pub east: Side,
    /// The last row.
    pub south: Side,
    /// The first column.
    pub west: Side,
}

impl Rim {
    /// Water leaves over all four sides.
    pub const OPEN: Self = Self { north: Side::Open, east: Side::Open, south: Side::Open, west: Side::Open };
    /// Four walls.
    pub const CLOSED: Self =
        Self { north: Side::Closed, east: Side::Closed, south: Side::Closed, west: Side::Closed };

    /// Whether water leaves the grid at this cell. A corner cell belongs to both its sides: one open side will do.
    #[must_use]
    pub fn lets_out(self, shape: GridShape, cell: Cell) -> bool {
        (cell.row == 0 && self.north == Side::Open)
            || (cell.row + 1 == shape.rows && self.south == Side::Open)
            || (cell.col == 0 && self.west == Side::Open)
            || (cell.col + 1 == shape.cols && self.east == Side::Open)
    }
}

/// One more way out: a cell where water leaves once it stands at a level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlet {
    /// The cell.
    pub cell: Cell,
    /// Level at which water starts to leave, in metres; below the cell's own ground, the ground counts.
    pub level_m: f32,
}

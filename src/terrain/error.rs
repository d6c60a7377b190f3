//! What can be wrong with a surface.

use crate::grid::{Cell, GridShape};

/// A surface whose sinks can't be filled.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
#[non_exhaustive]
pub enum TerrainError {
    /// Some ground has no way out at all.
    #[error(
        "water has no way out of the ground around row {}, column {}: its sides are closed, and no hole or outlet touches it",
        cell.row, cell.col
    )]
    #[diagnostic(
        code(terrain::no_outlet),
        help("open a side of the grid, or give an outlet inside this piece of ground")
    )]
    NoOutlet {
        /// A cell of the piece of ground.
        cell: Cell,
    },
    /// More cells than the 32-bit cell numbers reach.
    #[error("the grid has {rows} x {cols} cells; at most {} can be filled in one piece", u32::MAX - 1)]
    #[diagnostic(code(terrain::too_large), help("cut the grid into windows"))]
    TooLarge {
        /// Rows found.
        rows: usize,
        /// Columns found.
        cols: usize,
    },
    /// An elevation is infinite.
    #[error("the elevation at row {}, column {} is infinite", cell.row, cell.col)]
    #[diagnostic(code(terrain::infinite), help("mark cells without a measurement as holes (NaN)"))]
    Infinite {
        /// The cell.
        cell: Cell,
    },
    /// An outlet lies off the grid.
    #[error(
        "the outlet at row {}, column {} lies off the grid of {} x {} cells",
        cell.row, cell.col, shape.rows, shape.cols
    )]
    #[diagnostic(code(terrain::outlet_off_grid))]
    OutletOffGrid {
        /// The outlet's cell.
        cell: Cell,
        /// The grid.
        shape: GridShape,
    },
    /// An outlet lies where there is no ground.
    #[error("the outlet at row {}, column {} lies in a hole of the elevations", cell.row, cell.col)]
    #[diagnostic(
        code(terrain::outlet_in_hole),
        help("leave it out: ground that touches a hole drains into it anyway")
    )]
    OutletInHole {
        /// The outlet's cell.
        cell: Cell,
    },
    /// The level of an outlet is no elevation.
    #[error("the outlet at row {}, column {} has the level {level_m} m", cell.row, cell.col)]
    #[diagnostic(
        code(terrain::outlet_level),
        help("give the level in metres, or the ground's own elevation")
    )]
    OutletLevel {
        /// The outlet's cell.
        cell: Cell,
        /// The level given, in metres.
        level_m: f32,
    },
}

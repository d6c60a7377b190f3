//! Whether the repeats' likelihoods come true as often as they say on a piece of ground.

use crate::grid::{Cell, CellSize, Grid};
use crate::units::Length;
use serde::Serialize;

/// Half the side of the ground over which a fall is taken, m: far enough that the error hardly turns it.
const HALF_SIDE_M: f64 = 5.0;
/// Cells that are looked at, at the most.
const LOOKED_AT: usize = 2000;
/// Ground that is rougher, or falls more in a cell, than these times the error has likelihoods that come true as
/// often as they say; on other ground they can be off to either side. Measured: `tests/calibration/`.
const CALIBRATED_FROM: GroundToError = GroundToError { fall_in_errors: 4.0, roughness_in_errors: 3.0 };
/// Of a normal distribution half lies within so many standard errors.
const HALF_WITHIN: f64 = 0.674_489_750_196_082;

/// The ground's fall and roughness against the error of its elevations.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GroundToError {
    /// What it falls in a cell, times the RMSE.
    pub fall_in_errors: f64,
    /// How rough it is from cell to cell, times what an uncorrelated error of that RMSE alone would make of a
    /// plane.
    pub roughness_in_errors: f64,
}

impl GroundToError {
    /// Whether likelihoods come true as often as they say: where a second error added to a surface that has one
    /// makes it hardly rougher, or turns its fall but little.
    #[must_use]
    pub fn is_calibrated(self) -> bool {
        self.fall_in_errors >= CALIBRATED_FROM.fall_in_errors
            || self.roughness_in_errors >= CALIBRATED_FROM.roughness_in_errors
    }

    /// Of the surface as given, at some cells of it; nothing where none of them has ground all around it.
    ///
    /// # Method
    /// The middle of the falls of the planes that fit best (least squares) to the cells within 5 m of each; and
    /// the middle of the second differences along rows and columns, by 0.6745 a standard deviation, which for an
    /// uncorrelated error alone is sqrt(1 + 4 + 1) times its own.
    #[must_use]
    pub fn of(surface: &Grid<f32>, cells: &[usize], cell: CellSize, rmse: Length) -> Option<Self> {
        let every = cells.len().div_ceil(LOOKED_AT).max(1);
        let looked = || cells.iter().step_by(every).map(|&index| surface.shape().cell(index));
        let fall = middle(looked().filter_map(|at| fall_m(surface, at, cell)).collect())?;
        let rough = middle(looked().flat_map(|at| second_differences(surface, at)).collect())?;
        let of_white = HALF_WITHIN * 6.0_f64.sqrt();
        Some(Self {
            fall_in_errors: fall / rmse.as_m(),
            roughness_in_errors: rough / (of_white * rmse.as_m()),
        })
    }
}

/// What the ground around a cell falls in a cell's length, m.
fn fall_m(surface: &Grid<f32>, at: Cell, cell: CellSize) -> Option<f64> {
    let steps = |size_m: f64| {
        #[expect(clippy::cast_possible_truncation, reason = "a few cells")]
        let count = (HALF_SIDE_M / size_m).round() as i32;
        count.max(1)
    };
    let (rows, cols) = (steps(cell.dy_m), steps(cell.dx_m));
    let (mut east, mut south) = (0.0, 0.0);
    for row in -rows..=rows {
        for col in -cols..=cols {
            let z = beside(surface, at, row, col)?;
            east += f64::from(col) * z;
            south += f64::from(row) * z;
        }
    }
    // Sum of the squares of -n to n, once for each line across.
    let squares = |n: i32, across: i32| f64::from(n * (n + 1) * (2 * n + 1) / 3 * (2 * across + 1));
    let grade = (east / squares(cols, rows) / cell.dx_m).hypot(south / squares(rows, cols) / cell.dy_m);
    Some(grade * (cell.dx_m * cell.dy_m).sqrt())
}

/// How far a cell lies from the middle of the two beside it, twice, along both axes, m.
fn second_differences(surface: &Grid<f32>, at: Cell) -> impl Iterator<Item = f64> {
    [(0, 1), (1, 0)].into_iter().filter_map(move |(row, col)| {
        let here = beside(surface, at, 0, 0)?;
        Some((beside(surface, at, -row, -col)? - 2.0 * here + beside(surface, at, row, col)?).abs())
    })
}

/// Elevation so many rows down and columns right of a cell; nothing beyond the grid or in a hole.
fn beside(surface: &Grid<f32>, at: Cell, down: i32, right: i32) -> Option<f64> {
    let row = at.row.checked_add_signed(down as isize).filter(|&row| row < surface.shape().rows)?;
    let col = at.col.checked_add_signed(right as isize).filter(|&col| col < surface.shape().cols)?;
    let z = *surface.at(Cell { row, col });
    (!z.is_nan()).then(|| f64::from(z))
}

fn middle(mut values: Vec<f64>) -> Option<f64> {
    let at = values.len() / 2;
    (!values.is_empty()).then(|| *values.select_nth_unstable_by(at, f64::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::certainty::{ErrorModel, FieldSource};
    use crate::grid::GridShape;
    use approx::assert_relative_eq;

    const SHAPE: GridShape = GridShape { rows: 60, cols: 60 };

    fn plane(east: f64, south: f64) -> Grid<f32> {
        let z = |index: usize| {
            let Cell { row, col } = SHAPE.cell(index);
            let [row, col] = [row, col].map(|n| f64::from(u32::try_from(n).expect("a small number")));
            #[expect(clippy::cast_possible_truncation, reason = "rasters hold f32")]
            let z = (100.0 - east * col - south * row) as f32;
            z
        };
        Grid::new(SHAPE, (0..SHAPE.len()).map(z).collect())
    }

    fn found(surface: &Grid<f32>, cell: CellSize) -> GroundToError {
        let all: Vec<usize> = (0..SHAPE.len()).collect();
        GroundToError::of(surface, &all, cell, Length::from_m(0.1)).expect("there is ground")
    }

    // 3 and 4 cm a metre are 5 %: in 1 m half the error of 0.1 m; cells of 2 by 0.5 m are 1 m wide on average.
    #[test]
    fn a_plane_falls_as_it_does_and_is_not_rough() {
        let square = found(&plane(0.03, 0.04), CellSize { dx_m: 1.0, dy_m: 1.0 });
        assert_relative_eq!(square.fall_in_errors, 0.5, max_relative = 1e-4);
        assert!(square.roughness_in_errors < 1e-3, "{square:?}");
        let long = found(&plane(0.06, 0.02), CellSize { dx_m: 2.0, dy_m: 0.5 });
        assert_relative_eq!(long.fall_in_errors, 0.5, max_relative = 1e-4);
    }

    // An uncorrelated error of 0.3 m is three times as rough as one of 0.1 m, by definition.
    #[test]
    fn an_error_makes_a_plane_as_rough_as_it_is_itself() {
        let cell = CellSize { dx_m: 1.0, dy_m: 1.0 };
        let model = ErrorModel::new(Length::from_m(0.3), Length::ZERO);
        let fields = FieldSource::new(&model, 0.0, SHAPE, cell, 7).pair(0);
        let rough = Grid::new(SHAPE, fields.added_to(plane(0.3, 0.4).values(), false));
        let found = found(&rough, cell);
        assert_relative_eq!(found.roughness_in_errors, 3.0, max_relative = 0.05);
        // And turns its fall of 5 little: over 11 by 11 cells by 0.3 / sqrt(1210) = 0.009 m a cell.
        assert_relative_eq!(found.fall_in_errors, 5.0, max_relative = 0.02);
    }

    #[test]
    fn holes_and_rims_have_no_fall() {
        let mut surface = plane(0.03, 0.04);
        surface.values_mut().fill(f32::NAN);
        let all: Vec<usize> = (0..SHAPE.len()).collect();
        let cell = CellSize { dx_m: 1.0, dy_m: 1.0 };
        assert_eq!(GroundToError::of(&surface, &all, cell, Length::from_m(0.1)), None);
        assert_eq!(GroundToError::of(&plane(0.1, 0.1), &[], cell, Length::from_m(0.1)), None);
    }
}

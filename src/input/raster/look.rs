//! A look at the stored numbers, for signs that something isn't as declared.

use super::clean::{HIGHEST_M, Tally};
use super::describe::apply;
use super::mosaic::SourceGrid;
use super::window::Window;
use crate::grid::{Cell, CellSize, Grid, GridShape};
use crate::input::error::InputError;
use crate::input::numbers::{count, real};
use crate::input::units::{StatedUnit, UnitSource};
use crate::warning::Warning;
use std::path::Path;

/// Rasters up to this many cells are looked at whole.
const WHOLE: usize = 16 << 20;
/// Side, in cells, of the part that is looked at in larger ones.
const PART: usize = 2048;
/// Height difference between neighbours, in metres, that no ground has: the tallest known sheer drop is about 1,200 m,
/// and cells of a survey don't miss a whole cliff of a third of that.
const STEP_M: f64 = 300.0;
/// Ground on both sides of 0 has cells between: where all others lie further from 0 than this (metres), 0 is a gap.
const GAP_BESIDE_ZERO_M: f64 = 10.0;
/// Mean grade of ground over a whole survey: alpine terrain reaches about 0.7.
const STEEPEST: f64 = 1.2;

/// What was seen.
#[derive(Debug, Clone)]
pub(crate) struct Look {
    tally: Tally,
    part: Window,
    whole: GridShape,
    low_m: f64,
    high_m: f64,
    /// The elevation nearest to 0 that isn't 0.
    beside_zero_m: f64,
    has_zeros: bool,
    mean_grade: f64,
    steps: usize,
    first_step: Option<(Cell, f64)>,
}

/// Looks at the whole raster, or at the part around a place (columns and rows) of a large one.
pub(crate) fn look(grid: &SourceGrid, cell: CellSize, (col, row): (f64, f64)) -> Result<Look, InputError> {
    let whole = grid.shape;
    let side = |centre: f64, limit: usize| {
        let length = PART.min(limit);
        (count(centre - real(length) / 2.0).min(limit - length), length)
    };
    let part = if whole.len() <= WHOLE {
        Window::whole(whole)
    } else {
        let ((row, rows), (col, cols)) = (side(row, whole.rows), side(col, whole.cols));
        Window { row, col, shape: GridShape { rows, cols } }
    };
    let mut tally = Tally::default();
    let heights = grid.read_counting(part, &mut tally)?;
    let mut seen = Look {
        tally,
        part,
        whole,
        low_m: f64::INFINITY,
        high_m: f64::NEG_INFINITY,
        beside_zero_m: f64::INFINITY,
        has_zeros: false,
        mean_grade: 0.0,
        steps: 0,
        first_step: None,
    };
    seen.measure(&heights, cell);
    Ok(seen)
}

impl Look {
    fn measure(&mut self, heights: &Grid<f32>, cell: CellSize) {
        let GridShape { rows, cols } = heights.shape();
        let (mut grades, mut pairs) = (0.0, 0.0);
        for row in 0..rows {
            for col in 0..cols {
                let here = f64::from(*heights.at(Cell { row, col }));
                if here.is_nan() {
                    continue;
                }
                self.low_m = self.low_m.min(here);
                self.high_m = self.high_m.max(here);
                if here == 0.0 {
                    self.has_zeros = true;
                } else {
                    self.beside_zero_m = self.beside_zero_m.min(here.abs());
                }
                let east = (col + 1 < cols).then(|| (Cell { row, col: col + 1 }, cell.dx_m));
                let south = (row + 1 < rows).then(|| (Cell { row: row + 1, col }, cell.dy_m));
                for (next, distance_m) in [east, south].into_iter().flatten() {
                    let step = (f64::from(*heights.at(next)) - here).abs();
                    if step.is_nan() {
                        continue;
                    }
                    grades += step / distance_m;
                    pairs += 1.0;
                    if step > STEP_M && distance_m < STEP_M {
                        self.steps += 1;
                        let place = Cell { row: row + self.part.row, col: col + self.part.col };
                        self.first_step.get_or_insert((place, step));
                    }
                }
            }
        }
        if pairs > 0.0 {
            self.mean_grade = grades / pairs;
        }
    }

    /// Whether no cell has an elevation although all were looked at.
    pub(crate) fn is_void(&self) -> bool {
        self.tally.valid == 0 && self.part.shape == self.whole
    }

    /// Whether 0 stands for "nothing here": there are zeros, and everything else is far from 0.
    pub(crate) fn zeros_are_gaps(&self) -> bool {
        self.has_zeros && self.beside_zero_m.is_finite() && self.beside_zero_m > GAP_BESIDE_ZERO_M
    }

    /// All that must be said, given what the elevations are taken to be counted in.
    pub(crate) fn warnings(
        &self,
        path: &Path,
        grid: &SourceGrid,
        cell: CellSize,
        stated: StatedUnit,
    ) -> Vec<Warning> {
        let seen = if self.part.shape == self.whole { "" } else { " in the part around the lot" };
        let name = path.display();
        let place = |cell: Cell| {
            let (x, y) = apply(grid.affine, real(cell.col) + 0.5, real(cell.row) + 0.5);
            format!("at {x:.2}, {y:.2} (row {}, column {})", cell.row, cell.col)
        };
        let mut warnings = Vec::new();
        if let Some((first, stored)) = self.tally.first_suspect {
            warnings.push(Warning::new(
                "nodata-suspected",
                format!(
                    "{name}: {} cells{seen} hold numbers that are no elevations, such as {stored} {}; they are treated as \
                     holes, though the file does not declare them",
                    self.tally.suspect,
                    place(first)
                ),
                "declare the number with --elevation-nodata, or, if it is ground, the number that does mark gaps",
            ));
        }
        if let Some((first, step_m)) = self.first_step {
            warnings.push(Warning::new(
                "elevation-steps",
                format!(
                    "{name}: {} pairs of neighbouring cells{seen} differ by more than {STEP_M} m, first by {step_m:.0} m {}",
                    self.steps,
                    place(first)
                ),
                "if these are gaps, declare their number with --elevation-nodata",
            ));
        }
        if self.tally.valid > 0 && (self.high_m > HIGHEST_M || self.mean_grade > STEEPEST) {
            let unit = stated.unit.name();
            let said = match stated.from {
                UnitSource::Assumed => " (assumed)",
                UnitSource::Unknown => " (a guess)",
                _ => "",
            };
            warnings.push(Warning::new(
                "vertical-unit-doubtful",
                format!(
                    "{name}: read in {unit}{said}, elevations run from {:.1} to {:.1} m with a mean grade of {:.0} %, \
                     which is not ground",
                    self.low_m,
                    self.high_m,
                    self.mean_grade * 100.0
                ),
                "pass --elevation-unit with the right unit (cm for whole centimetres)",
            ));
        }
        let quantum_m = stated.unit.metres();
        let typical_m = self.mean_grade * cell.longer_m();
        if self.tally.fractional == 0 && self.tally.valid > 100 && quantum_m > typical_m {
            warnings.push(Warning::new(
                "elevations-rounded",
                format!(
                    "{name}: all elevations are whole numbers ({quantum_m:.2} m steps), more than the typical difference \
                     between neighbours ({typical_m:.2} m): slopes look like terraces"
                ),
                "use elevations with decimals",
            ));
        }
        warnings
    }
}

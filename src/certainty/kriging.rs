//! What a few known differences say of the ground around them.

use super::covariance::Covariance;
use super::error_model::correlation;
use crate::grid::{Cell, CellSize, Grid, GridShape};
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// Less than this share of a part of the covariance counts as nothing.
const NOTHING: f64 = 1e-7;

/// Known differences can't be told apart: two at one place without an error, or nearly so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the places of {count} shots can't be told apart by the model of the error")]
pub struct NotApart {
    /// How many there are.
    pub count: usize,
}

/// Simple kriging of a field of mean 0 that is known, but for an error of its own, at some cells.
///
/// # Method
/// With the covariances K of the known cells and their errors' variances N on the diagonal, the weights of
/// differences d are w = (K + N)⁻¹ d; the field's mean at a place is k'w, and its variance C(0) - k'(K + N)⁻¹k,
/// with k its covariances with the known cells.
///
/// # Source
/// N. Cressie 1993, Statistics for Spatial Data, chapter 3 (from memory).
#[derive(Debug, Clone)]
pub struct Kriging {
    covariance: Covariance,
    step: CellSize,
    known: Vec<Cell>,
    solved: Cholesky<f64, Dyn>,
}

/// What each known cell adds to the field, by covariance: m per m².
#[derive(Debug, Clone, PartialEq)]
pub struct Weights(Vec<f64>);

impl Kriging {
    /// From the known cells and the variances of what is known of each, m².
    ///
    /// # Errors
    /// [`NotApart`] where two cells are one, or as good as one, and nothing is said of an error.
    ///
    /// # Panics
    /// If there isn't a variance for each cell.
    pub fn new(
        covariance: Covariance,
        step: CellSize,
        known: Vec<Cell>,
        variances_m2: &[f64],
    ) -> Result<Self, NotApart> {
        assert_eq!(known.len(), variances_m2.len(), "each has an error");
        let count = known.len();
        let mut matrix =
            DMatrix::from_fn(count, count, |i, j| covariance.at(apart(step, known[i], known[j])));
        for (i, variance) in variances_m2.iter().enumerate() {
            matrix[(i, i)] += variance;
        }
        let solved = Cholesky::new(matrix).ok_or(NotApart { count })?;
        Ok(Self { covariance, step, known, solved })
    }

    /// The weights of differences at the known cells, m.
    ///
    /// # Panics
    /// If there isn't one for each.
    #[must_use]
    pub fn weights(&self, differences_m: &[f64]) -> Weights {
        Weights(self.solved.solve(&DVector::from_column_slice(differences_m)).as_slice().to_vec())
    }

    /// The field at a cell, m.
    #[must_use]
    pub fn mean_at(&self, weights: &Weights, cell: Cell) -> f64 {
        self.known.iter().zip(&weights.0).map(|(&known, weight)| weight * self.between(known, cell)).sum()
    }

    /// Variance of the field that is left at a cell, m².
    #[must_use]
    pub fn variance_at(&self, cell: Cell) -> f64 {
        let k = DVector::from_iterator(
            self.known.len(),
            self.known.iter().map(|&known| self.between(known, cell)),
        );
        self.covariance.variance() - k.dot(&self.solved.solve(&k))
    }

    /// Adds the field, times a factor, to a surface whose first cell is `first` of the grid of the known cells.
    ///
    /// # Method
    /// Each part of the covariance is a product along the axes, so that a row costs a sum over the known cells
    /// near it. A cell's sum doesn't hang on the surface's extent.
    pub fn add_to(&self, weights: &Weights, factor: f64, first: Cell, surface: &mut Grid<f32>) {
        let shape = surface.shape();
        let bumps: Vec<Bump> = (self.covariance.parts().iter())
            .flat_map(|&(variance, range)| {
                let all = self.known.iter().zip(&weights.0);
                all.map(move |(&known, weight)| (known, range, factor * variance * weight))
            })
            .filter_map(|(known, range, top_m)| Bump::of((known, range, top_m), self.step, first, shape))
            .collect();
        let mut sums = vec![0.0; shape.cols];
        for (row, values) in surface.values_mut().chunks_mut(shape.cols).enumerate() {
            sums.fill(0.0);
            for bump in &bumps {
                bump.add_to(row, &mut sums);
            }
            for (z, sum) in values.iter_mut().zip(&sums) {
                #[expect(clippy::cast_possible_truncation, reason = "surfaces are held in single precision")]
                let moved = (f64::from(*z) + sum) as f32;
                *z = moved;
            }
        }
    }

    fn between(&self, a: Cell, b: Cell) -> f64 {
        self.covariance.at(apart(self.step, a, b))
    }
}

/// What one known cell adds by one part of the covariance, on a surface.
struct Bump {
    /// By row, m.
    down: Vec<f64>,
    /// First column that it reaches, and what is left by column from there.
    from: usize,
    across: Vec<f64>,
}

impl Bump {
    /// Nothing where it doesn't reach the surface.
    fn of(
        (known, range, top_m): (Cell, f64, f64),
        step: CellSize,
        first: Cell,
        shape: GridShape,
    ) -> Option<Self> {
        let along = |count: usize, start: usize, known: usize, step: f64| -> Vec<f64> {
            let left = |place: usize| correlation(steps(start + place, known) * step, range);
            (0..count).map(left).map(|c| if c < NOTHING { 0.0 } else { c }).collect()
        };
        let across = along(shape.cols, first.col, known.col, step.dx_m);
        let down = along(shape.rows, first.row, known.row, step.dy_m);
        let from = across.iter().position(|&c| c > 0.0)?;
        let to = across.iter().rposition(|&c| c > 0.0)? + 1;
        let across = across[from..to].to_vec();
        Some(Self { down: down.into_iter().map(|c| c * top_m).collect(), from, across })
    }

    fn add_to(&self, row: usize, sums: &mut [f64]) {
        let top = self.down[row];
        if top == 0.0 {
            return;
        }
        for (sum, c) in sums[self.from..].iter_mut().zip(&self.across) {
            *sum += top * c;
        }
    }
}

/// What lies between two cells along each axis, m.
fn apart(step: CellSize, a: Cell, b: Cell) -> [f64; 2] {
    [steps(a.col, b.col) * step.dx_m, steps(a.row, b.row) * step.dy_m]
}

#[expect(clippy::cast_precision_loss, reason = "cells stay far below 2^52")]
fn steps(a: usize, b: usize) -> f64 {
    a.abs_diff(b) as f64
}

#[cfg(test)]
#[path = "kriging_tests.rs"]
mod tests;

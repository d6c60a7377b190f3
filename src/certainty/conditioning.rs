//! Error fields that agree with shots of the ground.

use super::covariance::Covariance;
use super::error_model::ErrorModel;
use super::kriging::{Kriging, NotApart, Weights};
use crate::grid::{Cell, CellSize, Grid, GridShape};
use crate::units::Length;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// Streams of random numbers of the shots' own errors, beyond those of fields and parcels.
const SHOT_STREAM: u64 = 2 << 32;

/// What a shot says of the ground in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observed {
    /// The cell.
    pub cell: Cell,
    /// Shot less surface, m.
    pub difference_m: f64,
    /// Standard error of the shot, m.
    pub accuracy_m: f64,
}

/// What shots say of the ground around them, for each range of the error.
///
/// # Method
/// The ground is the surface plus a field of the model's covariance, which is known at the shots but for their
/// own errors (simple kriging, [`Kriging`]). A field that wasn't asked to agree is made to: kriging of what is
/// left at the shots, own errors drawn for them too, is added to it. The sum has the mean and the covariance
/// that the field has given the shots (A. G. Journel and C. J. Huijbregts 1978, Mining Geostatistics, chapter
/// 7; from memory).
#[derive(Debug, Clone)]
pub struct Conditioning {
    observed: Vec<Observed>,
    /// By range of the model, with the weights of the differences.
    by_range: Vec<(Kriging, Weights)>,
    /// Ranges, of the same places, that the mean is taken over.
    averaged: Vec<usize>,
}

impl Conditioning {
    /// # Errors
    /// [`NotApart`] where two shots say something of one cell without an error.
    pub fn new(model: &ErrorModel, step: CellSize, observed: Vec<Observed>) -> Result<Self, NotApart> {
        let cells: Vec<Cell> = observed.iter().map(|one| one.cell).collect();
        let variances: Vec<f64> = observed.iter().map(|one| one.accuracy_m.powi(2)).collect();
        let differences: Vec<f64> = observed.iter().map(|one| one.difference_m).collect();
        let of_range = |&range: &Length| {
            let kriging = Kriging::new(Covariance::of(model, range), step, cells.clone(), &variances)?;
            let weights = kriging.weights(&differences);
            Ok((kriging, weights))
        };
        let by_range = model.ranges.iter().map(of_range).collect::<Result<Vec<_>, NotApart>>()?;
        // Without a range a shot says something of its own cell alone: a spike on the surface, no ground.
        let ranges = || 0..model.ranges.len();
        let mut averaged: Vec<usize> = ranges().filter(|&i| model.ranges[i] > Length::ZERO).collect();
        if averaged.is_empty() {
            averaged = ranges().collect();
        }
        Ok(Self { observed, by_range, averaged })
    }

    /// The shots.
    #[must_use]
    pub fn observed(&self) -> &[Observed] {
        &self.observed
    }

    /// Moves a surface by the mean correction: that of all ranges above 0 alike. `first` is its first cell.
    pub fn correct(&self, first: Cell, surface: &mut Grid<f32>) {
        self.add_mean(1.0, first, surface);
    }

    /// Takes the mean correction back.
    pub fn take_back(&self, first: Cell, surface: &mut Grid<f32>) {
        self.add_mean(-1.0, first, surface);
    }

    /// The mean correction at a cell, m.
    #[must_use]
    pub fn mean_at(&self, cell: Cell) -> f64 {
        let each = self.averaged.iter().map(|&range| &self.by_range[range]);
        self.share() * each.map(|(kriging, weights)| kriging.mean_at(weights, cell)).sum::<f64>()
    }

    fn add_mean(&self, factor: f64, first: Cell, surface: &mut Grid<f32>) {
        for &range in &self.averaged {
            let (kriging, weights) = &self.by_range[range];
            kriging.add_to(weights, factor * self.share(), first, surface);
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "a few ranges")]
    fn share(&self) -> f64 {
        1.0 / self.averaged.len() as f64
    }

    /// Those of the shots that lie on a window whose first cell is `first`; nothing if none does.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn on(
        &self,
        model: &ErrorModel,
        step: CellSize,
        first: Cell,
        shape: GridShape,
    ) -> Result<Option<Self>, NotApart> {
        let is_on = |Cell { row, col }: Cell| {
            (first.row..first.row + shape.rows).contains(&row)
                && (first.col..first.col + shape.cols).contains(&col)
        };
        let observed: Vec<Observed> = self.observed.iter().filter(|one| is_on(one.cell)).copied().collect();
        if observed.is_empty() { Ok(None) } else { Self::new(model, step, observed).map(Some) }
    }

    /// Makes a surface agree with the shots, all of which lie on it: `plain` without and `drawn` with an error
    /// field of the model's range of this place. `(seed, realisation)` give the errors of the shots.
    ///
    /// # Panics
    /// If a shot lies beyond the surface.
    pub fn condition(
        &self,
        first: Cell,
        plain: &Grid<f32>,
        drawn: &mut Grid<f32>,
        range: usize,
        (seed, realisation): (u64, u64),
    ) {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        random.set_stream(SHOT_STREAM + realisation);
        let left = |one: &Observed| {
            let at = Cell { row: one.cell.row - first.row, col: one.cell.col - first.col };
            let error = f64::from(*drawn.at(at)) - f64::from(*plain.at(at));
            let own: f64 = StandardNormal.sample(&mut random);
            one.difference_m - error - own * one.accuracy_m
        };
        let left: Vec<f64> = self.observed.iter().map(left).collect();
        let (kriging, _) = &self.by_range[range];
        kriging.add_to(&kriging.weights(&left), 1.0, first, drawn);
    }
}

#[cfg(test)]
#[path = "conditioning_tests.rs"]
mod tests;

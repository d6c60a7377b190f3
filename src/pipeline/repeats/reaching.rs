//! How likely a cell's water reaches the lot, over all realisations.

use super::super::ground::Ground;
use crate::flow::Reach;
use crate::grid::{Georef, Grid};
use crate::lots::Scene;

/// A share of 1 as a whole number: sums of whole numbers don't hang on their order.
const ONE: u32 = 10_000;

/// Shares that reached the lot, summed by cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Reaching {
    sums: Vec<u32>,
}

impl Reaching {
    pub(super) fn none(cells: usize) -> Self {
        Self { sums: vec![0; cells] }
    }

    /// Adds the shares of one realisation; the lot's own cells count in full. `in_window` gives a cell's place
    /// in the window.
    pub(super) fn add(
        &mut self,
        scene: &Scene<'_>,
        reach: &Reach,
        shares: &[f64],
        in_window: impl Fn(usize) -> usize,
    ) {
        for (&cell, &share) in reach.cells().iter().zip(shares) {
            let share = if scene.is_subject(cell as usize) { 1.0 } else { share };
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 1")]
            let whole = (share * f64::from(ONE)).round() as u32;
            self.sums[in_window(cell as usize)] += whole;
        }
    }

    /// The same sums, but for a step of the last digit.
    #[cfg(test)]
    pub(super) fn assert_alike(&self, other: &Self) {
        assert!(self.sums.iter().zip(&other.sums).all(|(&a, &b)| a.abs_diff(b) <= 1));
    }

    pub(super) fn merge(&mut self, other: &Self) {
        for (sum, more) in self.sums.iter_mut().zip(&other.sums) {
            *sum += more;
        }
    }

    /// The mean over so many realisations.
    #[expect(clippy::cast_possible_truncation, clippy::cast_precision_loss, reason = "rasters hold f32")]
    pub(super) fn likelihood(&self, ground: &Ground, realisations: usize) -> LikelihoodMap {
        let all = f64::from(ONE) * realisations as f64;
        let value =
            |(&sum, z): (&u32, &f32)| if z.is_nan() { f32::NAN } else { (f64::from(sum) / all) as f32 };
        let values = self.sums.iter().zip(ground.raw.values()).map(value).collect();
        LikelihoodMap { georef: ground.georef, values: Grid::new(ground.raw.shape(), values) }
    }
}

/// Likelihood that a cell's water reaches the lot, on the window of the repeats.
#[derive(Debug, Clone)]
pub struct LikelihoodMap {
    /// Place of the window.
    pub georef: Georef,
    /// Mean over the realisations of the share that reaches the lot, 1 on the lot; NaN where there is no
    /// elevation.
    pub values: Grid<f32>,
}

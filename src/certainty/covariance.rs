//! Covariance of the errors of two places.

use super::error_model::{ErrorModel, SHORT_RANGE, SHORT_SHARE, correlation};
use crate::units::Length;

/// Short and long part of an error whose long part has this range: share of the variance, and range, m.
#[must_use]
pub fn parts(range_m: f64) -> Vec<(f64, f64)> {
    if range_m > 0.0 { short_and_long(range_m).to_vec() } else { vec![(1.0, 0.0)] }
}

/// The same of a range above 0.
pub(super) fn short_and_long(range_m: f64) -> [(f64, f64); 2] {
    [(SHORT_SHARE, SHORT_RANGE.as_m().min(range_m)), (1.0 - SHORT_SHARE, range_m)]
}

/// Covariance of an error at two places, by what lies between them.
///
/// # Invariants
/// Each part is the product of one function along each axis: exp(-a (x² + y²)).
#[derive(Debug, Clone, PartialEq)]
pub struct Covariance {
    /// Variance, m², and range, m.
    parts: Vec<(f64, f64)>,
}

impl Covariance {
    /// That of a model for one of its ranges.
    #[must_use]
    pub fn of(model: &ErrorModel, range: Length) -> Self {
        let variance = model.rmse.as_m().powi(2);
        let parts = parts(range.as_m());
        Self { parts: parts.into_iter().map(|(share, range)| (share * variance, range)).collect() }
    }

    /// Of two places so far apart along each axis, m; m².
    #[must_use]
    pub fn at(&self, [x_m, y_m]: [f64; 2]) -> f64 {
        let of_part =
            |&(variance, range): &(f64, f64)| variance * correlation(x_m, range) * correlation(y_m, range);
        self.parts.iter().map(of_part).sum()
    }

    /// Of a place with itself, m².
    #[must_use]
    pub fn variance(&self) -> f64 {
        self.at([0.0; 2])
    }

    /// Variance and range of each part.
    pub(super) fn parts(&self) -> &[(f64, f64)] {
        &self.parts
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// 0.1 m, a quarter of range 2 m: at 3 m east and 4 m north, 5 m apart, exp(-ln 20 (5/2)²) = 7.4e-9 and
    /// exp(-ln 20 (5/20)²) = 0.829 25 are left.
    #[test]
    fn it_falls_with_the_distance_whatever_its_direction() {
        let model = ErrorModel::new(Length::from_m(0.1), Length::ZERO);
        let found = Covariance::of(&model, Length::from_m(20.0));
        assert_relative_eq!(found.at([3.0, 4.0]), 0.0075 * 0.829_25, max_relative = 1e-5);
        assert_relative_eq!(found.at([3.0, -4.0]), found.at([0.0, 5.0]), max_relative = 1e-12);
        assert_relative_eq!(found.variance(), 0.01, max_relative = 1e-12);
        let white = Covariance::of(&model, Length::ZERO);
        assert_relative_eq!(white.variance(), 0.01, max_relative = 1e-12);
        assert!(white.at([0.0, 1.0]).abs() < f64::MIN_POSITIVE);
    }
}

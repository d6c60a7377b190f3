//! Runoff coefficients of rare storms.

use crate::units::{ReturnPeriod, RunoffCoefficient};

/// Return period in years and factor, as printed.
const TABLE: [(f64, f64); 6] = [(2.0, 1.0), (5.0, 1.0), (10.0, 1.0), (25.0, 1.1), (50.0, 1.2), (100.0, 1.25)];

/// Return periods for which factors are printed, years.
pub const YEARS: [f64; 2] = [TABLE[0].0, TABLE[TABLE.len() - 1].0];

/// What a runoff coefficient for storms up to 10 years is multiplied by for rarer ones.
///
/// # Method
/// The printed factors; between two of them straight in the logarithm of the return period, which is ours. Beyond 100 years
/// that of 100 years, below 2 years that of 2 years.
///
/// # Source
/// Dhakal and others, Journal of Irrigation and Drainage Engineering 139(6) (2013), table 3, first column, after design
/// manuals (Denver, 1969).
///
/// # Valid range
/// The customary factors suit mostly paved ground; those measured on grassed ground are larger (the same table).
#[must_use]
pub fn frequency_factor(years: ReturnPeriod) -> f64 {
    let t = years.get();
    let (first, last) = (TABLE[0], TABLE[TABLE.len() - 1]);
    if t <= first.0 {
        return first.1;
    }
    let between = TABLE.windows(2).find(|pair| t <= pair[1].0);
    between.map_or(last.1, |pair| {
        let ((t0, f0), (t1, f1)) = (pair[0], pair[1]);
        f0 + (f1 - f0) * (t / t0).ln() / (t1 / t0).ln()
    })
}

/// A coefficient raised for a rare storm, never above 1.
///
/// # Source
/// The cap: common practice (from memory).
#[must_use]
pub fn raised(coefficient: RunoffCoefficient, years: ReturnPeriod) -> RunoffCoefficient {
    let product = coefficient.get() * frequency_factor(years);
    RunoffCoefficient::new(product.min(1.0)).unwrap_or(coefficient)
}

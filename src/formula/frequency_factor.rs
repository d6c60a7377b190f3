//! Runoff coefficients of rare storms.

use crate::units::{ReturnPeriod, RunoffCoefficient};

/// Return period in years and factor, as printed.
const TABLE: [(f64, f64); 6] = [(2.0, 1.0), (5.0, 1.0), (10.0, 1.0), (25.0, 1.1), (50.0, 1.2), (100.0, 1.25)];

/// First and last return period of the printed table, in years: for rarer or more frequent storms [`frequency_factor`] gives
/// the nearest factor, which no source backs.
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
/// [`YEARS`]. The customary factors suit mostly paved ground; those measured on grassed ground are larger (the same table).
///
/// # Example
/// ```
/// use lotshed::formula::frequency_factor::frequency_factor;
/// use lotshed::units::ReturnPeriod;
/// // The table's row of 25 years.
/// let factor = frequency_factor(ReturnPeriod::new(25.0).unwrap());
/// assert!((factor - 1.1).abs() < 1e-12);
/// ```
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

/// A coefficient raised for a rare storm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Raised {
    /// The coefficient that counts.
    pub coefficient: RunoffCoefficient,
    /// What it was multiplied by.
    pub factor: f64,
    /// Whether the product was above 1, so that 1 counts.
    pub capped: bool,
}

/// A coefficient raised for a rare storm, never above 1.
///
/// # Source
/// The cap: common practice (from memory).
///
/// # Example
/// ```
/// use lotshed::formula::frequency_factor::raised;
/// use lotshed::units::{ReturnPeriod, RunoffCoefficient};
/// // 0.90 x 1.25 = 1.125 in a 100-year storm: all of the rain, and no more, runs off.
/// let roof = raised(RunoffCoefficient::new(0.90).unwrap(), ReturnPeriod::new(100.0).unwrap());
/// assert!((roof.coefficient.get() - 1.0).abs() < 1e-12 && roof.capped);
/// ```
#[must_use]
pub fn raised(coefficient: RunoffCoefficient, years: ReturnPeriod) -> Raised {
    let factor = frequency_factor(years);
    let product = coefficient.get() * factor;
    let capped = product > 1.0;
    let coefficient = RunoffCoefficient::new(product.min(1.0)).unwrap_or(coefficient);
    Raised { coefficient, factor, capped }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn years(t: f64) -> ReturnPeriod {
        ReturnPeriod::new(t).unwrap()
    }

    #[test]
    fn beyond_its_table_the_nearest_factor_counts() {
        assert_relative_eq!(frequency_factor(years(0.5)), frequency_factor(years(YEARS[0])));
        assert_relative_eq!(frequency_factor(years(5000.0)), frequency_factor(years(YEARS[1])));
    }

    // The factor halfway between 10 and 25 years in the logarithm, at 250^0.5 years.
    #[test]
    fn between_two_rows_it_lies_straight_in_the_logarithm() {
        assert_relative_eq!(frequency_factor(years(250.0_f64.sqrt())), 1.05, epsilon = 1e-12);
    }

    proptest! {
        #[test]
        fn a_rarer_storm_never_lowers_the_coefficient(
            c in 0.01..1.0f64, t in 0.5..2000.0f64, rarer in 1.0..4.0f64,
        ) {
            let c = RunoffCoefficient::new(c).unwrap();
            let (now, then) = (raised(c, years(t)), raised(c, years(t * rarer)));
            prop_assert!(then.factor >= now.factor - 1e-12);
            prop_assert!((1.0..=1.25).contains(&now.factor));
            prop_assert!(then.coefficient.get() >= now.coefficient.get() - 1e-12);
            prop_assert!(now.coefficient.get() >= c.get() && now.coefficient.get() <= 1.0);
            prop_assert_eq!(now.capped, c.get() * now.factor > 1.0);
            if !now.capped {
                prop_assert!((now.coefficient.get() - c.get() * now.factor).abs() < 1e-12);
            }
        }
    }
}

//! Likelihoods and ranges from a number of repeats, and how well these are known.

use serde::Serialize;

/// Standard normal deviate of a two-sided 95 % interval.
const Z_95: f64 = 1.959_963_984_540_054;
/// Chance that an interval of a likelihood misses.
const MISS: f64 = 0.05;
/// Ends of the range that is reported of an amount: nine in ten realisations lie between.
const RANGE: [f64; 2] = [0.05, 0.95];

/// How often something happened in a number of equally likely realisations.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Likelihood {
    hits: usize,
    of: usize,
}

impl Likelihood {
    /// `hits` in `of` realisations.
    ///
    /// # Panics
    /// If there are more hits than realisations, or none of these.
    #[must_use]
    pub fn new(hits: usize, of: usize) -> Self {
        assert!(hits <= of && of > 0, "{hits} of {of}");
        Self { hits, of }
    }

    /// How often it happened.
    #[must_use]
    pub const fn hits(self) -> usize {
        self.hits
    }

    /// In how many.
    #[must_use]
    pub const fn of(self) -> usize {
        self.of
    }

    /// The part of the realisations.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "realisations stay far below 2^52")]
    pub fn share(self) -> f64 {
        self.hits as f64 / self.of as f64
    }

    /// The 95 % interval of the likelihood that the realisations are a sample of.
    ///
    /// # Method
    /// Wilson's score interval. Where it happened never or always, the end towards the other side is exact:
    /// what M realisations without a hit still allow ([`unseen_at_most`]), if that is more.
    ///
    /// # Source
    /// E. B. Wilson 1927, Journal of the American Statistical Association 22, 209-212 (from memory).
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "realisations stay far below 2^52")]
    pub fn interval(self) -> [f64; 2] {
        let (p, n) = (self.share(), self.of as f64);
        let z2 = Z_95 * Z_95;
        let middle = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
        let half = Z_95 / (1.0 + z2 / n) * (p * (1.0 - p) / n + z2 / (4.0 * n * n)).sqrt();
        let unseen = unseen_at_most(self.of);
        if self.hits == 0 {
            [0.0, (middle + half).max(unseen)]
        } else if self.hits == self.of {
            [(middle - half).min(1.0 - unseen), 1.0]
        } else {
            [middle - half, middle + half]
        }
    }

    /// Half the width of the interval.
    #[must_use]
    pub fn half_width(self) -> f64 {
        let [low, high] = self.interval();
        0.5 * (high - low)
    }
}

/// The largest likelihood that a number of realisations without a single hit leaves possible, at 95 %.
///
/// # Method
/// (1 - p)^M = 0.05: p = 1 - 0.05^(1/M), near 3/M.
///
/// # Example
/// ```
/// assert!((lotshed::certainty::unseen_at_most(100) - 0.0295).abs() < 5e-5);
/// ```
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "realisations stay far below 2^52")]
pub fn unseen_at_most(realisations: usize) -> f64 {
    1.0 - MISS.powf(1.0 / realisations as f64)
}

/// The middle of an amount over the realisations, and where nine in ten of them lie.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spread {
    /// A twentieth lies below.
    pub low: f64,
    /// Half lies below.
    pub middle: f64,
    /// A twentieth lies above.
    pub high: f64,
}

impl Spread {
    /// Quantiles of the amounts, between neighbours in proportion; nothing of no amounts.
    ///
    /// # Method
    /// The i-th of n amounts in rising order is taken for the quantile i/(n + 1): on average that part of
    /// what they are drawn from lies below it (mean of an order statistic of the uniform distribution). So a
    /// further draw, the truth among them, lies inside in nine of ten cases, however few amounts there are
    /// from 19 on.
    ///
    /// # Source
    /// H. A. David and H. N. Nagaraja, "Order Statistics", on means of uniform ones (from memory).
    #[must_use]
    pub fn of(mut amounts: Vec<f64>) -> Option<Self> {
        amounts.sort_by(f64::total_cmp);
        let last = amounts.len().checked_sub(1)?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a place in the list"
        )]
        let quantile = |share: f64| {
            let at = (share * (last + 2) as f64 - 1.0).clamp(0.0, last as f64);
            let below = at.floor() as usize;
            let above = (below + 1).min(last);
            amounts[below] + (amounts[above] - amounts[below]) * at.fract()
        };
        Some(Self { low: quantile(RANGE[0]), middle: quantile(0.5), high: quantile(RANGE[1]) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// 1 - 0.05^(1/100) = 0.029513; the rule of three says 0.03.
    #[test]
    fn no_hit_in_a_hundred_still_allows_three_percent() {
        assert_relative_eq!(unseen_at_most(100), 0.029_513, epsilon = 5e-7);
        assert!(Likelihood::new(0, 100).interval()[1] >= unseen_at_most(100));
        assert!(Likelihood::new(100, 100).interval()[0] <= 1.0 - unseen_at_most(100));
    }

    /// The ends are where the normal test of the likelihood just fails: |p - q| = z sqrt(q (1 - q) / n),
    /// Wilson's definition.
    #[test]
    fn the_ends_solve_the_score_equation() {
        for (hits, of) in [(1, 10), (93, 100), (50, 100), (399, 400), (7, 96)] {
            let found = Likelihood::new(hits, of);
            for q in found.interval() {
                let n = f64::from(u32::try_from(of).unwrap());
                let room = Z_95 * (q * (1.0 - q) / n).sqrt();
                assert_relative_eq!((found.share() - q).abs(), room, max_relative = 1e-9);
            }
        }
    }

    /// The interval covers what it should: summed over the binomial distribution, near 95 % for likelihoods
    /// off the ends.
    #[test]
    fn the_interval_covers_the_truth_nineteen_times_in_twenty() {
        for p in [0.1, 0.3, 0.5, 0.8] {
            let of = 96;
            let mut chance = (1.0_f64 - p).powi(96);
            let mut covered = 0.0;
            for hits in 0..=of {
                let [low, high] = Likelihood::new(hits, of).interval();
                if low <= p && p <= high {
                    covered += chance;
                }
                let (k, n) = (f64::from(u32::try_from(hits).unwrap()), 96.0);
                chance *= (n - k) / (k + 1.0) * p / (1.0 - p);
            }
            assert!((0.93..0.97).contains(&covered), "at {p}: {covered}");
        }
    }

    /// By hand: 0.05 of 100 is the fifth of 99. Fewer than 19 can't say more than their ends.
    #[test]
    fn quantiles_of_a_ramp_lie_in_proportion() {
        let ramp = (1..=99).rev().map(f64::from).collect();
        assert_eq!(Spread::of(ramp), Some(Spread { low: 5.0, middle: 50.0, high: 95.0 }));
        let few = vec![3.0, 1.0, 2.0];
        assert_eq!(Spread::of(few), Some(Spread { low: 1.0, middle: 2.0, high: 3.0 }));
        assert_eq!(Spread::of(Vec::new()), None);
    }

    /// Where each draw lies at its mean, i/(n + 1), the ends leave a twentieth on each side, whatever n.
    #[test]
    fn the_ends_leave_a_twentieth_on_average_of_few_draws_as_of_many() {
        for of in [19_u32, 96, 100, 400] {
            let draws = (1..=of).map(|i| f64::from(i) / f64::from(of + 1)).collect();
            let found = Spread::of(draws).unwrap();
            assert_relative_eq!(found.low, 0.05, max_relative = 1e-12);
            assert_relative_eq!(found.middle, 0.5, max_relative = 1e-12);
            assert_relative_eq!(found.high, 0.95, max_relative = 1e-12);
        }
    }
}

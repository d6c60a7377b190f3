//! How many repeats are made, and when they are enough.

use super::likelihood::Likelihood;

/// Realisations at the most, if nothing else is said: half the interval of a likelihood is then 4.9 % at the
/// most.
pub const REALISATIONS: usize = 400;
/// Realisations at the least: 93 for a range that holds 95 % of outcomes at 95 % (S. S. Wilks 1941, Annals of
/// Mathematical Statistics 12), in whole steps.
pub const FEWEST: usize = 96;
/// Realisations come in steps of so many: two fields from a transform, four ranges.
pub const STEP: usize = 8;
/// A likelihood is known well enough when half its interval is this.
const ENOUGH: f64 = 0.05;
/// Looked at after so many realisations, whatever the number of threads.
const LOOK_EVERY: usize = 48;

/// How many realisations are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Plan {
    most: usize,
}

impl Plan {
    /// At the most so many, in whole steps, and no fewer than one step.
    #[must_use]
    pub fn new(most: usize) -> Self {
        Self { most: most.max(1).next_multiple_of(STEP) }
    }

    /// Realisations at the most.
    #[must_use]
    pub const fn most(self) -> usize {
        self.most
    }

    /// How many are made before the next look, with so many made.
    #[must_use]
    pub fn next(self, made: usize) -> usize {
        let wanted = if made == 0 { FEWEST } else { LOOK_EVERY };
        wanted.min(self.most - made)
    }

    /// Whether more would tell no more than is asked.
    #[must_use]
    pub fn is_done(self, made: usize, likelihoods: impl IntoIterator<Item = Likelihood>) -> bool {
        made >= self.most || likelihoods.into_iter().all(|found| found.half_width() <= ENOUGH)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_certain_stops_early_and_an_even_chance_never_before_the_end() {
        let plan = Plan::new(REALISATIONS);
        assert_eq!(plan.next(0), FEWEST);
        assert!(plan.is_done(FEWEST, [Likelihood::new(FEWEST, FEWEST), Likelihood::new(0, FEWEST)]));
        assert!(!plan.is_done(FEWEST, [Likelihood::new(FEWEST, FEWEST), Likelihood::new(48, FEWEST)]));
        assert!(!plan.is_done(336, [Likelihood::new(168, 336)]));
        assert!(plan.is_done(REALISATIONS, [Likelihood::new(200, REALISATIONS)]));
        // 4.9 % is what 1.96 sqrt(0.25 / 400) gives.
        assert!((Likelihood::new(200, REALISATIONS).half_width() - 0.049).abs() < 5e-4);
    }

    #[test]
    fn the_number_is_made_whole_and_never_passed() {
        assert_eq!(Plan::new(1).most(), STEP);
        assert_eq!(Plan::new(100).most(), 104);
        let plan = Plan::new(104);
        assert_eq!(plan.next(0) + plan.next(96), 104);
    }
}

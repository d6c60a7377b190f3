//! How many repeats are made, and when they are enough.

use super::likelihood::Likelihood;
use super::verdict::Verdict;

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
/// A claim may stop the repeats when each range's interval reaches no farther than this beyond the limit of the
/// verdict. Ours: a claim that one range contradicts by twice the limit is then hardly likelier than with all
/// realisations.
const BEYOND_LIMIT: f64 = 0.04;
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

    /// Whether more would tell no more than is asked: of likelihoods, and of the verdicts on likelihoods by
    /// range.
    #[must_use]
    pub fn is_done(
        self,
        made: usize,
        likelihoods: impl IntoIterator<Item = Likelihood>,
        by_range: impl IntoIterator<Item = Vec<Likelihood>>,
    ) -> bool {
        made >= self.most
            || likelihoods.into_iter().all(is_known) && by_range.into_iter().all(|found| is_settled(&found))
    }
}

fn is_known(found: Likelihood) -> bool {
    found.half_width() <= ENOUGH
}

/// Whether more realisations would hardly give another verdict.
///
/// All ranges together may be known well while one of them, with a quarter of the realisations, isn't. A claim
/// needs every range's interval to carry it; that nobody can tell needs a range that excludes the one claim, and
/// one that excludes the other.
fn is_settled(by_range: &[Likelihood]) -> bool {
    let [low, high] = Verdict::LIMITS;
    match Verdict::of(by_range) {
        Verdict::Contributes => by_range.iter().all(|found| found.interval()[0] >= high - BEYOND_LIMIT),
        Verdict::DoesNot => by_range.iter().all(|found| found.interval()[1] <= low + BEYOND_LIMIT),
        Verdict::CannotTell => {
            by_range.iter().any(|found| found.interval()[1] < high)
                && by_range.iter().any(|found| found.interval()[0] > low)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    #[test]
    fn what_is_certain_stops_early_and_an_even_chance_never_before_the_end() {
        let plan = Plan::new(REALISATIONS);
        assert_eq!(plan.next(0), FEWEST);
        let done = |made: usize, all: &[Likelihood]| plan.is_done(made, all.iter().copied(), []);
        assert!(done(FEWEST, &[Likelihood::new(FEWEST, FEWEST), Likelihood::new(0, FEWEST)]));
        assert!(!done(FEWEST, &[Likelihood::new(FEWEST, FEWEST), Likelihood::new(48, FEWEST)]));
        assert!(!done(336, &[Likelihood::new(168, 336)]));
        assert!(done(REALISATIONS, &[Likelihood::new(200, REALISATIONS)]));
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

    /// Wilson's interval of 0 or n of n is z² / (n + z²) wide: 0.096 at 36, 0.074 at 48 (z² = 3.84).
    #[test]
    fn a_claim_waits_until_each_range_is_known_and_doubt_until_both_claims_are_excluded() {
        let of = |hits: [usize; 4], each: usize| hits.map(|hits| Likelihood::new(hits, each)).to_vec();
        let done = |hits, each| Plan::new(REALISATIONS).is_done(4 * each, [], [of(hits, each)]);
        assert!(!done([36; 4], 36) && done([48; 4], 48));
        assert!(!done([0; 4], 36) && done([0; 4], 48));
        // 19 of 24 lie below 0.91, and 24 of 24 above 0.86; 22 of 24 still allow 0.97.
        assert!(done([24, 24, 24, 19], 24));
        assert!(!done([24, 24, 24, 22], 24));
        assert!(done([0, 24, 24, 24], 24));
        assert!(!done([0, 0, 0, 2], 24));
    }

    /// One range in which it happens on nine of ten surfaces, and three in which it always does. All 400 claim it
    /// by chance in 5.8 % of the runs (95 or more of 100, binomial); what stops early may add little to that: a
    /// sum over the binomial distributions between the looks gives 6.3 % of all, 2.3 % before the end. Stopping by
    /// all ranges together would claim it in 0.9^24 + 24 x 0.1 x 0.9^23 = 0.29 of them, for one miss in 96 is
    /// known well enough.
    #[test]
    fn a_claim_that_one_range_contradicts_is_hardly_ever_made_early() {
        const RUNS: usize = 4000;
        let plan = Plan::new(REALISATIONS);
        let mut random = ChaCha8Rng::seed_from_u64(17);
        let (mut claims, mut early, mut by_all) = (0, 0, 0);
        for _ in 0..RUNS {
            let (mut made, mut hits) = (0, 0);
            let (mut is_done, mut was_done) = (false, false);
            while !is_done {
                let more = plan.next(made);
                made += more;
                hits += (0..more / 4).filter(|_| random.random::<f64>() < 0.9).count();
                let each = made / 4;
                let ranges: Vec<_> = [each, each, each, hits].map(|hits| Likelihood::new(hits, each)).into();
                let all = Likelihood::new(3 * each + hits, made);
                let is_claimed = Verdict::of(&ranges) == Verdict::Contributes;
                if !was_done && plan.is_done(made, [all], []) {
                    was_done = true;
                    by_all += usize::from(is_claimed);
                }
                is_done = plan.is_done(made, [all], [ranges]);
                claims += usize::from(is_done && is_claimed);
                early += usize::from(is_done && is_claimed && made < REALISATIONS);
            }
        }
        // 6.3 and 2.3 % with 3.29 standard errors of 4000 runs.
        assert!(1000 * claims <= 76 * RUNS, "{claims} of {RUNS}");
        assert!(1000 * early <= 32 * RUNS, "early {early} of {RUNS}");
        assert!(5 * by_all > RUNS, "stopped by all ranges together: {by_all} of {RUNS}");
    }
}

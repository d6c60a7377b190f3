//! From likelihoods to a verdict.

use super::likelihood::Likelihood;
use serde::Serialize;

/// What is to be said of a parcel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Its water reaches the lot.
    Contributes,
    /// It doesn't.
    #[serde(rename = "does not")]
    DoesNot,
    /// The elevations don't carry either claim.
    #[serde(rename = "cannot tell")]
    CannotTell,
}

impl Verdict {
    /// Likely enough to be claimed, and to be denied: nineteen in twenty, by the design of the program.
    pub const LIMITS: [f64; 2] = [0.05, 0.95];

    /// The verdict that holds whichever range the error has: nineteen in twenty surfaces of each range agree.
    #[must_use]
    pub fn of(by_range: &[Likelihood]) -> Self {
        let [low, high] = Self::LIMITS;
        if by_range.iter().all(|found| found.share() >= high) {
            Self::Contributes
        } else if by_range.iter().all(|found| found.share() <= low) {
            Self::DoesNot
        } else {
            Self::CannotTell
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_range_that_disagrees_leaves_the_matter_open() {
        let of = |hits: [usize; 2]| Verdict::of(&hits.map(|n| Likelihood::new(n, 100)));
        assert_eq!(of([95, 100]), Verdict::Contributes);
        assert_eq!(of([94, 100]), Verdict::CannotTell);
        assert_eq!(of([0, 5]), Verdict::DoesNot);
        assert_eq!(of([0, 6]), Verdict::CannotTell);
        assert_eq!(of([0, 100]), Verdict::CannotTell);
    }
}

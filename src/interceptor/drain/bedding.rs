//! The bed of the trenches down the way, which nowhere rises: where the next trench asks for less under its
//! pipe, its bed goes on level until the pipe comes down to it.

use super::super::quantities::Level;
use crate::units::Length;

/// Less than this under a pipe is none, m: levels' last digits are noise.
const NOISE_M: f64 = 1e-9;
/// Places nearer than this are one, m.
const SAME_M: f64 = 1e-6;

/// Levels of a trench whose bed begins no higher than the one above it has ended, and where its own ends.
///
/// # Method
/// The section's own bed follows the pipe, which never rises. Where it would lie above the bed so far, the
/// trench is dug down to that: what lies between is `under`. Where the pipe comes down to it, straight between
/// two places, there is a place more.
pub(super) fn nowhere_rising(levels: Vec<Level>, below: Length, bed_so_far_m: f64) -> (Vec<Level>, f64) {
    let mut held_m = bed_so_far_m;
    let mut found: Vec<Level> = Vec::with_capacity(levels.len() + 1);
    for level in levels {
        let own_m = level.invert_m - below.as_m();
        if let Some(before) = found.last().copied() {
            found.extend(run_out(&before, &level, (before.invert_m - below.as_m() - held_m, held_m - own_m)));
        }
        let under_m = own_m - held_m;
        held_m = held_m.min(own_m);
        let under = if under_m > NOISE_M { Length::from_m(under_m) } else { Length::ZERO };
        found.push(Level { under, ..level });
    }
    (found, held_m)
}

/// Where the pipe comes down to the bed between two places; nothing where it doesn't. `over` is how far it
/// lies over the bed at the first, and below it at the second.
fn run_out(before: &Level, after: &Level, (over_m, past_m): (f64, f64)) -> Option<Level> {
    if over_m <= NOISE_M || past_m <= NOISE_M {
        return None;
    }
    let share = over_m / (over_m + past_m);
    let between = |a: f64, b: f64| a + (b - a) * share;
    let station_m = between(before.station.as_m(), after.station.as_m());
    let is_apart = station_m > before.station.as_m() + SAME_M && station_m < after.station.as_m() - SAME_M;
    is_apart.then(|| Level {
        station: Length::from_m(station_m),
        ground_m: between(before.ground_m, after.ground_m),
        invert_m: between(before.invert_m, after.invert_m),
        under: Length::ZERO,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn level(station_m: f64, invert_m: f64) -> Level {
        Level { station: Length::from_m(station_m), ground_m: invert_m + 0.6, invert_m, under: Length::ZERO }
    }

    // Stone ends with its bed at 8.80 m; the lead's pipe begins with its underside at 8.90 m and falls 2 %:
    // 0.10 m under it at first, 0.02 m after 4 m, none after 5 m; from there it lies on the bottom.
    #[test]
    fn the_bed_goes_on_level_until_the_pipe_lies_on_it() {
        let below = Length::from_m(0.003);
        let own = vec![level(32.0, 8.903), level(36.0, 8.823), level(40.0, 8.743)];
        let (found, ends_m) = nowhere_rising(own, below, 8.80);
        let all: Vec<(f64, f64)> = found.iter().map(|at| (at.station.as_m(), at.under.as_m())).collect();
        assert_eq!(all.len(), 4);
        for ((station_m, under_m), expected) in
            all.into_iter().zip([(32.0, 0.1), (36.0, 0.02), (37.0, 0.0), (40.0, 0.0)])
        {
            assert_relative_eq!(station_m, expected.0, epsilon = 1e-9);
            assert_relative_eq!(under_m, expected.1, epsilon = 1e-9);
        }
        assert_relative_eq!(ends_m, 8.74, epsilon = 1e-9);
    }

    proptest! {
        #[test]
        fn it_nowhere_rises_and_is_nowhere_above_its_own(
            steps in prop::collection::vec((0.1..3.0f64, 0.0..0.1f64), 1..20), so_far_m in 98.0..101.0f64,
        ) {
            let mut at = (0.0, 100.0);
            let mut own = vec![level(at.0, at.1)];
            for (run, fall) in steps {
                at = (at.0 + run, at.1 - fall);
                own.push(level(at.0, at.1));
            }
            let below = Length::from_m(0.01);
            let (found, ends_m) = nowhere_rising(own.clone(), below, so_far_m);
            let bed = |at: &Level| at.invert_m - 0.01 - at.under.as_m();
            prop_assert!(bed(&found[0]) <= so_far_m + 2e-9);
            prop_assert!(found.windows(2).all(|pair| bed(&pair[1]) <= bed(&pair[0]) + 2e-9));
            prop_assert!((bed(&found[found.len() - 1]) - ends_m).abs() < 2e-9);
            // No deeper than the one above asks for.
            let least = own.iter().map(|at| at.invert_m - 0.01).fold(so_far_m, f64::min);
            prop_assert!(found.iter().all(|at| bed(at) >= least - 2e-9));
        }
    }
}

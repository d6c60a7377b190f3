//! Shots at one place that can't all be right.

use super::super::beside::SideFile;
use super::ShotOnGround;
use crate::warning::{Warning, named};
use crate::wording::metres;

/// Shots no farther apart than this stand at one place, m: a staff that is set down again. Ours.
const ONE_PLACE_M: f64 = 0.5;
/// Farther apart than so many standard deviations of their difference two shots aren't likely both right.
const FAR: f64 = 3.0;

/// How two shots at one place contradict each other.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Contradiction {
    apart_m: f64,
    differ_m: f64,
}

/// Pairs of shots in one cell, or at one place, that differ by more than both accuracies explain. What differs is what
/// lies above or below the surface at each, so that the ground's fall between them is no contradiction.
pub(super) fn contradicting(
    file: &SideFile,
    shots: &[ShotOnGround],
    metres_per_unit: f64,
) -> Option<Warning> {
    let pairs = (0..shots.len()).flat_map(|a| (a + 1..shots.len()).map(move |b| (&shots[a], &shots[b])));
    let said: Vec<String> = pairs
        .filter_map(|(a, b)| between(a, b, metres_per_unit).map(|found| sentence(a, b, found)))
        .collect();
    (!said.is_empty()).then(|| {
        Warning::new(
            "shots-contradict",
            format!(
                "{}: some shots contradict each other by more than {FAR:.0} standard deviations: {}",
                file.path.display(),
                named(&said)
            ),
            "find out which is right and leave the other out: until then both count, in one cell as their mean, which is taken as no more accurate than they scatter",
        )
    })
}

/// Standard error of the mean of shots in one cell, m: of the best of them, unless they contradict each other; then
/// their standard deviation, for nothing says which is right.
pub(super) fn accuracy_together_m(shots: &[&ShotOnGround], metres_per_unit: f64) -> f64 {
    let best_m = shots.iter().map(|one| one.shot.accuracy_m).fold(f64::INFINITY, f64::min);
    let contradict = shots
        .iter()
        .enumerate()
        .any(|(place, a)| shots[place + 1..].iter().any(|b| between(a, b, metres_per_unit).is_some()));
    if contradict { best_m.max(standard_deviation(shots)) } else { best_m }
}

fn between(a: &ShotOnGround, b: &ShotOnGround, metres_per_unit: f64) -> Option<Contradiction> {
    let apart_m = (a.shot.at.x - b.shot.at.x).hypot(a.shot.at.y - b.shot.at.y) * metres_per_unit;
    let is_one_place = a.cell == b.cell || apart_m <= ONE_PLACE_M;
    let differ_m = (a.difference_m() - b.difference_m()).abs();
    let expected_m = a.shot.accuracy_m.hypot(b.shot.accuracy_m);
    (is_one_place && differ_m > FAR * expected_m).then_some(Contradiction { apart_m, differ_m })
}

fn sentence(a: &ShotOnGround, b: &ShotOnGround, found: Contradiction) -> String {
    format!(
        "{} and {}, {} apart, differ by {} (accuracies {} and {})",
        a.shot.id,
        b.shot.id,
        metres(found.apart_m, 2),
        metres(found.differ_m, 2),
        metres(a.shot.accuracy_m, 3),
        metres(b.shot.accuracy_m, 3)
    )
}

#[expect(clippy::cast_precision_loss, reason = "a number of shots")]
fn standard_deviation(shots: &[&ShotOnGround]) -> f64 {
    let count = shots.len() as f64;
    let mean = shots.iter().map(|one| one.difference_m()).sum::<f64>() / count;
    let squares: f64 = shots.iter().map(|one| (one.difference_m() - mean).powi(2)).sum();
    (squares / (count - 1.0)).sqrt()
}

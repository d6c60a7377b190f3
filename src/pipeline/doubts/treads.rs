//! Elevations that were rounded, so that slopes are stairs with level treads.

use super::level::LevelGround;
use super::{Passing, Reason};
use crate::grid::Cell;
use crate::pipeline::catchment::Routed;

/// Steps from which on rounding shows, m. Ours.
const LEAST_STEP_M: f32 = 0.005;
/// Differences below this are those of single-precision numbers, m.
const SAME_M: f32 = 5e-4;
/// Differences that must have been seen.
const LEAST_PAIRS: usize = 100;

/// Ways over treads, where the elevations come in steps.
pub(super) fn treads(routed: &Routed, level: &LevelGround, passing: &Passing<'_>) -> Option<(Reason, f64)> {
    let step_m = step_m(routed)?;
    let area_m2 = passing.steps_m2(|from, _| {
        routed.filled.values()[from] <= routed.ground.raw.values()[from] && level.has(routed, from)
    });
    Some((Reason::Treads { step_m: step_m.into() }, area_m2))
}

/// The smallest difference between neighbours that isn't none, if all are steps.
fn step_m(routed: &Routed) -> Option<f32> {
    let ground = &routed.ground;
    let (raw, shape) = (&ground.raw, ground.raw.shape());
    let counts = |cell: usize| !ground.roofs.covers(cell) && ground.bridged.binary_search(&cell).is_err();
    let (mut smallest, mut pairs) = (f32::INFINITY, 0);
    for row in 1..shape.rows {
        for col in 1..shape.cols {
            let here = shape.index(Cell { row, col });
            if !counts(here) {
                continue;
            }
            for beside in [here - 1, here - shape.cols] {
                let step = (raw.values()[here] - raw.values()[beside]).abs();
                // Comparisons with NaN are false.
                if step >= SAME_M && counts(beside) {
                    (smallest, pairs) = (smallest.min(step), pairs + 1);
                }
            }
            if smallest < LEAST_STEP_M {
                return None;
            }
        }
    }
    (pairs >= LEAST_PAIRS).then_some(smallest)
}

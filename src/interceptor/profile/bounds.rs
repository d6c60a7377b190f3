//! The highest and the lowest invert that the limits allow at each place.

use super::{GroundPoint, ProfileLimits};

/// Inverts that the limits allow, m.
///
/// A pipe that keeps all limits lies between `lowest` and `highest` everywhere; each of the two keeps the limits itself
/// where no `lowest` lies above a `highest`.
#[derive(Debug, Clone)]
pub(super) struct Bounds {
    /// By cover alone.
    pub(super) below_cover: Vec<f64>,
    /// By the depth of the trench, and at the last place by the outlet, alone.
    pub(super) above_floor: Vec<f64>,
    pub(super) highest: Vec<f64>,
    pub(super) lowest: Vec<f64>,
}

impl Bounds {
    pub(super) fn of(ground: &[GroundPoint], limits: &ProfileLimits) -> Self {
        let end_m = ground[ground.len() - 1].station_m;
        let depth_m = |p: &GroundPoint| limits.least_depth_at_m(end_m - p.station_m);
        let mut below_cover: Vec<f64> = ground.iter().map(|p| p.ground_m - depth_m(p)).collect();
        if let (Some(head_m), Some(first)) = (limits.head_m(), below_cover.first_mut()) {
            *first = first.min(head_m);
        }
        if let Some(under) = limits.under() {
            // Inverts never rise, so that the last place at or before it decides.
            let after = ground.partition_point(|p| p.station_m <= under.station_m);
            let held = &mut below_cover[after.saturating_sub(1)];
            *held = held.min(under.level_m);
        }
        let mut above_floor: Vec<f64> =
            ground.iter().map(|p| p.ground_m + limits.below_m() - limits.greatest_cut_m()).collect();
        if let (Some(invert_m), Some(last)) = (limits.outfall().invert_m(), above_floor.last_mut()) {
            *last = last.max(invert_m);
        }
        let step = |i: usize| ground[i].station_m - ground[i - 1].station_m;
        let [least, greatest] = limits.grades();
        let last = ground.len() - 1;
        let mut highest = below_cover.clone();
        for i in 1..=last {
            highest[i] = highest[i].min(highest[i - 1] - least * step(i));
        }
        // Lowering a place for the greatest grade keeps the least one to the next.
        for i in (1..=last).rev() {
            highest[i - 1] = highest[i - 1].min(highest[i] + greatest * step(i));
        }
        let mut lowest = above_floor.clone();
        for i in (1..=last).rev() {
            lowest[i - 1] = lowest[i - 1].max(lowest[i] + least * step(i));
        }
        for i in 1..=last {
            lowest[i] = lowest[i].max(lowest[i - 1] - greatest * step(i));
        }
        Self { below_cover, above_floor, highest, lowest }
    }

    /// Place where the lowest lies farthest above the highest, and by how much, m; below 0 where a pipe fits.
    pub(super) fn worst(&self) -> (usize, f64) {
        let gaps = self.lowest.iter().zip(&self.highest).map(|(low, high)| low - high);
        gaps.enumerate().reduce(|a, b| if b.1 > a.1 { b } else { a }).unwrap_or((0, f64::NEG_INFINITY))
    }
}

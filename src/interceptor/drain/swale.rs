//! A swale along the part.

use super::super::outlet::OutletWay;
use super::super::swale::{SwaleRules, SwaleSizing, size_swale};
use crate::units::{Area, Flow, Grade, Length, OutOfRange, Volume};

/// Bank above the water, m. Common practice, no source.
const FREEBOARD_M: f64 = 0.075;
/// Ground that lies so far below the end of the swale holds water, m: about the noise of good elevation data.
const NOISE_M: f64 = 0.05;
/// Capacities are looked for up to so many times the flow.
const MOST_TIMES: f64 = 64.0;
/// Halvings of the search: to a billionth.
const HALVINGS: usize = 50;

/// A swale and what it carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwaleWay {
    /// The water in it, and whether it serves.
    pub sizing: SwaleSizing,
    /// What it was held against.
    pub rules: SwaleRules,
    /// How far the ground dips below the end that drains, where that is more than noise.
    pub dip: Option<Length>,
    /// Flow that it carries by all rules; none where the ground rules it out.
    pub capacity: Flow,
    /// Depth of the shaped V.
    pub depth: Length,
    /// Its width at the ground.
    pub width: Length,
}

impl SwaleWay {
    /// Part of a flow that it carries.
    #[must_use]
    pub fn share_of(&self, flow: Flow) -> f64 {
        if self.capacity >= flow { 1.0 } else { self.capacity / flow }
    }

    /// Flow that the V carries as it is shaped, full to the brim, the grass long: no more than by all rules.
    #[must_use]
    pub fn shaped_capacity(&self) -> Flow {
        let brim =
            self.rules.shape.section(self.depth).flow(self.rules.long_grass_n, self.sizing.water().grade);
        if brim < self.capacity { brim } else { self.capacity }
    }

    /// The same, shaped so deep.
    pub(super) fn shaped(self, depth: Length) -> Self {
        Self { depth, width: self.rules.shape.section(depth).top_width, ..self }
    }

    /// Soil that is dug to shape it, in the bank: a V along the part; over a trench down to its bed, from which that is counted.
    #[must_use]
    pub fn dug(&self, length: Length, trench: Length) -> Volume {
        let (side, depth_m) = (self.rules.shape.side(), self.depth.as_m());
        // Over the trench's width the ground is taken off down to the bed: two triangles beside the V's point.
        let half_m = (0.5 * trench.as_m()).min(0.5 * self.width.as_m());
        length * Area::from_m2(side * depth_m * depth_m + half_m * half_m / side)
    }

    /// Surface that is covered again, without a strip in its middle.
    #[must_use]
    pub fn surface(&self, length: Length, trench: Length) -> Area {
        let across_m = (self.width.as_m() - trench.as_m()).max(0.0);
        let side = self.rules.shape.side();
        length * Length::from_m(across_m * 1.0_f64.hypot(side) / side)
    }
}

/// Sizes a swale for a flow down the part in the way's direction.
///
/// # Method
/// The ground's fall from end to end of the part; a dip beyond noise rules it out as flat ground does. The capacity is
/// the greatest flow that keeps every rule of [`size_swale`], by halving.
///
/// # Errors
/// [`OutOfRange`] for a flow that is none.
pub(super) fn swale_way(
    way: &OutletWay,
    flow: Flow,
    least: Grade,
    rules: &SwaleRules,
) -> Result<SwaleWay, OutOfRange> {
    let line_m = way.length.as_m() - way.lead_length.as_m();
    let (fall, dip) = lie(way, line_m);
    let sizing = size_swale(flow, least, fall, rules)?;
    let ruled_out = dip.is_some() || matches!(sizing, SwaleSizing::TooFlat(_) | SwaleSizing::TooSteep(_));
    let capacity = if ruled_out { Flow::ZERO } else { capacity(flow, least, fall, rules)? };
    let depth = Length::from_m(sizing.water().depth.as_m() + FREEBOARD_M);
    let width = rules.shape.section(depth).top_width;
    Ok(SwaleWay { sizing, rules: *rules, dip, capacity, depth, width })
}

/// Fall by length from the head to the end of the part, and the dip below its end.
fn lie(way: &OutletWay, line_m: f64) -> (Option<f64>, Option<Length>) {
    let known: Vec<(f64, f64)> =
        way.stations.iter().filter_map(|s| Some((s.station_m, s.ground_m?))).collect();
    let along: Vec<&(f64, f64)> = known.iter().filter(|(station_m, _)| *station_m <= line_m + 1e-6).collect();
    let (Some(first), Some(end)) = (along.first(), ground_at(&known, line_m)) else { return (None, None) };
    let lowest = along.iter().map(|(_, ground)| *ground).fold(f64::INFINITY, f64::min);
    let dip = Some(end - lowest).filter(|dip| *dip > NOISE_M).map(Length::from_m);
    (Some((first.1 - end) / line_m), dip)
}

/// Ground at a station, straight between those that are known.
pub(super) fn ground_at(known: &[(f64, f64)], station_m: f64) -> Option<f64> {
    let after = known.partition_point(|(m, _)| *m < station_m - 1e-9);
    let (to_m, to) = *known.get(after).or(known.last())?;
    let Some(&(from_m, from)) = after.checked_sub(1).and_then(|before| known.get(before)) else {
        return Some(to);
    };
    if to_m - from_m <= 0.0 {
        return Some(to);
    }
    Some(from + (to - from) * ((station_m - from_m) / (to_m - from_m)).clamp(0.0, 1.0))
}

fn capacity(flow: Flow, least: Grade, fall: Option<f64>, rules: &SwaleRules) -> Result<Flow, OutOfRange> {
    let serves = |times: f64| {
        size_swale(flow * times, least, fall, rules).map(|sizing| matches!(sizing, SwaleSizing::Fits(_)))
    };
    if serves(MOST_TIMES)? {
        return Ok(flow * MOST_TIMES);
    }
    let (mut low, mut high) = (0.0, MOST_TIMES);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if serves(middle)? {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(flow * low)
}

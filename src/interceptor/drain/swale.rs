//! A swale along the part.

use super::super::outlet::OutletWay;
use super::super::swale::{SwaleRules, SwaleSizing, size_swale};
use super::bed::{PartGround, SwaleBed};
use crate::units::{Flow, Grade, Length, OutOfRange};

/// Bank above the water, m. Common practice, no source.
const FREEBOARD_M: f64 = 0.075;
/// Ground that lies so far below the end of the swale holds water, m: about the noise of good elevation data.
const NOISE_M: f64 = 0.05;
/// Capacities are looked for up to so many times the flow.
const MOST_TIMES: f64 = 64.0;
/// Halvings of the search: to a billionth.
const HALVINGS: usize = 50;

/// A swale and what it carries.
#[derive(Debug, Clone, PartialEq)]
pub struct SwaleWay {
    /// The water in it, and whether it serves.
    pub sizing: SwaleSizing,
    /// What it was held against.
    pub rules: SwaleRules,
    /// How far the ground dips below the end that drains, where that is more than noise.
    pub dip: Option<Length>,
    /// Flow that it carries by all rules; none where the ground rules it out.
    pub capacity: Flow,
    /// The V along the part.
    pub bed: SwaleBed,
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
        let section = self.rules.shape.section(self.bed.shaped());
        let brim = section.flow(self.rules.long_grass_n, self.sizing.water().grade);
        if brim < self.capacity { brim } else { self.capacity }
    }

    /// The same, shaped so deep.
    pub(super) fn shaped_to(self, depth: Length) -> Self {
        Self { bed: self.bed.shaped_to(depth), ..self }
    }
}

/// Sizes a swale for a flow down the part in the way's direction; nothing where the ground along it isn't
/// known.
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
) -> Result<Option<SwaleWay>, OutOfRange> {
    let Some(ground) = PartGround::of(way) else { return Ok(None) };
    let fall = Some(ground.fall());
    let dip = Some(ground.dip_m()).filter(|dip_m| *dip_m > NOISE_M).map(Length::from_m);
    let sizing = size_swale(flow, least, fall, rules)?;
    let ruled_out = dip.is_some() || matches!(sizing, SwaleSizing::TooFlat(_) | SwaleSizing::TooSteep(_));
    let capacity = if ruled_out { Flow::ZERO } else { capacity(flow, least, fall, rules)? };
    let shaped = Length::from_m(sizing.water().depth.as_m() + FREEBOARD_M);
    Ok(Some(SwaleWay { sizing, rules: *rules, dip, capacity, bed: SwaleBed::lay(ground, shaped, rules) }))
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

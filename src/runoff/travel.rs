//! Time of concentration: how long water takes down the longest way to the lot line.
//!
//! The way is a chain of sheet flow, shallow concentrated flow, and channel flow, each by its own published formula.
//! Three formulas for the whole way at once stand beside it: Kerby with Kirpich, the lag method, and that for airports.

mod chain;
mod own_times;
mod slow;
mod way_ground;
mod whole_way;

pub use chain::{ChannelFlow, Segment, SegmentKind, SheetRule};
pub(super) use own_times::OwnTime;
pub use slow::{SlowGround, SlowReach};
pub use way_ground::{AHEAD_M, WaterSurface, Way, WayGround};
pub use whole_way::TimeMethod;

use super::rain::{Rain, RainAt};
use crate::formula::shallow_flow::ShallowFlow;
use crate::formula::sheet_flow::SheetLimit;
use crate::units::{
    Area, CurveNumber, Length, RainIntensity, Retardance, RunoffCoefficient, SheetRoughness, Time,
};
use crate::warning::{Warned, Warning};

/// Least fall that a reach is taken to have: filled ground is level, and level formulas give endless times. A shorter
/// time is a higher peak, so the error is on the safe side. Common practice, no source.
const LEAST_GRADE: f64 = 0.001;

/// Times that the fixed point is looked for at most.
const ROUNDS: usize = 200;

/// What water runs over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// For sheet flow.
    pub sheet: SheetRoughness,
    /// For shallow concentrated flow.
    pub shallow: ShallowFlow,
    /// For Kerby's formula.
    pub retardance: Retardance,
}

/// A place of the way, from the top down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WayPoint {
    /// Way from the top, m; rising.
    pub at_m: f64,
    /// Level of ground or filled pond, m; never rising.
    pub level_m: f64,
    /// Fall by length from here on, as it counts for all but sheet flow.
    pub fall: f64,
    /// Area above it whose water passes, m².
    pub upstream_m2: f64,
    /// What it runs over from here to the next place.
    pub surface: Surface,
}

/// What times rest on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TravelBasis {
    /// The formula that counts.
    pub method: TimeMethod,
    /// Least time of concentration.
    pub least: Time,
    /// Depth of the 2-year, 24-hour rain, if known.
    pub two_year_day: Option<Length>,
    /// From where on water runs in a channel, and in what kind; nothing for no channel.
    pub channel: Option<ChannelFlow>,
    /// Runoff coefficient, for the airports' formula; nothing where it isn't known.
    pub coefficient: Option<RunoffCoefficient>,
    /// Curve number, for the lag method; the same.
    pub curve_number: Option<CurveNumber>,
}

/// Time of concentration with the rain of that duration.
#[derive(Debug, Clone, PartialEq)]
pub struct Concentration {
    /// Reaches of the way, from the top.
    pub segments: Vec<Segment>,
    /// Sum of their times.
    pub chain: Time,
    /// The same way by each formula for the whole of it; nothing where it doesn't hold.
    pub others: Vec<(TimeMethod, Time)>,
    /// The formula that counted.
    pub method: TimeMethod,
    /// Time of concentration.
    pub time: Time,
    /// Whether the least time counted instead of the formula's.
    pub least_governs: bool,
    /// Rain of that duration.
    pub rain: RainAt,
}

impl Concentration {
    /// Length of the whole way.
    #[must_use]
    pub fn length(&self) -> Length {
        self.segments.iter().map(|s| s.length).sum()
    }
}

/// Time of concentration and the rain that lasts as long: each depends on the other.
///
/// # Method
/// From the least time on: the rain of that duration gives the way's time, that time gives the next rain, until the time
/// changes by less than a millionth part. Longer rain is weaker and weaker rain flows more slowly, so the times rise
/// towards the answer and never pass it.
///
/// # Source
/// FHWA, Highway Hydrology, Hydraulic Design Series 2, 2nd edition (2002), example 2.3, which goes the same way by hand.
#[must_use]
pub fn concentrate(way: &[WayPoint], basis: &TravelBasis, rain: &Rain) -> Warned<Concentration> {
    let mut time = basis.least;
    let mut round = trial(way, basis, rain, time);
    for _ in 0..ROUNDS {
        let change = (round.value.time.as_s() - time.as_s()).abs();
        if change <= 1e-6 * time.as_s() {
            break;
        }
        time = round.value.time;
        round = trial(way, basis, rain, time);
    }
    let mut warnings = round.warnings;
    if round.value.method != basis.method {
        warnings.push(Warning::new(
            "time-method-does-not-hold",
            format!(
                "{} cannot be worked out for some ground, for which the chain of reaches counts",
                basis.method.words()
            ),
            "give what the formula needs, or choose another one with --time-by",
        ));
    }
    Warned::new(round.value, warnings)
}

/// The way's time in the rain of one duration.
fn trial(way: &[WayPoint], basis: &TravelBasis, rain: &Rain, duration: Time) -> Warned<Concentration> {
    let mut warnings = Vec::new();
    let rain = rain.at(duration).unload(&mut warnings);
    let segments = chain::segments(way, basis, rain.intensity);
    let chain: Time = segments.iter().map(|s| s.time).sum();
    let others = whole_way::times(way, basis);
    let found = others.iter().find(|(method, _)| *method == basis.method).map(|&(_, time)| time);
    let (method, sum) = found.map_or((TimeMethod::Chain, chain), |time| (basis.method, time));
    let least_governs = sum.as_s() < basis.least.as_s();
    let time = if least_governs { basis.least } else { sum };
    Warned::new(Concentration { segments, chain, others, method, time, least_governs, rain }, warnings)
}

#[cfg(test)]
mod tests;

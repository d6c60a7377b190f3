//! Slow ground: reaches of a way that are too flat, or that take longer than the storm lasts.

use super::chain::Segment;
use super::{Concentration, Time};
use serde::Serialize;

/// Why a reach is slow ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SlowGround {
    /// It falls less than the least grade that reaches are taken to have.
    Flat,
    /// Its own time is longer than the rain lasts.
    OutlastsStorm,
}

impl Segment {
    /// Whether it is slow ground in rain that lasts so long; nothing for rain of one intensity, which has no end.
    ///
    /// # Method
    /// A reach is slow where its ground falls less than 0.1 %, the least that counts for times, or else where water takes longer
    /// through it alone than the rain lasts that gives the peak: what falls above it comes after that rain has ended.
    ///
    /// # Source
    /// The rule is ours; the least grade is common practice, no source.
    #[must_use]
    pub fn slow_ground(&self, lasts: Option<Time>) -> Option<SlowGround> {
        if self.raised {
            return Some(SlowGround::Flat);
        }
        // A reach that takes all of the time that the rain was taken to last isn't longer: that is how it was found.
        let outlasts = lasts.is_some_and(|lasts| self.time.as_s() > lasts.as_s() * (1.0 + ROUNDING));
        outlasts.then_some(SlowGround::OutlastsStorm)
    }
}

/// Times of the same water that are found by two ways differ by no more than this.
const ROUNDING: f64 = 1e-3;

/// A slow reach on its way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlowReach {
    /// From where down the way, m.
    pub from_m: f64,
    /// To where, m.
    pub to_m: f64,
    /// The reach.
    pub reach: Segment,
    /// Why.
    pub why: SlowGround,
}

impl Concentration {
    /// Slow reaches of the way in rain that lasts so long, from the top.
    #[must_use]
    pub fn slow_reaches(&self, lasts: Option<Time>) -> Vec<SlowReach> {
        let mut from_m = 0.0;
        let mut found = Vec::new();
        for reach in &self.segments {
            let to_m = from_m + reach.length.as_m();
            if let Some(why) = reach.slow_ground(lasts) {
                found.push(SlowReach { from_m, to_m, reach: *reach, why });
            }
            from_m = to_m;
        }
        found
    }
}

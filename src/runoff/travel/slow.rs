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
    /// A reach is slow where its ground falls less than 0.1 %, the least that counts for times, on more than half of it, or else where water takes longer
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

#[cfg(test)]
mod tests {
    use super::super::{Segment, SegmentKind};
    use super::*;
    use crate::formula::shallow_flow::ShallowFlow;
    use crate::units::{Grade, Length};

    fn reach(raised: bool, minutes: f64) -> Segment {
        Segment {
            kind: SegmentKind::Shallow(ShallowFlow::ShortGrassPasture),
            length: Length::from_m(10.0),
            grade: Grade::new(0.001).unwrap(),
            raised,
            time: Time::from_min(minutes),
        }
    }

    // The rule as it is stated: flat ground whatever its time; else a time above that of the rain; rain without end outlasts all.
    #[test]
    fn flat_ground_is_slow_and_so_is_what_takes_longer_than_the_rain() {
        let rain = |minutes| Some(Time::from_min(minutes));
        assert_eq!(reach(true, 1.0).slow_ground(rain(10.0)), Some(SlowGround::Flat));
        assert_eq!(reach(true, 1.0).slow_ground(None), Some(SlowGround::Flat));
        assert_eq!(reach(false, 10.1).slow_ground(rain(10.0)), Some(SlowGround::OutlastsStorm));
        assert_eq!(reach(false, 10.0).slow_ground(rain(10.0)), None);
        assert_eq!(reach(false, 1e6).slow_ground(None), None);
    }
}

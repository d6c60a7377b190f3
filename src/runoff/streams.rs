//! Peaks of streams that join, each with its own time of concentration.

use super::rain::{Rain, RainAt};
use crate::formula::rational::peak_flow_of_shedding;
use crate::units::{Area, Flow, Time};
use crate::warning::Warned;

/// Water of one piece of ground on its way to a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stream {
    /// Sum of coefficient times area.
    pub shedding: Area,
    /// Time from its farthest point.
    pub time: Time,
}

/// The peak where streams have joined.
#[derive(Debug, Clone, PartialEq)]
pub struct JoinedPeak {
    /// The flow.
    pub flow: Flow,
    /// How long the rain lasts that gives it.
    pub time: Time,
    /// That rain.
    pub rain: RainAt,
    /// For each stream the part of its ground that has joined by then, 0 to 1.
    pub joined: Vec<f64>,
}

impl JoinedPeak {
    /// Whether a shorter rain that not all of the ground has joined in gives more than one that all of it has.
    #[must_use]
    pub fn is_partial(&self) -> bool {
        self.joined.iter().any(|&share| share < 1.0)
    }
}

/// The largest flow of several streams.
///
/// # Method
/// For the time of each stream the rain of that duration on all ground that has joined by then: of a slower stream the
/// part t / its own time. The largest counts. With two streams this is the published check for a small fast area; that
/// of the longest time is the usual composite. Never above the sum of the streams' own peaks.
///
/// # Source
/// FHWA, Highway Hydrology, Hydraulic Design Series 2, 2nd edition (2002), equations 5.30 and 5.31, for two areas;
/// applied to more than two of them by us.
#[must_use]
pub fn joined_peak(streams: &[Stream], rain: &Rain) -> Option<Warned<JoinedPeak>> {
    let mut best: Option<Warned<JoinedPeak>> = None;
    let mut times: Vec<Time> =
        streams.iter().filter(|s| s.shedding.as_m2() > 0.0).map(|stream| stream.time).collect();
    // The longest first, so that of equal flows the one that all ground has joined in is kept.
    times.sort_by(|a, b| b.as_s().total_cmp(&a.as_s()));
    times.dedup();
    for time in times {
        let found = rain.at(time);
        let joined: Vec<f64> = streams.iter().map(|stream| joined_share(time, stream.time)).collect();
        let shedding: Area =
            streams.iter().zip(&joined).map(|(stream, &share)| stream.shedding * share).sum();
        let flow = peak_flow_of_shedding(found.value.intensity, shedding);
        if best.as_ref().is_none_or(|b| flow.as_m3_per_s() > b.value.flow.as_m3_per_s()) {
            let peak = JoinedPeak { flow, time, rain: found.value, joined };
            best = Some(Warned::new(peak, found.warnings));
        }
    }
    best
}

fn joined_share(time: Time, own: Time) -> f64 {
    if own.as_s() > time.as_s() { time / own } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::intensity_curve::IntensityCurve;
    use crate::units::RainIntensity;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn stream(shedding_m2: f64, minutes: f64) -> Stream {
        Stream { shedding: Area::from_m2(shedding_m2), time: Time::from_min(minutes) }
    }

    fn falling() -> Rain {
        Rain::curve(IntensityCurve::in_mm_per_h_and_min(1000.0, 10.0, 0.8).unwrap(), None)
    }

    fn peak(streams: &[Stream], rain: &Rain) -> JoinedPeak {
        joined_peak(streams, rain).unwrap().value
    }

    // HDS-2 equation 5.31 by hand: (C1 A1 t2/t1 + C2 A2) i2 with a slow meadow and a small fast yard.
    #[test]
    fn a_small_fast_area_may_give_more_than_the_whole() {
        let (slow, fast) = (stream(100.0, 60.0), stream(900.0, 5.0));
        let i = |minutes: f64| 1000.0 / (minutes + 10.0_f64).powf(0.8) / 3.6e6;
        let (all, early) = (i(60.0) * 1000.0, i(5.0) * (100.0 * 5.0 / 60.0 + 900.0));
        assert!(early > all);
        let found = peak(&[slow, fast], &falling());
        assert_relative_eq!(found.flow.as_m3_per_s(), early, max_relative = 1e-12);
        assert!(found.is_partial());
    }

    #[test]
    fn steady_rain_waits_for_all_of_them() {
        let rain = Rain::steady(RainIntensity::from_mm_per_h(36.0), None);
        let found = peak(&[stream(500.0, 60.0), stream(500.0, 5.0)], &rain);
        assert_relative_eq!(found.flow.as_m3_per_s(), 0.01, max_relative = 1e-12);
        assert!(!found.is_partial());
        assert!(joined_peak(&[], &rain).is_none());
    }

    proptest! {
        #[test]
        fn more_ground_never_lowers_the_peak_and_the_sum_bounds_it(
            parts in prop::collection::vec((1.0..1e4f64, 5.0..120.0f64), 1..6),
            (more, minutes) in (0.0..1e4f64, 5.0..500.0f64),
        ) {
            let mut streams: Vec<Stream> = parts.iter().map(|&(m2, min)| stream(m2, min)).collect();
            let rain = falling();
            let before = peak(&streams, &rain).flow.as_m3_per_s();
            let sum: f64 = streams.iter().map(|&s| peak(&[s], &rain).flow.as_m3_per_s()).sum();
            prop_assert!(before <= sum * (1.0 + 1e-12));
            streams.push(stream(more, minutes));
            prop_assert!(peak(&streams, &rain).flow.as_m3_per_s() >= before * (1.0 - 1e-12));
        }
    }
}

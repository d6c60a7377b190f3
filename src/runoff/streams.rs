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
    /// The band of distance whose ground alone gives it, with those before it; nothing where it is that of all ground.
    pub band: Option<usize>,
}

impl JoinedPeak {
    /// Whether a shorter rain that not all of the ground has joined in gives more than one that all of it has.
    #[must_use]
    pub fn is_partial(&self) -> bool {
        self.band.is_some() || self.joined.iter().any(|&share| share < 1.0)
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
            let peak = JoinedPeak { flow, time, rain: found.value, joined, band: None };
            best = Some(Warned::new(peak, found.warnings));
        }
    }
    best
}

/// Water that enters over a stretch: all of it, and that of near ground alone.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct GatheredWater {
    /// All of it; empty without a design storm.
    pub streams: Vec<Stream>,
    /// For each band of distance from the lot line the water of all ground in it and in those before it.
    pub near: Vec<Vec<Stream>>,
}

impl GatheredWater {
    /// Adds what enters from another crossing, which has the same bands.
    pub fn add(&mut self, other: Self) {
        self.streams.extend(other.streams);
        self.near.resize(self.near.len().max(other.near.len()), Vec::new());
        for (all, more) in self.near.iter_mut().zip(other.near) {
            all.extend(more);
        }
    }

    /// Adds water from beside the stretch, which is nearer than any band.
    pub fn add_from_beside(&mut self, stream: Stream) {
        self.streams.push(stream);
        for band in &mut self.near {
            band.push(stream);
        }
    }

    /// The largest flow: of all water, or where it is larger of near ground alone, so that a long, thin rest behind
    /// doesn't lower it.
    #[must_use]
    pub fn peak(&self, rain: &Rain) -> Option<Warned<JoinedPeak>> {
        let mut best = joined_peak(&self.streams, rain)?;
        for (band, near) in self.near.iter().enumerate() {
            let Some(mut found) = joined_peak(near, rain) else { continue };
            if found.value.flow.as_m3_per_s() > best.value.flow.as_m3_per_s() * (1.0 + 1e-9) {
                found.value.band = Some(band);
                best = found;
            }
        }
        Some(best)
    }
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

    // 600 m² in 100 min, and 400 m² and 100 m² of it in 10 and 8 min; the strip has 10 m² in 5 min.
    #[test]
    fn near_ground_counts_alone_where_it_gives_more() {
        let i = |minutes: f64| 1000.0 / (minutes + 10.0_f64).powf(0.8) / 3.6e6;
        let peak_of = |near: &[Stream]| {
            let mut water = GatheredWater { streams: vec![stream(600.0, 100.0)], near: Vec::new() };
            for &near in near {
                water.add(GatheredWater { streams: Vec::new(), near: vec![vec![near]] });
            }
            water.add_from_beside(stream(10.0, 5.0));
            water.peak(&falling()).unwrap().value
        };
        let all = peak_of(&[]);
        assert_relative_eq!(all.flow.as_m3_per_s(), i(100.0) * 610.0, max_relative = 1e-12);
        let near = peak_of(&[stream(400.0, 10.0), stream(100.0, 8.0)]);
        assert_relative_eq!(near.flow.as_m3_per_s(), i(10.0) * 510.0, max_relative = 1e-12);
        assert_eq!((near.band, near.joined.len()), (Some(0), 3));
        assert!(near.is_partial() && !all.is_partial());
        assert_eq!(peak_of(&[stream(20.0, 10.0)]).band, None);
    }

    proptest! {
        #[test]
        fn the_whole_has_no_less_than_a_crossing_and_no_more_than_all_of_them(
            crossings in prop::collection::vec(prop::collection::vec((1.0..1e3f64, 1.0..30.0f64), 4), 1..5),
        ) {
            // Of each crossing three bands, then all of it: ground and time add up.
            let of = |steps: &Vec<(f64, f64)>| {
                let sums = steps.iter().scan((0.0, 5.0), |sum, step| {
                    *sum = (sum.0 + step.0, sum.1 + step.1);
                    Some(stream(sum.0, sum.1))
                });
                let sums: Vec<Stream> = sums.collect();
                GatheredWater { streams: vec![sums[3]], near: sums[..3].iter().map(|&s| vec![s]).collect() }
            };
            let flow = |water: &GatheredWater| water.peak(&falling()).unwrap().value.flow.as_m3_per_s();
            let mut whole = GatheredWater::default();
            for steps in &crossings {
                whole.add(of(steps));
            }
            let each: Vec<f64> = crossings.iter().map(|steps| flow(&of(steps))).collect();
            let (found, largest) = (flow(&whole), each.iter().copied().fold(0.0, f64::max));
            prop_assert!(found >= largest * (1.0 - 1e-9), "{found} of all, {largest} of one");
            prop_assert!(found <= each.iter().sum::<f64>() * (1.0 + 1e-9));
        }

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

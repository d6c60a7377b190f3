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
    /// Time that it takes.
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
    partial: bool,
}

impl JoinedPeak {
    /// Whether a shorter rain gives more than one in which all of the ground has joined, but for a trace of a thousandth.
    #[must_use]
    pub const fn is_partial(&self) -> bool {
        self.partial
    }

    /// Whether water that takes so long has joined in.
    #[must_use]
    pub fn has(&self, own: Time) -> bool {
        own.as_s() <= self.time.as_s()
    }
}

/// The largest flow of several streams.
///
/// # Method
/// For the time of each stream the rain of that duration on all ground that has joined by then; the largest counts. That
/// of the longest time is the usual composite. More ground never lowers it, and it is never above the sum of the
/// streams' own peaks.
///
/// # Source
/// FHWA, Highway Hydrology, Hydraulic Design Series 2, 2nd edition (2002), equations 5.30 and 5.31, try two areas in
/// this way. They take of the slow area the part t2 / t1; with the time of each piece of ground at hand, we take what has joined.
#[must_use]
pub fn joined_peak(streams: &[Stream], rain: &Rain) -> Option<Warned<JoinedPeak>> {
    let mut rising: Vec<&Stream> = streams.iter().filter(|stream| stream.shedding.as_m2() > 0.0).collect();
    rising.sort_by(|a, b| a.time.as_s().total_cmp(&b.time.as_s()));
    let all: Area = rising.iter().map(|stream| stream.shedding).sum();
    let mut best: Option<(f64, Time, Area)> = None;
    let mut joined = Area::ZERO;
    for (place, stream) in rising.iter().enumerate() {
        joined = joined + stream.shedding;
        if rising.get(place + 1).is_some_and(|next| next.time.as_s() <= stream.time.as_s()) {
            continue;
        }
        let flow = peak_flow_of_shedding(rain.intensity(stream.time), joined).as_m3_per_s();
        // Of flows that differ by rounding the one that more ground has joined in.
        if best.is_none_or(|(largest, ..)| flow >= largest * (1.0 - 1e-12)) {
            best = Some((flow, stream.time, joined));
        }
    }
    let (_, time, joined) = best?;
    let found = rain.at(time);
    let flow = peak_flow_of_shedding(found.value.intensity, joined);
    let partial = joined < all * (1.0 - TRACE);
    Some(Warned::new(JoinedPeak { flow, time, rain: found.value, partial }, found.warnings))
}

/// Ground that is missing from a peak isn't spoken of when it is this part of all, or less: shared flow leaves a trace of
/// the water of far ground everywhere.
const TRACE: f64 = 1e-3;

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

    // By hand: after 5 min the yard alone, after 60 min all of it.
    #[test]
    fn a_small_fast_area_may_give_more_than_the_whole() {
        let (slow, fast) = (stream(100.0, 60.0), stream(900.0, 5.0));
        let i = |minutes: f64| 1000.0 / (minutes + 10.0_f64).powf(0.8) / 3.6e6;
        let (all, early) = (i(60.0) * 1000.0, i(5.0) * 900.0);
        assert!(early > all);
        let found = peak(&[slow, fast], &falling());
        assert_relative_eq!(found.flow.as_m3_per_s(), early, max_relative = 1e-12);
        assert!(found.is_partial() && found.has(fast.time) && !found.has(slow.time));
    }

    #[test]
    fn steady_rain_waits_for_all_of_them() {
        let rain = Rain::steady(RainIntensity::from_mm_per_h(36.0), None);
        let found = peak(&[stream(500.0, 60.0), stream(500.0, 5.0)], &rain);
        assert_relative_eq!(found.flow.as_m3_per_s(), 0.01, max_relative = 1e-12);
        assert!(!found.is_partial());
        assert!(joined_peak(&[], &rain).is_none());
    }

    // 12.4 mm in 15 min are stronger than 4 mm in 5: 49.6 against 48 mm/h. Shorter rain has the stronger part of the longer.
    #[test]
    fn rounding_of_a_table_puts_no_whole_above_its_parts() {
        let text = b"depth mm,2 yr,10 yr\n5 min,4.0,6.5\n15 min,12.4,20.2\n60 min,22,32.5\n24 h,50,120\n";
        let table = crate::input::read_rain_table("invented.csv".as_ref(), text).unwrap().value;
        let rain = Rain::table(table, crate::units::ReturnPeriod::new(2.0).unwrap()).unwrap();
        let (near, far) = (stream(900.0, 6.0), stream(100.0, 15.0));
        let by_hand = 49.6 / 3.6e6;
        assert_relative_eq!(peak(&[near], &rain).flow.as_m3_per_s(), by_hand * 900.0, max_relative = 1e-9);
        let whole = peak(&[near, far], &rain).flow.as_m3_per_s();
        assert_relative_eq!(whole, by_hand * 1000.0, max_relative = 1e-9);
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

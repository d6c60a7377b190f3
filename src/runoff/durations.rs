//! How long the rain is taken to last, one length after the other.

use super::rain::Rain;
use super::travel::OwnTime;
use crate::formula::sheet_flow::travel_time_at;
use crate::units::{Grade, Length, RainIntensity, SheetRoughness, Time};

/// Each duration is longer than the one before by this part of a doubling: 0.0085 %, by which the largest flow of a rain
/// that falls with its duration is found to better than a ten-thousandth.
const PARTS_OF_A_DOUBLING: f64 = 8192.0;
/// The last one, s: no way on earth takes ten years.
const LAST_S: f64 = 3.2e8;

/// Durations of rain that are tried, from the least time of concentration on.
///
/// They don't hang on the ground, so that more ground never takes one away that another flow is the largest at.
#[derive(Debug, Clone, PartialEq)]
pub struct Durations {
    each: Vec<Time>,
    /// Time of a sheet in the rain of each by that in the reference rain.
    slowness: Vec<f64>,
}

impl Durations {
    /// The only one of rain that is the same however long it lasts.
    #[must_use]
    pub fn only(least: Time) -> Self {
        Self { each: vec![least], slowness: vec![1.0] }
    }

    /// As many as it takes until all water has arrived.
    pub(super) fn reaching(own: &[OwnTime], rain: &Rain, least: Time) -> Self {
        let most = own.iter().copied().reduce(OwnTime::bound);
        let mut found = Self { each: Vec::new(), slowness: Vec::new() };
        for step in 0_u32.. {
            let time = Time::from_s(least.as_s() * (f64::from(step) / PARTS_OF_A_DOUBLING).exp2());
            let slowness = sheet_time(rain.intensity(time)) / sheet_time(Self::reference());
            found.each.push(time);
            found.slowness.push(slowness);
            if most.is_none_or(|most| most.in_rain(slowness) <= time) || time.as_s() > LAST_S {
                break;
            }
        }
        found
    }

    /// The rain that sheets' times are first worked out in.
    pub(super) const fn reference() -> RainIntensity {
        RainIntensity::from_mm_per_h(100.0)
    }

    /// The first duration by which water has arrived.
    ///
    /// Longer rain is weaker, and weaker rain flows more slowly, but by less than it lasts longer: once water has arrived
    /// it has in all longer rain as well.
    #[expect(clippy::cast_possible_truncation, reason = "there are fewer than 2^32 durations")]
    pub(super) fn first_for(&self, own: OwnTime) -> u32 {
        let arrived = |step: usize| own.in_rain(self.slowness[step]) <= self.each[step];
        let (mut not, mut has) = (0, self.each.len() - 1);
        if arrived(0) {
            return 0;
        }
        while has - not > 1 {
            let middle = usize::midpoint(not, has);
            if arrived(middle) { has = middle } else { not = middle }
        }
        has as u32
    }

    /// One of them.
    #[must_use]
    pub fn time(&self, step: usize) -> Time {
        self.each[step]
    }
}

/// Time of some sheet; only its ratio to that in other rain counts.
fn sheet_time(intensity: RainIntensity) -> f64 {
    let n = SheetRoughness::new(0.1).expect("0.1 is a roughness");
    let grade = Grade::new(0.01).expect("1 % is a grade");
    travel_time_at(n, Length::from_m(10.0), grade, intensity).as_s()
}

//! How much a chamber at the end of the line must hold.

use crate::formula::block_storage::block_storage;
use crate::runoff::Rain;
use crate::units::{Area, Flow, Time, Volume};

/// Pumps that are looked at, as shares of the peak.
const PUMPS: [f64; 3] = [0.125, 0.25, 0.5];
/// Each duration of rain that is tried is longer than the one before by this part of a doubling: 1.1 %, by
/// which the largest volume is found to better than a thousandth.
const PARTS_OF_A_DOUBLING: f64 = 64.0;
/// Rain is followed for a day at the most, h.
const LONGEST_H: f64 = 24.0;

/// A chamber in the design storm.
#[derive(Debug, Clone, PartialEq)]
pub struct Chamber {
    /// Water that comes in an hour of the peak's rain.
    pub in_an_hour: Volume,
    /// Room where nothing leaves; nothing for rain of one intensity, which has no end.
    pub alone: Option<Room>,
    /// Room with a pump; empty where the rain has no end.
    pub pumped: Vec<Pumped>,
}

/// The room that it needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// The volume.
    pub volume: Volume,
    /// How long the rain lasts that fills it.
    pub lasts: Time,
}

/// The same with a pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pumped {
    /// Flow of the pump.
    pub pump: Flow,
    /// What is needed beside it.
    pub room: Room,
}

impl Chamber {
    /// A chamber to which the rain of so much ground comes (sum of coefficient times area), with that peak.
    ///
    /// # Method
    /// Blocks of rain from `least` on, up to a day or the end of the table, each 1.1 % longer than the one
    /// before: the largest V = C A P - q t.
    ///
    /// # Valid range
    /// The coefficient is that of the peak for all durations; nothing but the pump empties it meanwhile.
    #[must_use]
    pub fn of(
        shedding: Area,
        peak: Flow,
        rain: &Rain,
        intensity_of_peak: crate::units::RainIntensity,
        least: Time,
    ) -> Self {
        let hour = Time::from_h(1.0);
        let in_an_hour = block_storage(shedding, intensity_of_peak * hour, hour, Flow::ZERO);
        let Some(longest) = rain.longest() else {
            return Self { in_an_hour, alone: None, pumped: Vec::new() };
        };
        let day = Time::from_h(LONGEST_H);
        let longest = if longest < day { longest } else { day };
        let room = |leaves: Flow| {
            let volume = |lasts: Time| block_storage(shedding, rain.intensity(lasts) * lasts, lasts, leaves);
            let tried = durations(least, longest).map(|lasts| Room { volume: volume(lasts), lasts });
            tried.reduce(|a, b| if b.volume > a.volume { b } else { a })
        };
        let pumped = PUMPS.iter().filter_map(|&share| {
            let pump = peak * share;
            Some(Pumped { pump, room: room(pump)? })
        });
        Self { in_an_hour, alone: room(Flow::ZERO), pumped: pumped.collect() }
    }
}

/// From the least to the longest, both with.
fn durations(least: Time, longest: Time) -> impl Iterator<Item = Time> {
    let at = move |step: u32| Time::from_s(least.as_s() * (f64::from(step) / PARTS_OF_A_DOUBLING).exp2());
    (0_u32..).map(at).take_while(move |time| *time < longest).chain([longest])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::intensity_curve::IntensityCurve;
    use crate::units::RainIntensity;
    use approx::assert_relative_eq;

    const SHEDDING_M2: f64 = 400.0;

    fn of(rain: &Rain, peak_l_s: f64) -> Chamber {
        let peak = Flow::from_l_per_s(peak_l_s);
        let intensity = RainIntensity::from_mm_per_h(90.0);
        Chamber::of(Area::from_m2(SHEDDING_M2), peak, rain, intensity, Time::from_min(5.0))
    }

    // i = 1000 / (t + 10) mm/h, t in min: P = 1000 t / (60 (t + 10)) mm, in a day 1000 x 1440 / (60 x 1450) =
    // 16.552 mm: 6.6207 m3 of 400 m2. With q out the room is largest where d/dt of C A P is q: C A 10 000 /
    // (60 (t + 10)^2) mm/min = q, so t + 10 = (66 667 L/min / q)^(1/2) with q in L/min (1 mm on 400 m2 are
    // 400 L, 400 x 166.67 = 66 667). A peak of 8 L/s: pumps of 1, 2 and 4 L/s, 60, 120 and 240 L/min: t =
    // 23.333, 13.570, 6.667 min; V = 400 x 16.667 t / (t + 10) - q t = 4666.7 - 1400 = 3266.7 L, 3838.2 -
    // 1628.4 = 2209.8 L, 2666.7 - 1600 = 1066.7 L.
    #[test]
    fn the_largest_room_is_that_of_the_closed_form() {
        let rain = Rain::curve(IntensityCurve::in_mm_per_h_and_min(1000.0, 10.0, 1.0).unwrap(), None);
        let found = of(&rain, 8.0);
        let alone = found.alone.unwrap();
        assert_relative_eq!(alone.volume.as_m3(), 6.6207, max_relative = 1e-4);
        assert_relative_eq!(alone.lasts.as_h(), 24.0, max_relative = 1e-9);
        for (pumped, [pump, volume, minutes]) in
            found.pumped.iter().zip([[1.0, 3.2667, 23.333], [2.0, 2.2098, 13.570], [4.0, 1.0667, 6.667]])
        {
            assert_relative_eq!(pumped.pump.as_l_per_s(), pump, max_relative = 1e-12);
            assert_relative_eq!(pumped.room.volume.as_m3(), volume, max_relative = 1e-3);
            assert_relative_eq!(pumped.room.lasts.as_min(), minutes, max_relative = 0.02);
        }
        // 90 mm in an hour on 400 m2.
        assert_relative_eq!(found.in_an_hour.as_m3(), 36.0, max_relative = 1e-9);
    }

    #[test]
    fn rain_of_one_intensity_has_no_end() {
        let found = of(&Rain::steady(RainIntensity::from_mm_per_h(90.0), None), 10.0);
        assert!(found.alone.is_none() && found.pumped.is_empty());
        assert_relative_eq!(found.in_an_hour.as_m3(), 36.0, max_relative = 1e-9);
    }
}

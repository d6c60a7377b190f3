//! The course of a flood, as a triangle.

use crate::units::{Flow, Time, Volume};

/// Share of the base that the rise takes: the base is 2.67 (8/3) times the rise.
///
/// # Source
/// USDA NRCS, National Engineering Handbook, Part 630, chapter 16, triangular unit hydrograph (from memory).
const RISE_SHARE: f64 = 3.0 / 8.0;

/// Flow over time that rises and falls in straight lines.
///
/// # Method
/// The triangle with this peak and this volume: base Tb = 2 V / Q, rise 3/8 of it.
///
/// # Invariants
/// Peak and base are above 0.
///
/// # Example
/// ```
/// use lotshed::formula::hydrograph::Triangle;
/// use lotshed::units::{Flow, Volume};
/// // 0.01 m3/s and 40 m3: a base of 8000 s, of which 3000 s rise.
/// let flood = Triangle::new(Flow::from_m3_per_s(0.01), Volume::from_m3(40.0)).unwrap();
/// assert!((flood.base().as_s() - 8000.0).abs() < 1e-9 && (flood.rise().as_s() - 3000.0).abs() < 1e-9);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Triangle {
    peak: Flow,
    base: Time,
}

impl Triangle {
    /// The triangle with this peak and this volume; nothing unless both are above 0.
    #[must_use]
    pub fn new(peak: Flow, volume: Volume) -> Option<Self> {
        let base = volume * 2.0 / peak;
        (peak.as_m3_per_s() > 0.0 && base.as_s() > 0.0 && base.as_s().is_finite())
            .then_some(Self { peak, base })
    }

    /// Its peak.
    #[must_use]
    pub const fn peak(&self) -> Flow {
        self.peak
    }

    /// From its start to its end.
    #[must_use]
    pub const fn base(&self) -> Time {
        self.base
    }

    /// From its start to its peak.
    #[must_use]
    pub fn rise(&self) -> Time {
        self.base * RISE_SHARE
    }

    /// All of its water.
    #[must_use]
    pub fn volume(&self) -> Volume {
        self.peak * (self.base * 0.5)
    }

    /// The flow at a time after its start.
    #[must_use]
    pub fn flow_at(&self, time: Time) -> Flow {
        let (t, rise) = (time / self.base, RISE_SHARE);
        let share = if t < rise { t / rise } else { (1.0 - t) / (1.0 - rise) };
        self.peak * share.max(0.0)
    }

    /// The water that has come by a time after its start.
    #[must_use]
    pub fn volume_until(&self, time: Time) -> Volume {
        let t = (time / self.base).clamp(0.0, 1.0);
        let left = if t < RISE_SHARE {
            1.0 - t * t / RISE_SHARE
        } else {
            (1.0 - t) * (1.0 - t) / (1.0 - RISE_SHARE)
        };
        self.volume() * (1.0 - left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Area, Length};
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    // NEH Part 630, chapter 16 (from memory): an inch of runoff from a square mile that rises for an hour peaks at 484 cfs,
    // 645.33 cfs h by 4/3 h.
    #[test]
    fn an_inch_from_a_square_mile_peaks_at_484_cfs() {
        let volume = Length::from_in(1.0) * Area::from_acres(640.0);
        let flood = Triangle::new(Flow::from_ft3_per_s(484.0), volume).unwrap();
        assert_relative_eq!(flood.rise().as_h(), 1.0, max_relative = 1e-4);
    }

    #[test]
    fn without_water_there_is_no_flood() {
        let (flow, volume) = (Flow::from_l_per_s(1.0), Volume::from_m3(1.0));
        assert_eq!(Triangle::new(Flow::ZERO, volume), None);
        assert_eq!(Triangle::new(flow, Volume::ZERO), None);
        let flood = Triangle::new(flow, volume).unwrap();
        assert_eq!(flood.flow_at(flood.base() * 2.0), Flow::ZERO);
    }

    proptest! {
        #[test]
        fn the_flows_add_up_to_the_volume(l_per_s in 0.01..1e4f64, m3 in 0.01..1e5f64, part in 0.0..1.2f64) {
            let flood = Triangle::new(Flow::from_l_per_s(l_per_s), Volume::from_m3(m3)).unwrap();
            let highest = flood.flow_at(flood.rise());
            prop_assert!((highest / flood.peak() - 1.0).abs() < 1e-9);
            prop_assert!((flood.volume().as_m3() / m3 - 1.0).abs() < 1e-9);
            // Straight pieces between many times: exact but for the piece that has the peak.
            let end = flood.base() * part;
            let steps = 4000;
            let at = |i: u32| flood.flow_at(end * (f64::from(i) / f64::from(steps))).as_m3_per_s();
            let sum: f64 = (0..steps).map(|i| 0.5 * (at(i) + at(i + 1))).sum::<f64>() * end.as_s() / f64::from(steps);
            prop_assert!((flood.volume_until(end).as_m3() - sum).abs() <= 1e-3 * m3);
        }
    }
}

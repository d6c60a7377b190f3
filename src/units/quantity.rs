//! Physical quantities, one private SI number each.

use serde::{Deserialize, Serialize};
use std::ops::{Add, Div, Mul, Sub};

/// International foot in metres, exact (1959 agreement; NIST Special Publication 811, appendix B).
const M_PER_FT: f64 = 0.3048;
/// US survey foot in metres, exact (NIST SP 811, appendix B.6).
const M_PER_US_FT: f64 = 1200.0 / 3937.0;
/// Inch in metres, exact (NIST SP 811).
const M_PER_IN: f64 = 0.0254;
/// US liquid gallon in cubic metres, exact (231 cubic inches; NIST SP 811).
const M3_PER_GAL: f64 = 231.0 * M_PER_IN * M_PER_IN * M_PER_IN;
/// Yard in metres, exact: 3 feet (NIST SP 811).
const M_PER_YD: f64 = 3.0 * M_PER_FT;
/// Avoirdupois pound in kilograms, exact (NIST SP 811, appendix B).
const KG_PER_LB: f64 = 0.453_592_37;
/// Seconds in an hour.
const S_PER_H: f64 = 3600.0;
/// Seconds in a day.
const S_PER_DAY: f64 = 24.0 * S_PER_H;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $si:literal, { $($(#[$udoc:meta])* $from:ident, $as:ident = $factor:expr;)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            $(
                #[doc = concat!("Made from a number in ", stringify!($from), " (factor to ", $si, ": `", stringify!($factor), "`).")]
                $(#[$udoc])*
                #[must_use]
                pub const fn $from(value: f64) -> Self { Self(value * ($factor)) }
                #[doc = concat!("The number ", stringify!($as), ".")]
                #[must_use]
                pub const fn $as(self) -> f64 { self.0 / ($factor) }
            )+
        }
        impl Add for $name { type Output = Self; fn add(self, other: Self) -> Self { Self(self.0 + other.0) } }
        impl Sub for $name { type Output = Self; fn sub(self, other: Self) -> Self { Self(self.0 - other.0) } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, factor: f64) -> Self { Self(self.0 * factor) } }
        impl Div for $name { type Output = f64; fn div(self, other: Self) -> f64 { self.0 / other.0 } }
        impl std::iter::Sum for $name { fn sum<I: Iterator<Item = Self>>(items: I) -> Self { items.fold(Self::ZERO, Add::add) } }
    };
}

quantity!(
    /// A length or height difference; metres inside.
    Length, "metres", {
        from_m, as_m = 1.0;
        from_cm, as_cm = 0.01;
        from_mm, as_mm = 0.001;
        from_ft, as_ft = M_PER_FT;
        from_us_ft, as_us_ft = M_PER_US_FT;
        from_in, as_in = M_PER_IN;
    }
);
quantity!(
    /// An area on the ground; square metres inside.
    Area, "square metres", {
        from_m2, as_m2 = 1.0;
        from_cm2, as_cm2 = 0.000_1;
        from_in2, as_in2 = M_PER_IN * M_PER_IN;
        from_yd2, as_yd2 = M_PER_YD * M_PER_YD;
        from_ft2, as_ft2 = M_PER_FT * M_PER_FT;
        from_acres, as_acres = 43_560.0 * M_PER_FT * M_PER_FT;
        from_ha, as_ha = 10_000.0;
    }
);
quantity!(
    /// A discharge; cubic metres per second inside.
    Flow, "cubic metres per second", {
        from_m3_per_s, as_m3_per_s = 1.0;
        from_l_per_s, as_l_per_s = 0.001;
        from_ft3_per_s, as_ft3_per_s = M_PER_FT * M_PER_FT * M_PER_FT;
        from_gal_per_min, as_gal_per_min = M3_PER_GAL / 60.0;
    }
);
quantity!(
    /// A rainfall intensity; metres per second inside.
    RainIntensity, "metres per second", {
        from_m_per_s, as_m_per_s = 1.0;
        from_mm_per_h, as_mm_per_h = 0.001 / S_PER_H;
        from_in_per_h, as_in_per_h = M_PER_IN / S_PER_H;
    }
);
quantity!(
    /// A mean velocity of flow, or what stone conducts at a grade of one; metres per second inside.
    Velocity, "metres per second", {
        from_m_per_s, as_m_per_s = 1.0;
        from_ft_per_s, as_ft_per_s = M_PER_FT;
        from_m_per_day, as_m_per_day = 1.0 / S_PER_DAY;
        from_ft_per_day, as_ft_per_day = M_PER_FT / S_PER_DAY;
    }
);
quantity!(
    /// A span of time; seconds inside.
    Time, "seconds", {
        from_s, as_s = 1.0;
        from_min, as_min = 60.0;
        from_h, as_h = S_PER_H;
    }
);
quantity!(
    /// A volume of water or ground; cubic metres inside.
    Volume, "cubic metres", {
        from_m3, as_m3 = 1.0;
        from_l, as_l = 0.001;
        from_ft3, as_ft3 = M_PER_FT * M_PER_FT * M_PER_FT;
        from_gal, as_gal = M3_PER_GAL;
        from_yd3, as_yd3 = M_PER_YD * M_PER_YD * M_PER_YD;
    }
);
quantity!(
    /// A mass of material; kilograms inside.
    Mass, "kilograms", {
        from_kg, as_kg = 1.0;
        from_t, as_t = 1000.0;
        from_lb, as_lb = KG_PER_LB;
        from_short_ton, as_short_ton = 2000.0 * KG_PER_LB;
    }
);

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}

impl Mul<Area> for RainIntensity {
    type Output = Flow;
    fn mul(self, area: Area) -> Flow {
        Flow(self.0 * area.0)
    }
}

impl Mul<Area> for Length {
    type Output = Volume;
    fn mul(self, area: Area) -> Volume {
        Volume(self.0 * area.0)
    }
}

impl Div<Area> for Volume {
    type Output = Length;
    /// Mean depth.
    fn div(self, area: Area) -> Length {
        Length(self.0 / area.0)
    }
}

impl Div<Flow> for Volume {
    type Output = Time;
    /// How long a steady flow takes to bring it.
    fn div(self, flow: Flow) -> Time {
        Time(self.0 / flow.0)
    }
}

impl Mul<Time> for Flow {
    type Output = Volume;
    fn mul(self, time: Time) -> Volume {
        Volume(self.0 * time.0)
    }
}

impl Mul<Time> for RainIntensity {
    type Output = Length;
    /// Depth of rain.
    fn mul(self, time: Time) -> Length {
        Length(self.0 * time.0)
    }
}

impl Div<Velocity> for Length {
    type Output = Time;
    fn div(self, velocity: Velocity) -> Time {
        Time(self.0 / velocity.0)
    }
}

impl Div<Time> for Length {
    type Output = RainIntensity;
    /// Mean intensity of a depth of rain.
    fn div(self, time: Time) -> RainIntensity {
        RainIntensity(self.0 / time.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    // Expected values: NIST SP 811 (2008), appendix B.8, printed digits.
    #[test]
    fn factors_match_the_published_table() {
        assert_relative_eq!(Length::from_ft(1.0).as_m(), 0.3048);
        assert_relative_eq!(Length::from_us_ft(1.0).as_m(), 0.304_800_6, epsilon = 5e-8);
        assert_relative_eq!(Area::from_ft2(1.0).as_m2(), 9.290_304e-2, max_relative = 1e-12);
        assert_relative_eq!(Area::from_acres(1.0).as_m2(), 4.046_856e3, max_relative = 1e-6);
        assert_relative_eq!(Flow::from_ft3_per_s(1.0).as_m3_per_s(), 2.831_685e-2, max_relative = 2e-7);
        assert_relative_eq!(Flow::from_gal_per_min(1.0).as_m3_per_s(), 6.309_020e-5, max_relative = 1e-7);
        assert_relative_eq!(Volume::from_yd3(1.0).as_m3(), 7.645_549e-1, max_relative = 1e-7);
        assert_relative_eq!(Area::from_yd2(1.0).as_m2(), 8.361_274e-1, max_relative = 1e-7);
        assert_relative_eq!(Area::from_in2(1.0).as_cm2(), 6.4516, max_relative = 1e-12);
        assert_relative_eq!(Mass::from_lb(1.0).as_kg(), 4.535_924e-1, max_relative = 1e-7);
        assert_relative_eq!(Mass::from_short_ton(1.0).as_kg(), 9.071_847e2, max_relative = 1e-7);
        // Not in the table: a day of 86 400 s, a foot of 0.3048 m.
        assert_relative_eq!(Velocity::from_ft_per_day(86_400.0).as_m_per_s(), 0.3048, max_relative = 1e-12);
        assert_relative_eq!(Velocity::from_m_per_day(86_400.0).as_m_per_s(), 1.0, max_relative = 1e-12);
        assert_relative_eq!(
            RainIntensity::from_in_per_h(1.0).as_m_per_s(),
            7.055_556e-6,
            max_relative = 1e-7
        );
    }

    #[test]
    fn round_trips_by_every_unit() {
        assert_relative_eq!(Length::from_in(7.5).as_in(), 7.5);
        assert_relative_eq!(Flow::from_gal_per_min(125.0).as_gal_per_min(), 125.0);
        assert_relative_eq!(RainIntensity::from_mm_per_h(33.0).as_mm_per_h(), 33.0);
    }
}

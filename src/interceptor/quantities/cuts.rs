//! Depths along a trench.

use super::error::QuantityError;
use crate::units::Length;

/// Deepest trench, metres.
const DEEPEST_M: f64 = 20.0;

/// Depth of a trench at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// Distance along the line, in plan.
    pub station: Length,
    /// Ground down to the trench's bottom.
    pub depth: Length,
    /// Of it, dug under what the section asks for and filled with stone.
    pub under: Length,
}

impl Cut {
    /// A share of the way to another, straight.
    fn towards(self, other: Self, share: f64) -> Self {
        let between = |a: Length, b: Length| a + (b - a) * share;
        Self {
            station: between(self.station, other.station),
            depth: between(self.depth, other.depth),
            under: between(self.under, other.under),
        }
    }
}

/// Ground and pipe at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// Distance along the line, in plan.
    pub station: Length,
    /// Elevation of the ground in metres.
    pub ground_m: f64,
    /// Elevation of the pipe's inside bottom in metres.
    pub invert_m: f64,
    /// Dug under what the section asks for, and filled with stone.
    pub under: Length,
}

/// Depths along a trench, straight from one to the next.
///
/// # Invariants
/// Two or more; stations rise; depths are above 0, and what is dug under them isn't negative.
#[derive(Debug, Clone, PartialEq)]
pub struct Cuts(Vec<Cut>);

impl Cuts {
    /// Checks the places.
    ///
    /// # Errors
    /// [`QuantityError`] for fewer than two, stations that don't rise, and depths that aren't above 0 or are above 20 m.
    pub fn new(cuts: Vec<Cut>) -> Result<Self, QuantityError> {
        if cuts.len() < 2 {
            return Err(QuantityError::Stations { found: cuts.len() });
        }
        let mut before_m = f64::NEG_INFINITY;
        for cut in &cuts {
            let (station_m, depth_m) = (cut.station.as_m(), cut.depth.as_m());
            let holds = depth_m > 0.0 && depth_m <= DEEPEST_M && (0.0..depth_m).contains(&cut.under.as_m());
            if !(station_m.is_finite() && station_m > before_m && holds) {
                return Err(QuantityError::Cut { station_m, depth_m });
            }
            before_m = station_m;
        }
        Ok(Self(cuts))
    }

    /// Depths from the levels of ground and pipe; `below` is the trench's bottom below the pipe's invert, which its section
    /// tells.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn from_levels(levels: &[Level], below: Length) -> Result<Self, QuantityError> {
        let cut = |level: &Level| Cut {
            station: level.station,
            depth: Length::from_m(level.ground_m - level.invert_m) + below + level.under,
            under: level.under,
        };
        Self::new(levels.iter().map(cut).collect())
    }

    /// The places.
    #[must_use]
    pub fn all(&self) -> &[Cut] {
        &self.0
    }

    /// First station.
    #[must_use]
    pub fn from(&self) -> Length {
        self.0[0].station
    }

    /// Last station.
    #[must_use]
    pub fn to(&self) -> Length {
        self.0[self.0.len() - 1].station
    }

    /// Length in plan from the first to the last.
    #[must_use]
    pub fn length(&self) -> Length {
        self.to() - self.from()
    }

    /// Depth at a station; beyond the ends that of the end.
    #[must_use]
    pub fn depth_at(&self, station: Length) -> Length {
        self.at(station).depth
    }

    /// The cut at a station; beyond the ends that of the end.
    #[must_use]
    pub fn at(&self, station: Length) -> Cut {
        let after = self.0.partition_point(|cut| cut.station < station).clamp(1, self.0.len() - 1);
        let (a, b) = (self.0[after - 1], self.0[after]);
        let share = ((station - a.station) / (b.station - a.station)).clamp(0.0, 1.0);
        a.towards(b, share)
    }

    /// The deepest place.
    #[must_use]
    pub fn deepest(&self) -> Cut {
        self.0[1..]
            .iter()
            .fold(self.0[0], |deepest, &cut| if cut.depth > deepest.depth { cut } else { deepest })
    }

    /// Length in plan over which the trench is as deep as a limit or deeper.
    #[must_use]
    pub fn length_from(&self, limit: Length) -> Length {
        let pieces = self.0.windows(2).map(|pair| {
            let (from_m, to_m) = (pair[0].depth.as_m(), pair[1].depth.as_m());
            let (low_m, high_m) = (from_m.min(to_m), from_m.max(to_m));
            let share = if low_m >= limit.as_m() {
                1.0
            } else if high_m > limit.as_m() {
                (high_m - limit.as_m()) / (high_m - low_m)
            } else {
                0.0
            };
            (pair[1].station - pair[0].station) * share
        });
        pieces.sum()
    }

    /// Sum along the trench of something that goes with the depth and what is dug under it.
    ///
    /// # Method
    /// Prismoidal rule, L / 6 (first + 4 middle + last) from one station to the next: exact for what goes with the depth to
    /// the third power or less, as every area of a trench does.
    pub(super) fn along(&self, of: impl Fn(Cut) -> f64) -> f64 {
        let pieces = self.0.windows(2).map(|pair| {
            let (a, b) = (pair[0], pair[1]);
            (b.station - a.station).as_m() / 6.0 * (of(a) + 4.0 * of(a.towards(b, 0.5)) + of(b))
        });
        pieces.sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn cuts(all: &[(f64, f64)]) -> Result<Cuts, QuantityError> {
        let cut = |&(s, d): &(f64, f64)| Cut {
            station: Length::from_m(s),
            depth: Length::from_m(d),
            under: Length::ZERO,
        };
        Cuts::new(all.iter().map(cut).collect())
    }

    #[test]
    fn places_that_can_not_be_are_refused() {
        assert_eq!(cuts(&[(0.0, 1.0)]), Err(QuantityError::Stations { found: 1 }));
        for wrong in [
            [(0.0, 1.0), (0.0, 1.0)],
            [(5.0, 1.0), (4.0, 1.0)],
            [(0.0, 0.0), (1.0, 1.0)],
            [(0.0, 1.0), (1.0, f64::NAN)],
            [(0.0, 1.0), (f64::INFINITY, 1.0)],
            [(0.0, 1.0), (1.0, 21.0)],
        ] {
            assert!(matches!(cuts(&wrong), Err(QuantityError::Cut { .. })), "{wrong:?}");
        }
    }

    // Ground 100.80, invert 100.20, 0.08 m to the bottom: 0.68 m. Ground 100.90, invert 100.10: 0.88 m. Without ground no depth.
    #[test]
    fn depths_come_from_levels() {
        let level = |s, ground_m, invert_m| Level {
            station: Length::from_m(s),
            ground_m,
            invert_m,
            under: Length::ZERO,
        };
        let below = Length::from_m(0.08);
        let cuts = Cuts::from_levels(&[level(0.0, 100.8, 100.2), level(5.0, 100.9, 100.1)], below).unwrap();
        assert_relative_eq!(cuts.all()[0].depth.as_m(), 0.68, epsilon = 1e-12);
        assert_relative_eq!(cuts.all()[1].depth.as_m(), 0.88, epsilon = 1e-12);
        assert!(Cuts::from_levels(&[level(0.0, f64::NAN, 100.2), level(5.0, 100.9, 100.1)], below).is_err());
    }

    // Straight between: 0.8 at 10 m and 1.2 at 20 m are 0.9 at 12.5 m.
    #[test]
    fn depths_lie_on_straight_lines() {
        let cuts = cuts(&[(10.0, 0.8), (20.0, 1.2), (25.0, 1.2)]).unwrap();
        for (station, depth) in [(10.0, 0.8), (12.5, 0.9), (20.0, 1.2), (22.0, 1.2), (5.0, 0.8), (30.0, 1.2)]
        {
            assert_relative_eq!(cuts.depth_at(Length::from_m(station)).as_m(), depth, max_relative = 1e-12);
        }
        assert_relative_eq!(cuts.length().as_m(), 15.0);
    }

    // d from 0.8 to 1.2 m over 10 m. Integral of d: 10 x 1.0; of d^2: 10 x (1.2^3 - 0.8^3) / (3 x 0.4) = 10 x 1.216 / 1.2 = 10.1333; of d^3:
    // 10 x (1.2^4 - 0.8^4) / (4 x 0.4) = 10 x 1.664 / 1.6 = 10.4. Level at 1.2 m for 5 m: 6, 7.2, 8.64.
    #[test]
    fn sums_are_exact_up_to_the_third_power() {
        let cuts = cuts(&[(0.0, 0.8), (10.0, 1.2), (15.0, 1.2)]).unwrap();
        for (power, expected) in [(0, 15.0), (1, 16.0), (2, 10.0 * 1.216 / 1.2 + 7.2), (3, 10.4 + 8.64)] {
            assert_relative_eq!(
                cuts.along(|cut| cut.depth.as_m().powi(power)),
                expected,
                max_relative = 1e-12
            );
        }
    }
}

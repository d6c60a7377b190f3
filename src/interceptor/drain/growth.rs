//! How the water of a part grows down its way.

use super::error::DrainError;

/// Lengths nearer than this are one, m: stations are sums of steps.
const SAME_M: f64 = 1e-6;

/// Share of a part's water that has entered up to a place, down the water's way.
///
/// # Invariants
/// Two places or more, the first at 0; places rise; shares never fall and run from 0 to 1. Straight between places.
#[derive(Debug, Clone, PartialEq)]
pub struct Growth(Vec<(f64, f64)>);

/// Water that enters between two places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entering {
    /// From here, m.
    pub from_m: f64,
    /// To here.
    pub to_m: f64,
    /// Share of the part's water.
    pub share: f64,
}

impl Entering {
    /// Share by length, 1/m.
    #[must_use]
    pub fn per_m(self) -> f64 {
        self.share / (self.to_m - self.from_m)
    }
}

impl Growth {
    /// Checks the places: station in metres and share.
    ///
    /// # Errors
    /// [`DrainError::Growth`].
    pub fn new(places: Vec<(f64, f64)>) -> Result<Self, DrainError> {
        let wrong = |place: usize, (station_m, share): (f64, f64)| {
            Err(DrainError::Growth { place: place + 1, station_m, share })
        };
        let (Some(&first), Some(&last)) = (places.first(), places.last()) else {
            return wrong(0, (0.0, 0.0));
        };
        if first != (0.0, 0.0) {
            return wrong(0, first);
        }
        for (i, pair) in places.windows(2).enumerate() {
            let [(before_m, before), (station_m, share)] = [pair[0], pair[1]];
            if !(station_m.is_finite() && station_m > before_m && share >= before && share <= 1.0) {
                return wrong(i + 1, pair[1]);
            }
        }
        if places.len() < 2 || last.1 < 1.0 {
            return wrong(places.len() - 1, last);
        }
        Ok(Self(places))
    }

    /// The same water known no finer than over a length: places that lie nearer to the one before, or to the end, are
    /// left out, so that no piece is shorter, but for a part that is itself.
    ///
    /// # Method
    /// What enters a piece is kept, and comes evenly over it. A line seldom measures whole steps: what is left of it
    /// at its end may be a centimetre long, and the water that is told for it came over as much as a cell is wide. By
    /// the length of that piece a metre would have many times what comes to any metre of ground.
    #[must_use]
    pub fn no_finer_than(&self, least_m: f64) -> Self {
        let (last_m, last) = self.0[self.0.len() - 1];
        let is_far = |from_m: f64, to_m: f64| to_m - from_m >= least_m - SAME_M;
        let mut places = vec![self.0[0]];
        for &place in &self.0[1..] {
            let before_m = places[places.len() - 1].0;
            if is_far(before_m, place.0) && is_far(place.0, last_m) {
                places.push(place);
            }
        }
        places.push((last_m, last));
        Self(places)
    }

    /// The same water for a drain that runs the other way round.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let length_m = self.length_m();
        let mut places: Vec<(f64, f64)> =
            self.0.iter().rev().map(|&(m, s)| (length_m - m, 1.0 - s)).collect();
        // The ends exactly.
        if let Some(first) = places.first_mut() {
            *first = (0.0, 0.0);
        }
        Self(places)
    }

    /// Length of the part, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.0[self.0.len() - 1].0
    }

    /// Share that has entered up to a station; all of it beyond the end.
    #[must_use]
    pub fn share_at(&self, station_m: f64) -> f64 {
        if station_m >= self.length_m() {
            return 1.0;
        }
        let after = self.0.partition_point(|place| place.0 <= station_m).clamp(1, self.0.len() - 1);
        let [(from_m, from), (to_m, to)] = [self.0[after - 1], self.0[after]];
        from + (to - from) * ((station_m - from_m) / (to_m - from_m)).clamp(0.0, 1.0)
    }

    /// What enters between neighbouring places.
    pub fn entering(&self) -> impl Iterator<Item = Entering> + '_ {
        self.0.windows(2).map(|pair| Entering {
            from_m: pair[0].0,
            to_m: pair[1].0,
            share: pair[1].1 - pair[0].1,
        })
    }

    /// Greatest share by length, 1/m.
    #[must_use]
    pub fn greatest_per_m(&self) -> f64 {
        self.entering().map(Entering::per_m).fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    // 10 m: a fifth over the first 2 m, the rest evenly: 0.2 + 0.8 (5 - 2) / 8 = 0.5 at 5 m.
    #[test]
    fn shares_are_straight_between_places_and_turn_round() {
        let growth = Growth::new(vec![(0.0, 0.0), (2.0, 0.2), (10.0, 1.0)]).unwrap();
        for (station_m, share) in [(0.0, 0.0), (1.0, 0.1), (2.0, 0.2), (5.0, 0.5), (10.0, 1.0), (40.0, 1.0)] {
            assert_relative_eq!(growth.share_at(station_m), share, max_relative = 1e-12);
        }
        let back = growth.reversed();
        for (station_m, share) in [(5.0, 0.5), (8.0, 0.8), (9.0, 0.9)] {
            assert_relative_eq!(back.share_at(station_m), share, max_relative = 1e-12);
        }
        assert_relative_eq!(growth.greatest_per_m(), 0.1, max_relative = 1e-12);
        assert_relative_eq!(back.reversed().share_at(2.0), 0.2, max_relative = 1e-12);
        assert!(Growth::new(back.0).is_ok());
    }

    // 0.105 of the water on each of 9 m, and 0.055 on a last step of 1.5 cm, since what comes beyond the end is added
    // to it: 0.055 / 0.015 = 3.67 a metre, more than all of the water. One with the metre before it, 0.16 / 1.015.
    #[test]
    fn a_short_last_step_is_one_with_the_one_before() {
        let even = (0..10).map(|i| (f64::from(i), 0.105 * f64::from(i)));
        let growth = Growth::new(even.chain([(9.015, 1.0)]).collect()).unwrap();
        assert_relative_eq!(growth.greatest_per_m(), 0.055 / 0.015, max_relative = 1e-9);
        let joined = growth.no_finer_than(1.0);
        assert_eq!(joined.entering().count(), 9);
        assert_relative_eq!(joined.greatest_per_m(), 0.16 / 1.015, max_relative = 1e-9);
        for station_m in [0.0, 3.0, 8.0, 9.015] {
            assert_relative_eq!(joined.share_at(station_m), growth.share_at(station_m), epsilon = 1e-12);
        }
    }

    // A corner at 2.3 m: its piece is one with the next, 2 to 3 m. A part of 0.4 m is one piece.
    #[test]
    fn no_piece_is_shorter_than_asked_but_for_a_part_that_is() {
        let growth =
            Growth::new(vec![(0.0, 0.0), (1.0, 0.2), (2.0, 0.4), (2.3, 0.7), (3.0, 0.8), (4.0, 1.0)]);
        let ends: Vec<f64> = growth.unwrap().no_finer_than(1.0).entering().map(|piece| piece.to_m).collect();
        assert_eq!(ends, [1.0, 2.0, 3.0, 4.0]);
        let short = Growth::new(vec![(0.0, 0.0), (0.1, 0.9), (0.4, 1.0)]).unwrap().no_finer_than(1.0);
        assert_relative_eq!(short.greatest_per_m(), 2.5, max_relative = 1e-12);
    }

    #[test]
    fn growth_that_can_not_be_is_refused() {
        for wrong in [
            vec![],
            vec![(0.0, 0.0)],
            vec![(0.0, 0.1), (1.0, 1.0)],
            vec![(0.0, 0.0), (1.0, 0.9)],
            vec![(0.0, 0.0), (0.0, 1.0)],
            vec![(0.0, 0.0), (1.0, 0.6), (2.0, 0.5), (3.0, 1.0)],
            vec![(0.0, 0.0), (1.0, f64::NAN)],
            vec![(0.0, 0.0), (1.0, 1.2), (2.0, 1.2)],
        ] {
            assert!(matches!(Growth::new(wrong.clone()), Err(DrainError::Growth { .. })), "{wrong:?}");
        }
    }
}

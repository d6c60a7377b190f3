//! How the water of a part grows down its way.

use super::error::DrainError;

/// Lengths nearer than this are one, m: stations are sums of steps.
const SAME_M: f64 = 1e-6;
/// More by less than this is rounding.
const MORE: f64 = 1.0 + 1e-9;

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

    /// The same water known no finer than over a length: a shorter piece into which more comes by length than into both beside
    /// it is one with the one of these that has more, until there is none, but for a part that is itself so short.
    ///
    /// # Method
    /// At a corner of the line stations may lie centimetres apart, and much of the lot line lies nearest to them. Nothing is known
    /// finer than a cell; by the length of such a piece a metre would have many times what comes to any metre of ground.
    #[must_use]
    pub fn no_finer_than(&self, least_m: f64) -> Self {
        let mut places = self.0.clone();
        while let Some(place) = too_fine(&places, least_m) {
            places.remove(place);
        }
        Self(places)
    }

    /// The same water with a share more that comes in at the first metres, and one at the last, each evenly over so many, or over all of a
    /// shorter part.
    #[must_use]
    pub fn with_ends(&self, [head, foot]: [f64; 2], over_m: f64) -> Self {
        let length_m = self.length_m();
        let over_m = over_m.min(length_m);
        let begins_m = length_m - over_m;
        let mut stations: Vec<f64> = self.0.iter().map(|place| place.0).chain([over_m, begins_m]).collect();
        stations.sort_by(f64::total_cmp);
        stations.dedup_by(|b, a| *b - *a <= SAME_M);
        let last = stations.len() - 1;
        let share = |(place, station_m): (usize, f64)| {
            let at_head = head * (station_m / over_m).min(1.0);
            let at_foot = foot * ((station_m - begins_m) / over_m).clamp(0.0, 1.0);
            let share = (1.0 - head - foot) * self.share_at(station_m) + at_head + at_foot;
            // The ends exactly.
            let (station_m, share) = match place {
                0 => (0.0, 0.0),
                place if place == last => (length_m, 1.0),
                _ => (station_m, share.clamp(0.0, 1.0)),
            };
            (station_m, share)
        };
        Self(stations.into_iter().enumerate().map(share).collect())
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

/// The place at which a piece that is shorter, and has more by length than both beside it, meets the one of these that has more.
fn too_fine(places: &[(f64, f64)], least_m: f64) -> Option<usize> {
    let length_m = |piece: usize| places[piece + 1].0 - places[piece].0;
    let per_m = |piece: usize| (places[piece + 1].1 - places[piece].1) / length_m(piece);
    let pieces = places.len() - 1;
    (0..pieces).filter(|&piece| length_m(piece) < least_m - SAME_M).find_map(|piece| {
        let before = piece.checked_sub(1).map(per_m);
        let behind = (piece + 1 < pieces).then(|| per_m(piece + 1));
        let own = per_m(piece);
        let has_more =
            before.is_none_or(|before| own > before * MORE) && behind.is_none_or(|behind| own >= behind);
        (has_more && pieces > 1).then_some(if before >= behind { piece } else { piece + 1 })
    })
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

    // As much by length as before it: nothing is told of 1.5 cm that isn't told of a metre.
    #[test]
    fn a_short_last_step_of_an_even_sheet_stays() {
        let even = (0..10).map(|i| (f64::from(i), f64::from(i) / 9.015));
        let growth = Growth::new(even.chain([(9.015, 1.0)]).collect()).unwrap().no_finer_than(1.0);
        assert_relative_eq!(growth.greatest_per_m(), 1.0 / 9.015, max_relative = 1e-9);
    }

    // A corner at 2.3 m: 0.3 of the water over 0.3 m is one with the metre before it, which has more than the next. A part of 0.4 m
    // is one piece.
    #[test]
    fn no_short_piece_has_more_by_length_than_those_beside_it() {
        let growth =
            Growth::new(vec![(0.0, 0.0), (1.0, 0.2), (2.0, 0.4), (2.3, 0.7), (3.0, 0.8), (4.0, 1.0)]);
        let joined = growth.unwrap().no_finer_than(1.0);
        assert_eq!(joined.entering().map(|piece| piece.to_m).collect::<Vec<_>>(), [1.0, 2.3, 3.0, 4.0]);
        assert_relative_eq!(joined.greatest_per_m(), 0.5 / 1.3, max_relative = 1e-12);
        let short = Growth::new(vec![(0.0, 0.0), (0.1, 0.9), (0.4, 1.0)]).unwrap().no_finer_than(1.0);
        assert_relative_eq!(short.greatest_per_m(), 2.5, max_relative = 1e-12);
    }

    // 0.6 of the water evenly over 10.015 m, 0.1 more over the first metre and 0.3 over the last, whose step is 1.5 cm: 0.06 / 1.0015 + 0.3 a
    // metre there, and 0.06 / 1.0015 + 0.1 at the head.
    #[test]
    fn what_comes_in_at_the_ends_comes_over_a_metre_of_them() {
        let even = (0..11).map(|i| (f64::from(i), f64::from(i) / 10.015));
        let growth = Growth::new(even.chain([(10.015, 1.0)]).collect()).unwrap().with_ends([0.1, 0.3], 1.0);
        let a_metre = 0.6 / 10.015;
        assert_relative_eq!(growth.share_at(1.0), a_metre + 0.1, max_relative = 1e-9);
        assert_relative_eq!(growth.share_at(9.015), 9.015 * a_metre + 0.1, max_relative = 1e-9);
        assert_relative_eq!(growth.share_at(10.0), 1.0 - 0.015 * (a_metre + 0.3), max_relative = 1e-9);
        assert_relative_eq!(growth.greatest_per_m(), a_metre + 0.3, max_relative = 1e-9);
        assert!(Growth::new(growth.0).is_ok());
        let short = Growth::new(vec![(0.0, 0.0), (0.5, 1.0)]).unwrap().with_ends([0.1, 0.3], 1.0);
        assert_relative_eq!(short.greatest_per_m(), 2.0, max_relative = 1e-9);
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

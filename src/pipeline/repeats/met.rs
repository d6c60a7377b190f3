//! What enters on another surface where the crossings of the surface as given are.

use crate::lots::{Inflow, LotDrainage, LotLine, Stretch};

/// Where a crossing of the surface as given is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CrossingPlace {
    ring: usize,
    from_m: f64,
    to_m: f64,
    /// Where its water enters on average, clockwise from the ring's start, m.
    pub(super) middle_m: f64,
}

/// Water that enters where a crossing is, on another surface.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Met {
    pub(super) area_m2: f64,
    /// How far its middle lies from that of the crossing's own water, clockwise, m.
    pub(super) off_m: f64,
}

impl CrossingPlace {
    /// The places of all crossings, in their order.
    pub(super) fn all(line: &LotLine, drainage: &LotDrainage) -> Vec<Self> {
        let lengths = line.ring_lengths_m();
        let place = |crossing: &crate::lots::Crossing| {
            let between_ends = 0.5 * (crossing.from_m + crossing.to_m);
            let ends = Self {
                ring: crossing.ring,
                from_m: crossing.from_m,
                to_m: crossing.to_m,
                middle_m: between_ends,
            };
            let mut water = Water::default();
            for &member in &crossing.members {
                water.add(&drainage.inflows[member], &ends, &lengths);
            }
            Self { middle_m: between_ends + water.met().off_m, ..ends }
        };
        drainage.crossings.iter().map(place).collect()
    }

    /// Whether a stretch meets it, or the gap around it that parts crossings.
    fn is_met_by(&self, stretch: &Stretch, lengths: &[f64], gap_m: f64) -> bool {
        let around = (self.from_m - gap_m, self.to_m + gap_m);
        stretch.ring == self.ring && meet(around, (stretch.from_m, stretch.to_m), lengths[self.ring])
    }

    /// How far along its ring a place lies outside it, m.
    fn apart_m(&self, chainage_m: f64, length_m: f64) -> f64 {
        let beyond_start_m = (chainage_m - self.from_m).rem_euclid(length_m);
        let beyond_end_m = beyond_start_m - (self.to_m - self.from_m);
        beyond_end_m.max(0.0).min(length_m - beyond_start_m)
    }
}

/// What enters at each crossing on another surface, whose inflows are gathered to stretches.
///
/// A stretch that meets one crossing is that crossing's, wherever on it the water enters. One that meets several is
/// shared out by where the water enters: each inflow to the crossing that lies nearest along the line, so that water
/// which joins two crossings isn't told of both.
pub(super) fn met(
    crossings: &[CrossingPlace],
    stretches: &[(Stretch, Vec<usize>)],
    inflows: &[Inflow],
    lengths: &[f64],
    gap_m: f64,
) -> Vec<Met> {
    let mut water = vec![Water::default(); crossings.len()];
    for (stretch, members) in stretches {
        let is_met = |&place: &usize| crossings[place].is_met_by(stretch, lengths, gap_m);
        let near: Vec<usize> = (0..crossings.len()).filter(is_met).collect();
        for inflow in members.iter().map(|&member| &inflows[member]) {
            // A sliver on another ring goes with its stretch; where along it isn't known.
            let apart_m = |place: usize| {
                let crossing = &crossings[place];
                let is_along = inflow.ring == crossing.ring;
                if is_along { crossing.apart_m(inflow.chainage_m, lengths[crossing.ring]) } else { 0.0 }
            };
            let nearest = near.iter().copied().min_by(|&a, &b| apart_m(a).total_cmp(&apart_m(b)));
            if let Some(place) = nearest {
                water[place].add(inflow, &crossings[place], lengths);
            }
        }
    }
    water.iter().map(Water::met).collect()
}

/// Water that is booked to a crossing.
#[derive(Debug, Clone, Copy, Default)]
struct Water {
    area_m2: f64,
    /// Of this it is known where along the ring it enters.
    along_m2: f64,
    moment_m3: f64,
}

impl Water {
    fn add(&mut self, inflow: &Inflow, crossing: &CrossingPlace, lengths: &[f64]) {
        self.area_m2 += inflow.amount;
        if inflow.ring == crossing.ring {
            self.along_m2 += inflow.amount;
            self.moment_m3 +=
                inflow.amount * off_m(inflow.chainage_m, crossing.middle_m, lengths[crossing.ring]);
        }
    }

    fn met(&self) -> Met {
        let off_m = if self.along_m2 > 0.0 { self.moment_m3 / self.along_m2 } else { 0.0 };
        Met { area_m2: self.area_m2, off_m }
    }
}

/// How far a place of a ring lies clockwise of another, m; the shorter way around.
fn off_m(chainage_m: f64, from_m: f64, length_m: f64) -> f64 {
    (chainage_m - from_m + 0.5 * length_m).rem_euclid(length_m) - 0.5 * length_m
}

/// Whether two stretches of a ring meet; each runs clockwise from its first chainage to its second.
fn meet(a: (f64, f64), b: (f64, f64), length_m: f64) -> bool {
    (b.0 - a.0).rem_euclid(length_m) <= a.1 - a.0 || (a.0 - b.0).rem_euclid(length_m) <= b.1 - b.0
}

#[cfg(test)]
mod tests {
    use super::*;

    const RING: [f64; 1] = [100.0];

    fn inflow(chainage_m: f64, amount: f64) -> Inflow {
        Inflow { ring: 0, chainage_m, half_width_m: 0.5, amount }
    }

    fn crossing(from_m: f64, to_m: f64) -> CrossingPlace {
        CrossingPlace { ring: 0, from_m, to_m, middle_m: 0.5 * (from_m + to_m) }
    }

    fn stretch(from_m: f64, to_m: f64) -> Stretch {
        Stretch { ring: 0, from_m, to_m, members: Vec::new() }
    }

    #[test]
    fn stretches_meet_around_the_start_of_a_ring_too() {
        assert!(meet((95.0, 105.0), (2.0, 8.0), 100.0));
        assert!(meet((2.0, 8.0), (95.0, 105.0), 100.0));
        assert!(meet((-3.0, 4.0), (98.0, 99.0), 100.0));
        assert!(!meet((95.0, 105.0), (6.0, 94.0), 100.0));
    }

    /// 3 of weight 1 and -1 of weight 3 about the start: (3 - 3) / 4 = 0.
    #[test]
    fn the_middle_is_weighted_by_water_the_shorter_way_around() {
        let flows = [inflow(3.0, 1.0), inflow(99.0, 3.0)];
        let around = [crossing(96.0, 104.0)];
        let found = met(&around, &[(stretch(98.0, 104.0), vec![0, 1])], &flows, &RING, 3.0);
        assert_eq!(found, [Met { area_m2: 4.0, off_m: 0.0 }]);
        assert_eq!(met(&around, &[], &flows, &RING, 3.0), [Met::default()]);
    }

    /// One stretch over both: 12 lies 2 behind the first and 8 before the second, 17 the other way round. A stretch
    /// that meets the first alone is its own as a whole, also what lies nearer to the second.
    #[test]
    fn water_over_two_crossings_is_shared_out_by_where_it_enters() {
        let two = [crossing(0.0, 10.0), crossing(20.0, 30.0)];
        let flows = [inflow(5.0, 8.0), inflow(12.0, 1.0), inflow(17.0, 2.0), inflow(25.0, 16.0)];
        let joined = met(&two, &[(stretch(4.0, 26.0), vec![0, 1, 2, 3])], &flows, &RING, 3.0);
        assert_eq!(joined.iter().map(|met| met.area_m2).collect::<Vec<_>>(), [9.0, 18.0]);
        let alone = met(&two, &[(stretch(4.0, 16.5), vec![0, 1, 2])], &flows, &RING, 3.0);
        assert_eq!(alone.iter().map(|met| met.area_m2).collect::<Vec<_>>(), [11.0, 0.0]);
        // Over the start of the ring: 98 lies 2 before the first.
        assert!((two[0].apart_m(98.0, 100.0) - 2.0).abs() < 1e-12 && two[0].apart_m(5.0, 100.0) <= 0.0);
    }
}

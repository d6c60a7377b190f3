//! The bed of a swale along a part: how deep it lies below the ground, station by station, and what is dug
//! down to it.

use super::super::outlet::OutletWay;
use super::super::swale::SwaleRules;
use super::swale::ground_at;
use crate::units::{Area, Length, Volume};

/// Places that lie so near to each other are one, m.
const SAME_M: f64 = 1e-6;
/// Cut deeper than it is shaped by no more than this it is as it is shaped, m. Ours.
const NOISE_M: f64 = 1e-3;

/// Ground along a part, down its way: station and level in metres.
///
/// # Invariants
/// Two places or more, the last where the part ends; stations rise.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PartGround(Vec<(f64, f64)>);

impl PartGround {
    /// Of a way, without its lead; nothing where less than two places are known.
    pub(super) fn of(way: &OutletWay) -> Option<Self> {
        let part_m = way.length.as_m() - way.lead_length.as_m();
        let known: Vec<(f64, f64)> =
            way.stations.iter().filter_map(|s| Some((s.station_m, s.ground_m?))).collect();
        let end_m = ground_at(&known, part_m)?;
        let before = known.into_iter().take_while(|(station_m, _)| *station_m < part_m - SAME_M);
        let places: Vec<(f64, f64)> = before.chain([(part_m, end_m)]).collect();
        (places.len() > 1).then_some(Self(places))
    }

    /// Fall by length from end to end.
    pub(super) fn fall(&self) -> f64 {
        let [(from_m, head_m), (to_m, end_m)] = self.ends();
        (head_m - end_m) / (to_m - from_m)
    }

    /// How far the ground dips below the part's end, m.
    pub(super) fn dip_m(&self) -> f64 {
        let [_, (_, end_m)] = self.ends();
        end_m - self.0.iter().map(|(_, level_m)| *level_m).fold(f64::INFINITY, f64::min)
    }

    fn ends(&self) -> [(f64, f64); 2] {
        [self.0[0], self.0[self.0.len() - 1]]
    }
}

/// The bed of a swale along a part.
///
/// # Invariants
/// Two places or more, from the part's head to its end; the bed never rises, and lies everywhere at least as
/// deep below the ground as the V is shaped.
#[derive(Debug, Clone, PartialEq)]
pub struct SwaleBed {
    ground: PartGround,
    /// Station and level at the places of the ground, m.
    levels: Vec<(f64, f64)>,
    shaped: Length,
    rules: SwaleRules,
}

/// The V at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BedPlace {
    /// Where, down the way.
    pub station: Length,
    /// Bed below the ground.
    pub depth: Length,
    /// Width at the ground.
    pub width: Length,
}

impl SwaleBed {
    /// Lays the bed of a V that is shaped so deep.
    ///
    /// # Method
    /// The highest bed that lies so deep below the ground and falls everywhere at the flattest grade that a
    /// swale may have, or at the ground's own mean fall where that is less: where the ground falls less it is
    /// cut through.
    pub(super) fn lay(ground: PartGround, shaped: Length, rules: &SwaleRules) -> Self {
        let fall = rules.flattest.get().min(ground.fall().max(0.0));
        let mut before: Option<(f64, f64)> = None;
        let level = |&(station_m, ground_m): &(f64, f64)| {
            let held_m = before.map_or(f64::INFINITY, |(from_m, bed_m)| bed_m - fall * (station_m - from_m));
            let bed_m = held_m.min(ground_m - shaped.as_m());
            before = Some((station_m, bed_m));
            (station_m, bed_m)
        };
        let levels = ground.0.iter().map(level).collect();
        Self { ground, levels, shaped, rules: *rules }
    }

    /// The same of a V that is shaped so deep.
    pub(super) fn shaped_to(self, shaped: Length) -> Self {
        Self::lay(self.ground, shaped, &self.rules)
    }

    /// Depth that the V is shaped to: its least below the ground.
    #[must_use]
    pub const fn shaped(&self) -> Length {
        self.shaped
    }

    /// Width at the ground of the V as it is shaped.
    #[must_use]
    pub fn shaped_width(&self) -> Length {
        self.width(self.shaped)
    }

    /// Width at the ground where it lies so deep.
    #[must_use]
    pub fn width_at(&self, depth: Length) -> Length {
        self.width(depth)
    }

    /// Level of the bed at a station, m; nothing beyond the part's end.
    #[must_use]
    pub fn level_at(&self, station_m: f64) -> Option<f64> {
        let [_, (end_m, _)] = self.ground.ends();
        ground_at(&self.levels, station_m).filter(|_| station_m <= end_m + SAME_M)
    }

    /// The deepest place; of equal ones the first.
    #[must_use]
    pub fn deepest(&self) -> BedPlace {
        let deeper = |a: (f64, f64), b: (f64, f64)| if b.1 > a.1 + SAME_M { b } else { a };
        let (station_m, depth_m) = self.depths().fold((0.0, self.shaped.as_m()), deeper);
        let depth = Length::from_m(depth_m);
        BedPlace { station: Length::from_m(station_m), depth, width: self.width(depth) }
    }

    /// The deepest place where the ground is cut through deeper than the V is shaped; nothing where it
    /// nowhere is.
    #[must_use]
    pub fn cut(&self) -> Option<BedPlace> {
        Some(self.deepest()).filter(|deepest| deepest.depth.as_m() > self.shaped.as_m() + NOISE_M)
    }

    /// Soil that is dug to shape it, in the bank; over a trench in its middle down to its bed, from which
    /// that is counted.
    #[must_use]
    pub fn dug(&self, trench: Length) -> Volume {
        let (side, trench_m) = (self.rules.shape.side(), trench.as_m());
        let section_m2 = |depth_m: f64| {
            if side * depth_m < 0.5 * trench_m {
                return trench_m * depth_m;
            }
            // Over the trench two triangles beside the V's point are taken off too.
            side * depth_m * depth_m + 0.25 * trench_m * trench_m / side
        };
        Volume::from_m3(self.along(trench_m, section_m2))
    }

    /// Surface of its sides that is covered again, without a strip in its middle.
    #[must_use]
    pub fn surface(&self, strip: Length) -> Area {
        let side = self.rules.shape.side();
        let across_m = |depth_m: f64| (2.0 * side * depth_m - strip.as_m()).max(0.0);
        Area::from_m2(self.along(strip.as_m(), |depth_m| across_m(depth_m) * 1.0_f64.hypot(side) / side))
    }

    /// The sum along the part of what goes with the depth.
    ///
    /// # Method
    /// Ground and bed are straight between places, and so is the depth. What goes with it at the most by its
    /// square, on either side of the depth at which the V is as wide as a strip in its middle, Simpson's rule
    /// sums exactly (prismoids).
    fn along(&self, strip_m: f64, of_depth: impl Fn(f64) -> f64) -> f64 {
        let turns_at_m = 0.5 * strip_m / self.rules.shape.side();
        let prismoid = |a: (f64, f64), b: (f64, f64)| {
            let middle = of_depth(0.5 * (a.1 + b.1));
            (b.0 - a.0) * (of_depth(a.1) + 4.0 * middle + of_depth(b.1)) / 6.0
        };
        let places: Vec<(f64, f64)> = self.depths().collect();
        let piece = |pair: &[(f64, f64)]| {
            let (a, b) = (pair[0], pair[1]);
            let share = (turns_at_m - a.1) / (b.1 - a.1);
            if share > 0.0 && share < 1.0 {
                let turn = (a.0 + (b.0 - a.0) * share, turns_at_m);
                return prismoid(a, turn) + prismoid(turn, b);
            }
            prismoid(a, b)
        };
        places.windows(2).map(piece).sum()
    }

    /// Stations and depths below the ground, m.
    fn depths(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let of =
            |((station_m, ground_m), (_, bed_m)): (&(f64, f64), &(f64, f64))| (*station_m, ground_m - bed_m);
        self.ground.0.iter().zip(&self.levels).map(of)
    }

    fn width(&self, depth: Length) -> Length {
        self.rules.shape.section(depth).top_width
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn laid(places: Vec<(f64, f64)>, shaped_m: f64) -> SwaleBed {
        SwaleBed::lay(PartGround(places), Length::from_m(shaped_m), &SwaleRules::usual().unwrap())
    }

    // Ground that rises 0.2 m over 10 m: the bed is level, 0.1 m below the head and 0.3 m below the end. A V
    // of 3:1: 3 x 10 x (0.1^2 + 0.1 x 0.3 + 0.3^2) / 3 = 1.3 m3, 0.1 m3 more than with the mean depth all
    // along. Width 6 d, its sides 10^(1/2) / 3 as long: 6 x 0.2 x 10 = 12 m2 in plan.
    #[test]
    fn a_v_that_deepens_is_a_prismoid() {
        let bed = laid(vec![(0.0, 10.0), (10.0, 10.2)], 0.1);
        assert_relative_eq!(bed.dug(Length::ZERO).as_m3(), 1.3, max_relative = 1e-12);
        assert_relative_eq!(
            bed.surface(Length::ZERO).as_m2(),
            12.0 * 10_f64.sqrt() / 3.0,
            max_relative = 1e-12
        );
        let deepest = bed.cut().unwrap();
        assert_relative_eq!(deepest.station.as_m(), 10.0);
        assert_relative_eq!(deepest.depth.as_m(), 0.3, max_relative = 1e-12);
        assert_relative_eq!(deepest.width.as_m(), 1.8, max_relative = 1e-12);
        assert_relative_eq!(bed.level_at(4.0).unwrap(), 9.9, max_relative = 1e-12);
        assert!(bed.level_at(10.1).is_none());
    }

    // Over a trench of 1.2 m: the V is as wide where it is 0.2 m deep, at 5 m. Before it the ground over the
    // trench alone is taken off, 1.2 x 0.15 x 5 = 0.9 m3; behind it the V, 3 x 5 x (0.2^2 + 0.2 x 0.3 +
    // 0.3^2) / 3 = 0.95 m3, and the two triangles, 0.6^2 / 3 x 5 = 0.6 m3. In plan there is turf beside it
    // behind 5 m alone: 0 to 0.6 m, 1.5 m2.
    #[test]
    fn over_a_trench_wider_than_the_v_the_ground_is_taken_off_as_wide_as_the_trench() {
        let bed = laid(vec![(0.0, 10.0), (10.0, 10.2)], 0.1);
        let trench = Length::from_m(1.2);
        assert_relative_eq!(bed.dug(trench).as_m3(), 2.45, max_relative = 1e-12);
        assert_relative_eq!(bed.surface(trench).as_m2(), 1.5 * 10_f64.sqrt() / 3.0, max_relative = 1e-12);
    }

    proptest! {
        #[test]
        fn a_bed_never_rises_and_is_never_dug_for_less_than_its_shape(
            steps in prop::collection::vec((0.2..3.0f64, -0.4..0.3f64), 1..40),
            shaped_m in 0.08..0.5f64, trench_m in 0.0..1.5f64,
        ) {
            let mut at = (0.0, 100.0);
            let mut places = vec![at];
            for (run, rise) in steps {
                at = (at.0 + run, at.1 + rise);
                places.push(at);
            }
            let (length_m, fall) = (at.0, (100.0 - at.1) / at.0);
            let bed = laid(places.clone(), shaped_m);
            let least = fall.clamp(0.0, 0.005);
            for pair in bed.levels.windows(2) {
                let run_m = pair[1].0 - pair[0].0;
                prop_assert!(pair[1].1 <= pair[0].1 - least * run_m + 1e-9);
            }
            let deepest = bed.deepest();
            for (station_m, ground_m) in places {
                let depth_m = ground_m - bed.level_at(station_m).unwrap();
                prop_assert!(depth_m >= shaped_m - 1e-9 && depth_m <= deepest.depth.as_m() + 2.0 * SAME_M);
            }
            // Nominal: the V as it is shaped, all along.
            let v_m3 = 3.0 * shaped_m * shaped_m * length_m;
            prop_assert!(bed.dug(Length::ZERO).as_m3() >= v_m3 * (1.0 - 1e-9));
            let trench = Length::from_m(trench_m);
            prop_assert!(bed.dug(trench) >= bed.dug(Length::ZERO) * (1.0 - 1e-9));
            prop_assert!(bed.surface(trench) <= bed.surface(Length::ZERO));
            // Deeper everywhere when it is shaped deeper.
            let more = bed.clone().shaped_to(Length::from_m(shaped_m + 0.1));
            prop_assert!(more.dug(trench) > bed.dug(trench) && more.deepest().depth >= deepest.depth);
        }
    }
}

//! The V of a swale as it is cut, in plan: how low the ground lies beside its middle.

use super::super::outlet::OutletWay;
use super::course::course;
use super::option::DrainOption;
use crate::units::Length;
use geo::Coord;

/// Shares of a piece nearer than this to its end are there.
const SAME: f64 = 1e-9;

/// A place of a swale.
#[derive(Debug, Clone, Copy, PartialEq)]
struct SwalePlace {
    at: Coord,
    bed_m: f64,
    /// From its middle to its edge at the ground, m, and rise of its sides by length.
    half_width_m: f64,
    side: f64,
}

/// A swale as it is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct CutSwale {
    places: Vec<SwalePlace>,
    metres_per_unit: f64,
}

impl CutSwale {
    /// Along a part's way, in a system with such a unit; nothing for a drain without one.
    #[must_use]
    pub fn of(option: &DrainOption, way: &OutletWay, metres_per_unit: f64) -> Option<Self> {
        let swale = option.swale.as_ref()?;
        let beds = way.stations.iter().zip(course(option, way)).filter_map(|(station, place)| {
            let bed_m = place.swale_bed_m?;
            let depth = Length::from_m(place.ground_m - bed_m);
            let half_width_m = 0.5 * swale.bed.width_at(depth).as_m();
            let side = if half_width_m > 0.0 { depth.as_m() / half_width_m } else { 0.0 };
            Some(SwalePlace { at: station.point, bed_m, half_width_m, side })
        });
        Some(Self { places: beds.collect(), metres_per_unit })
    }

    /// A V of 3:1 in level ground along a straight.
    #[cfg(test)]
    pub(crate) fn straight(ends: [Coord; 2], bed_m: f64, half_width_m: f64) -> Self {
        let place = |at| SwalePlace { at, bed_m, half_width_m, side: 1.0 / 3.0 };
        Self { places: ends.map(place).to_vec(), metres_per_unit: 1.0 }
    }

    /// Level of the V over a place, m: that of its bed at the nearest place of its middle, higher by its
    /// side's rise beside that. Nothing beside it; its ends are round.
    #[must_use]
    pub fn level_over(&self, at: Coord) -> Option<f64> {
        let levels =
            self.places.windows(2).filter_map(|piece| self.over_piece(piece, at).map(|found| found.0));
        levels.reduce(f64::min)
    }

    /// The same of a place of its own lead, which begins at its end: nothing at that end and past it, where
    /// its basin stands.
    #[must_use]
    pub fn level_before_end(&self, at: Coord) -> Option<f64> {
        let last = self.places.len().checked_sub(2)?;
        let levels = self.places.windows(2).enumerate().filter_map(|(place, piece)| {
            let (level_m, share) = self.over_piece(piece, at)?;
            (place < last || share < 1.0 - SAME).then_some(level_m)
        });
        levels.reduce(f64::min)
    }

    /// Level of a straight piece over a place, and how far along the piece that is; nothing beside it.
    fn over_piece(&self, piece: &[SwalePlace], at: Coord) -> Option<(f64, f64)> {
        let (from, to) = (piece[0], piece[1]);
        let (run, off) = (to.at - from.at, at - from.at);
        let square = run.x * run.x + run.y * run.y;
        let share =
            if square > 0.0 { ((off.x * run.x + off.y * run.y) / square).clamp(0.0, 1.0) } else { 0.0 };
        let nearest = from.at + run * share;
        let away_m = (at.x - nearest.x).hypot(at.y - nearest.y) * self.metres_per_unit;
        let along = |a: f64, b: f64| (b - a).mul_add(share, a);
        let inside = away_m < along(from.half_width_m, to.half_width_m);
        inside.then(|| (along(from.bed_m, to.bed_m) + away_m * along(from.side, to.side), share))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // A V along y = 5 from x = 0 to 10, its bed at 9.7. A lead from its end at (10, 5) that turns back over (9, 5.3): 0.3 m off the
    // middle the V lies at 9.7 + 0.3 / 3 = 9.8. Straight on, or square to the V, it leaves it at once.
    #[test]
    fn its_own_lead_is_under_it_only_where_it_turns_back() {
        let swale = CutSwale::straight([Coord { x: 0.0, y: 5.0 }, Coord { x: 10.0, y: 5.0 }], 9.7, 0.9);
        let level_m = swale.level_before_end(Coord { x: 9.0, y: 5.3 }).expect("under it");
        assert!((level_m - 9.8).abs() < 1e-9, "{level_m}");
        for beside in [(10.0, 5.0), (10.0, 5.5), (10.3, 5.0), (9.0, 6.0)] {
            assert!(swale.level_before_end(Coord { x: beside.0, y: beside.1 }).is_none(), "{beside:?}");
        }
        assert!(
            swale.level_over(Coord { x: 10.3, y: 5.0 }).is_some(),
            "another's lead is under its round end"
        );
    }
}

//! Leads from a line's end to an outlet: around what stands in the way, and off the trenches of other pipes.

use super::obstacles::{Obstacles, grown};
use super::route::{Bar, Zone};
use crate::units::Length;
use geo::{BooleanOps, Coord, LineString, MultiLineString, Point};

/// Within this of its own ends a lead may come into a trench that it keeps off, m: both may begin or end at one
/// place. Ours.
const AT_ITS_ENDS_M: f64 = 1.0;

/// A pipe that leads keep off.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptOff {
    /// Its way, in the working coordinate system.
    pub way: LineString,
    /// How far off its middle.
    pub distance: Length,
}

impl Obstacles {
    /// The same, where leads keep off the pipes along some ways: they neither run along nor across them, but
    /// within 1 m of their own ends.
    #[must_use]
    pub fn off_trenches(&self, others: &[KeptOff]) -> Self {
        let area = |other: &KeptOff| {
            let by = other.distance.as_m() / self.metres_per_unit();
            grown(&MultiLineString(vec![other.way.clone()]).into(), by, by)
        };
        let mut off = self.clone();
        off.trenches = others.iter().map(area).collect();
        off
    }

    /// The shortest lead from a line's end to a place; nothing where buildings, septic fields, wells or the
    /// trenches that it keeps off shut every way.
    #[must_use]
    pub fn lead(&self, from: Coord, to: Coord) -> Option<LineString> {
        if self.trenches.is_empty() {
            return self.leads.way(from, to);
        }
        let around = |at: Coord| grown(&Point::from(at).into(), AT_ITS_ENDS_M / self.metres_per_unit(), 0.0);
        let ends = around(from).union(&around(to));
        let shut = self.trenches.iter().filter_map(|area| Zone::new(area.difference(&ends), Bar::Solid));
        self.leads.clone().also_off(shut.collect()).way(from, to)
    }
}

#[cfg(test)]
mod tests {
    use super::super::obstacles::Digs;
    use super::*;
    use geo::{Distance, Euclidean, MultiPolygon, line_string, polygon};

    fn off(way: &LineString) -> KeptOff {
        KeptOff { way: way.clone(), distance: Length::from_m(0.65) }
    }

    fn open_lot() -> Obstacles {
        let m = Length::from_m;
        let lot: MultiPolygon =
            polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 40.), (x: 0., y: 40.)].into();
        Obstacles::new(
            Vec::new(),
            &lot,
            m(0.6),
            Digs { least: m(0.5), most: m(1.5), half_width: m(0.2) },
            1.0,
        )
    }

    // A trench along y = 20 from x = 10 to x = 30; the lead straight along x = 15 would cross it. At 0.65 m
    // from it the way leads around its western end: over corners at (9.35, 19.35) and (9.35, 20.65), so that
    // from (15, 10) to (15, 30) it is twice the root of 5.65^2 + 9.35^2, and 1.3 m: 23.15 m.
    #[test]
    fn a_lead_goes_around_the_end_of_a_trench() {
        let trench = line_string![(x: 10., y: 20.), (x: 30., y: 20.)];
        let (from, to) = (Coord { x: 15., y: 10. }, Coord { x: 15., y: 30. });
        let land = open_lot();
        assert_eq!(land.lead(from, to).unwrap().0.len(), 2, "straight without it");
        let way = land.off_trenches(&[off(&trench)]).lead(from, to).unwrap();
        let length: f64 = way.0.windows(2).map(|leg| (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y)).sum();
        let by_hand = 2.0 * 5.65_f64.hypot(9.35) + 1.3;
        assert!((length - by_hand).abs() < 0.1, "{length} and {by_hand}");
        assert!(Euclidean.distance(&way, &trench) > 0.6);
    }

    // The trench comes to the same inlet: the lead may, too, and keeps 0.6 m off until 1 m before it.
    #[test]
    fn leads_may_end_at_one_place() {
        let inlet = Coord { x: 20., y: 20. };
        let trench = line_string![(x: 20., y: 35.), (x: 20., y: 20.)];
        let from = Coord { x: 19.8, y: 38. };
        let land = open_lot().off_trenches(&[off(&trench)]);
        let way = land.lead(from, inlet).unwrap();
        let before = way.0[way.0.len() - 2];
        assert_eq!(way.0[way.0.len() - 1], inlet);
        assert!(Euclidean.distance(&Point::from(before), &trench) > 0.6 || before.y < 21.0, "{way:?}");
        let outside = |at: &Coord| at.y > 21.0 && at.y < 35.0;
        assert!(
            way.0
                .iter()
                .filter(|at| outside(at))
                .all(|at| Euclidean.distance(&Point::from(*at), &trench) > 0.6)
        );
    }

    // A ring of trench around the start, 5 m off: there is no way out.
    #[test]
    fn a_trench_all_around_shuts_every_way() {
        let ring = line_string![
            (x: 15., y: 15.), (x: 25., y: 15.), (x: 25., y: 25.), (x: 15., y: 25.), (x: 15., y: 15.)
        ];
        let land = open_lot().off_trenches(&[off(&ring)]);
        assert!(land.lead(Coord { x: 20., y: 20. }, Coord { x: 35., y: 20. }).is_none());
    }
}

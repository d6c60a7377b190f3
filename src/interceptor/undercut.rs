//! Trenches and swales that cut the ground that carries something.

use super::obstacles::{Obstacle, Obstacles};
use crate::units::Length;
use geo::{Coord, Distance, Euclidean, Geometry, Point};
use serde::Serialize;

/// Between stations it is looked at places no farther apart than this, m. Ours.
const STEP_M: f64 = 0.25;
/// Cut by less than this it isn't, m.
const TOUCH_M: f64 = 1e-3;

/// What is dug.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DugBy {
    /// A trench with upright walls.
    Trench,
    /// The V of a swale, flatter than 1:1.
    Swale,
}

impl DugBy {
    /// What it is called.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Trench => "trench",
            Self::Swale => "swale",
        }
    }
}

/// What is dug at a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dug {
    /// Along the way, m.
    pub station_m: f64,
    /// The place.
    pub at: Coord,
    /// Bottom below the ground.
    pub depth: Length,
    /// Half its width: of a trench at its bottom, of a swale at the ground.
    pub half_width: Length,
}

/// A place where the ground that carries something would be cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Undercut {
    /// Place of the obstacle in the list.
    pub obstacle: usize,
    /// By what.
    pub by: DugBy,
    /// Along the line, m.
    pub station_m: f64,
    /// The place.
    pub at: Coord,
    /// Depth there, m.
    pub cut_m: f64,
    /// Width there, m: of a trench at its bottom, of a swale at the ground.
    pub width_m: f64,
    /// Distance of the line from it, m.
    pub distance_m: f64,
    /// Distance that the line would need there, m.
    pub needed_m: f64,
}

impl Dug {
    fn towards(self, other: Self, share: f64) -> Self {
        let between = |a: Length, b: Length| a + (b - a) * share;
        Self {
            station_m: self.station_m + (other.station_m - self.station_m) * share,
            at: self.at + (other.at - self.at) * share,
            depth: between(self.depth, other.depth),
            // The wider of two that meet.
            half_width: if other.half_width > self.half_width { other.half_width } else { self.half_width },
        }
    }

    /// Distance that a thing needs from its middle; nothing where it lies above its base.
    ///
    /// # Method
    /// Of a trench the corner of its bottom lies outside the line 1:1 down from the base. A V is flatter
    /// than that line, so that it comes to
    /// it first at the level of the base: where its side does.
    fn needs(&self, by: DugBy, thing: &Obstacle) -> Option<Length> {
        let below = self.depth - thing.base;
        (below > Length::ZERO).then(|| match by {
            DugBy::Trench => thing.cut_by(self.depth, self.half_width),
            DugBy::Swale => self.half_width * (below / self.depth),
        })
    }
}

impl Obstacles {
    /// Where what is dug, given from station to station, cuts the ground that carries something: of each thing
    /// the worst place.
    #[must_use]
    pub fn undercuts(&self, dug: &[(DugBy, Vec<Dug>)]) -> Vec<Undercut> {
        let carried = self.all().iter().enumerate().filter(|(_, it)| it.kind.is_carried());
        let worst = carried.filter_map(|(obstacle, it)| {
            let cut = |by: DugBy, dug: &Dug| {
                let needed_m = dug.needs(by, it)?.as_m();
                let away = Euclidean.distance(&Geometry::Point(Point::from(dug.at)), &it.shape);
                let distance_m = away * self.metres_per_unit();
                (distance_m < needed_m - TOUCH_M).then_some(Undercut {
                    obstacle,
                    by,
                    station_m: dug.station_m,
                    at: dug.at,
                    cut_m: dug.depth.as_m(),
                    width_m: 2.0 * dug.half_width.as_m(),
                    distance_m,
                    needed_m,
                })
            };
            let found = dug
                .iter()
                .flat_map(|(by, all)| close_together(all).into_iter().filter_map(move |dug| cut(*by, &dug)));
            found.reduce(|a, b| if b.needed_m - b.distance_m > a.needed_m - a.distance_m { b } else { a })
        });
        worst.collect()
    }
}

/// The same with places between stations, straight from one to the next.
fn close_together(all: &[Dug]) -> Vec<Dug> {
    let mut found: Vec<Dug> = all.first().copied().into_iter().collect();
    for pair in all.windows(2) {
        let pieces = ((pair[1].station_m - pair[0].station_m) / STEP_M).ceil().max(1.0);
        let mut piece = 1.0;
        while piece < pieces {
            found.push(pair[0].towards(pair[1], piece / pieces));
            piece += 1.0;
        }
        found.push(pair[1]);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::obstacles::{Digs, ObstacleKind};
    use super::*;
    use geo::{MultiPolygon, line_string, polygon};

    fn m(value: f64) -> Length {
        Length::from_m(value)
    }

    /// A wall along y = 0, with its base so deep.
    fn wall(kind: ObstacleKind, base_m: f64) -> Obstacles {
        let wall = Obstacle {
            kind,
            name: "it".to_owned(),
            shape: Geometry::MultiLineString(geo::MultiLineString(vec![
                line_string![(x: 0., y: 0.), (x: 20., y: 0.)],
            ])),
            distance: m(0.6),
            base: m(base_m),
        };
        let lot: MultiPolygon =
            polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 40.), (x: 0., y: 40.)].into();
        let digs = Digs { least: m(0.5), most: m(1.5), half_width: m(0.2) };
        Obstacles::new(vec![wall], &lot, m(0.6), digs, 1.0)
    }

    fn cuts(of: &Obstacles, by: DugBy, y: f64, [depth_m, half_m]: [f64; 2]) -> Vec<Undercut> {
        let dug = |x: f64| Dug { station_m: x, at: Coord { x, y }, depth: m(depth_m), half_width: m(half_m) };
        of.undercuts(&[(by, vec![dug(5.0), dug(6.0)])])
    }

    // A trench whose bottom lies 1.2 m down, 0.58 m wide, 1 m from a wall with its base at the ground: the
    // bottom's near corner lies 0.71 m
    // off, 1.2 m down, below the line 1:1. It needs 1.2 + 0.29 = 1.49 m. With the base 0.5 m down it needs
    // 0.99 m, and with the base
    // 1.2 m down nothing.
    #[test]
    fn a_trench_cuts_what_its_corner_reaches() {
        let at_ground = wall(ObstacleKind::Wall, 0.0);
        let found = cuts(&at_ground, DugBy::Trench, 1.0, [1.2, 0.29]);
        let [cut] = &found[..] else { panic!("{found:?}") };
        assert!((cut.needed_m - 1.49).abs() < 1e-9 && (cut.distance_m - 1.0).abs() < 1e-9, "{cut:?}");
        assert!((cut.width_m - 0.58).abs() < 1e-9 && (cut.cut_m - 1.2).abs() < 1e-9);
        assert_eq!(cuts(&at_ground, DugBy::Trench, 1.48, [1.2, 0.29]).len(), 1);
        assert!(cuts(&at_ground, DugBy::Trench, 1.5, [1.2, 0.29]).is_empty());
        let deep = wall(ObstacleKind::Wall, 0.5);
        assert_eq!(cuts(&deep, DugBy::Trench, 0.98, [1.2, 0.29]).len(), 1);
        assert!(cuts(&deep, DugBy::Trench, 1.0, [1.2, 0.29]).is_empty());
        assert!(cuts(&wall(ObstacleKind::Wall, 1.2), DugBy::Trench, 0.1, [1.2, 0.29]).is_empty());
        // A well is carried by nothing.
        assert!(cuts(&wall(ObstacleKind::Well, 0.0), DugBy::Trench, 0.1, [1.2, 0.29]).is_empty());
    }

    // A V of 3:1, 0.3 m deep: 0.9 m to either side. At 0.89 m its edge has taken the ground at the wall's
    // foot. With the base 0.1 m down
    // its side is 3 x 0.2 = 0.6 m off there.
    #[test]
    fn a_swale_cuts_what_its_side_reaches() {
        let at_ground = wall(ObstacleKind::Wall, 0.0);
        assert_eq!(cuts(&at_ground, DugBy::Swale, 0.89, [0.3, 0.9]).len(), 1);
        assert!(cuts(&at_ground, DugBy::Swale, 0.91, [0.3, 0.9]).is_empty());
        let deep = wall(ObstacleKind::Wall, 0.1);
        assert_eq!(cuts(&deep, DugBy::Swale, 0.59, [0.3, 0.9]).len(), 1);
        assert!(cuts(&deep, DugBy::Swale, 0.61, [0.3, 0.9]).is_empty());
    }

    // A way of two stations 20 m apart past a post at x = 15: the nearest place lies between them.
    #[test]
    fn places_between_stations_count() {
        let post = Obstacle {
            kind: ObstacleKind::Footing,
            name: "post".to_owned(),
            shape: Geometry::MultiPoint(vec![Point::new(15.0, 0.5)].into()),
            distance: m(0.1),
            base: m(0.0),
        };
        let lot: MultiPolygon =
            polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 40.), (x: 0., y: 40.)].into();
        let digs = Digs { least: m(0.5), most: m(1.5), half_width: m(0.2) };
        let all = Obstacles::new(vec![post], &lot, m(0.6), digs, 1.0);
        let dug = |x: f64| Dug { station_m: x, at: Coord { x, y: 0.0 }, depth: m(0.6), half_width: m(0.2) };
        let found = all.undercuts(&[(DugBy::Trench, vec![dug(0.0), dug(20.0)])]);
        assert!(found.len() == 1 && (found[0].station_m - 15.0).abs() < 0.25, "{found:?}");
    }
}

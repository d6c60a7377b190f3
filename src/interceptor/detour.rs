//! A line led around what stands in its way.

use super::obstacles::{Obstacles, point_along};
use super::route::{Bar, pieces_within};
use geo::{Coord, Euclidean, Length, LineString};

/// Pieces in the way with less between them are one, m. Ours.
const JOIN_M: f64 = 2.0;
/// A detour starts so far before what is in the way, m.
const BEFORE_M: f64 = 0.1;
/// A detour is taken where it is no longer than so many times what it replaces, and so much more, m. Ours.
const LONGEST: (f64, f64) = (2.0, 20.0);

impl Obstacles {
    /// The line with a detour around each building and each ground to be kept clear of in its way; where there is none that isn't much
    /// longer and stays inside the lot, and where one of the line's ends lies in it, it goes straight on.
    pub(super) fn clear_of(&self, path: &LineString) -> LineString {
        let units = |m: f64| m / self.metres_per_unit();
        let whole = Euclidean.length(path);
        let mut found: Vec<Coord> = vec![path.0[0]];
        let mut done = 0.0;
        for [from, to] in self.in_the_way(path, units(JOIN_M)) {
            let (from, to) = (from - units(BEFORE_M), to + units(BEFORE_M));
            if from <= done || to >= whole {
                continue;
            }
            let Some(detour) = self.lines().way(point_along(path, from), point_along(path, to)) else {
                continue;
            };
            let longest = LONGEST.0 * (to - from) + units(LONGEST.1);
            let still = |bar| self.lines().crosses(&detour, bar);
            let leaves = self.leaves_lot(&detour);
            if Euclidean.length(&detour) > longest || still(Bar::Solid) || still(Bar::Clear) || leaves {
                continue;
            }
            found.extend(between(path, done, from));
            found.extend(&detour.0);
            done = to;
        }
        found.extend(between(path, done, whole));
        found.push(path.0[path.0.len() - 1]);
        found.dedup();
        LineString::new(found)
    }

    /// Pieces of a line, in its unit, within buildings and ground to be kept clear.
    fn in_the_way(&self, path: &LineString, join: f64) -> Vec<[f64; 2]> {
        let mut pieces: Vec<[f64; 2]> = Vec::new();
        for zone in self.lines().zones().iter().filter(|zone| !matches!(zone.bar(), Bar::Costly(_))) {
            let mut behind = 0.0;
            for leg in path.0.windows(2) {
                let length = (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y);
                let within = pieces_within(zone.area(), leg[0], leg[1]);
                pieces.extend(within.iter().map(|piece| piece.map(|share| behind + share * length)));
                behind += length;
            }
        }
        pieces.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let mut joined: Vec<[f64; 2]> = Vec::new();
        for piece in pieces {
            match joined.last_mut() {
                Some(last) if piece[0] <= last[1] + join => last[1] = last[1].max(piece[1]),
                _ => joined.push(piece),
            }
        }
        joined
    }
}

/// Corners of a line between two places along it.
fn between(path: &LineString, from: f64, to: f64) -> Vec<Coord> {
    let mut behind = 0.0;
    let mut found = Vec::new();
    for leg in path.0.windows(2) {
        behind += (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y);
        if behind > from && behind < to {
            found.push(leg[1]);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::obstacles::{Obstacle, ObstacleKind};
    use super::*;
    use crate::units::Length as Metres;
    use geo::{Geometry, MultiPolygon, line_string, polygon};

    fn square(west: f64, south: f64, east: f64, north: f64) -> MultiPolygon {
        polygon![(x: west, y: south), (x: east, y: south), (x: east, y: north), (x: west, y: north)].into()
    }

    fn with(kind: ObstacleKind, area: MultiPolygon) -> Obstacles {
        let thing = Obstacle {
            kind,
            name: "it".to_owned(),
            shape: Geometry::MultiPolygon(area),
            distance: kind.usual_distance(),
            base: Metres::ZERO,
        };
        Obstacles::new(
            vec![thing],
            &square(0.0, 0.0, 40.0, 20.0),
            Metres::from_m(0.6),
            Metres::from_m(0.5),
            1.0,
        )
    }

    // A shed of 4 x 3 on the lot line, from (18, 17) to (22, 20): the line at y = 19.4 turns off 0.6 m before it and passes below it at
    // 16.4, back at 19.4: longer by twice something below 3 m, and inside the lot all along.
    #[test]
    fn a_shed_on_the_lot_line_is_passed_inside_the_lot() {
        let shed = with(ObstacleKind::Building, square(18.0, 17.0, 22.0, 20.0));
        let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
        let found = shed.clear_of(&path);
        assert!(found.0.len() >= 5, "{found:?}");
        assert_eq!((found.0[0], found.0[found.0.len() - 1]), (path.0[0], path.0[1]));
        let lowest = found.0.iter().map(|c| c.y).fold(f64::INFINITY, f64::min);
        assert!(lowest < 16.42 && lowest > 16.2, "{lowest}");
        let length = Euclidean.length(&found);
        assert!(length > 32.0 + 4.0 && length < 32.0 + 6.4, "{length}");
        assert!(!shed.through_building(&found) && shed.approaches(&found).is_empty());
    }

    // A strip from the south side up to the lot line: the only way around its end lies beyond the lot. The line crosses it: 1 m and 0.6 m to
    // either side.
    #[test]
    fn a_detour_does_not_leave_the_lot() {
        let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
        let pipe = with(ObstacleKind::Utility, square(19.5, -1.0, 20.5, 20.0));
        assert_eq!(pipe.clear_of(&path), path);
        assert!((pipe.approaches(&path)[0].length_m - 2.2).abs() < 1e-6, "{:?}", pipe.approaches(&path));
        // One that ends 5 m before the north side leaves a way inside.
        let short = with(ObstacleKind::Utility, square(19.5, -1.0, 20.5, 19.0));
        assert!(!short.leaves_lot(&short.clear_of(&path)));
    }

    // A house from side to side leaves no way inside the lot; an easement that the line's end lies in is crossed.
    #[test]
    fn where_there_is_no_way_around_the_line_goes_on() {
        let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
        let house = with(ObstacleKind::Building, square(18.0, -100.0, 22.0, 120.0));
        assert_eq!(house.clear_of(&path), path);
        assert!(house.through_building(&path));
        let strip = with(ObstacleKind::Easement, square(30.0, 15.0, 40.0, 20.0));
        assert_eq!(strip.clear_of(&path), path);
        assert!((strip.approaches(&path)[0].length_m - 6.0).abs() < 1e-9);
    }
}

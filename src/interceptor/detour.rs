//! A line led around what stands in its way.

use super::obstacles::{Obstacles, pieces_along, point_along};
use super::route::Bar;
use geo::{Coord, Euclidean, Length, LineString};

/// Pieces in the way with less between them are one, m. Ours.
const JOIN_M: f64 = 2.0;
/// A detour starts so far before what is in the way, m.
const BEFORE_M: f64 = 0.1;
/// A detour is taken where it is no longer than so many times what it replaces, and so much more, m. Ours.
const LONGEST: (f64, f64) = (2.0, 20.0);

/// A piece of a line that can't be dug: through a building, a septic field or a well, with no way around on
/// the lot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Blocked {
    /// Place of the obstacle in the list.
    pub(super) obstacle: usize,
    /// Along the line, in its unit, from where it comes into what is kept clear of it.
    pub(super) from: f64,
    /// To where.
    pub(super) to: f64,
}

impl Obstacles {
    /// The line with a detour around each building and each ground to be kept clear of in its way; where
    /// there is none that isn't much longer and stays inside the lot, and where one of the line's ends lies
    /// in it, it goes straight on. An end that comes into such ground by no more than `past` stays out of it,
    /// and one that comes into a building, a septic field or a well does in any case.
    pub(super) fn clear_of(&self, path: &LineString, past: f64) -> LineString {
        let units = |m: f64| m / self.metres_per_unit();
        let [start, whole] = self.ends_clear(path, past);
        let mut found: Vec<Coord> = vec![point_along(path, start)];
        let mut done = start;
        for [from, to] in self.in_the_way(path, units(JOIN_M)) {
            let (from, to) = (from - units(BEFORE_M), to + units(BEFORE_M));
            if from <= done || to >= whole {
                continue;
            }
            let Some(detour) = self.around(path, from, to) else { continue };
            found.extend(between(path, done, from));
            found.extend(&detour.0);
            done = to;
        }
        found.extend(between(path, done, whole));
        found.push(point_along(path, whole));
        found.dedup();
        LineString::new(found)
    }

    /// Pieces of a line that must be given up, in its unit, rising.
    pub(super) fn blocked(&self, path: &LineString) -> Vec<Blocked> {
        let units = |m: f64| m / self.metres_per_unit();
        let whole = Euclidean.length(path);
        let mut found = Vec::new();
        let shut = self.shut_pieces(path);
        for [from, to] in self.in_the_way(path, units(JOIN_M)) {
            let within: Vec<Blocked> = shut
                .iter()
                .filter(|piece| piece.is_through && piece.from < to && piece.to > from)
                .map(|piece| Blocked { obstacle: piece.obstacle, from: piece.from, to: piece.to })
                .collect();
            let (from, to) = (from - units(BEFORE_M), to + units(BEFORE_M));
            let is_passed = from > 0.0 && to < whole && self.around(path, from, to).is_some();
            if !is_passed {
                found.extend(within);
            }
        }
        found.sort_by(|a, b| a.from.total_cmp(&b.from));
        found
    }

    /// Where the line starts and ends, in its unit, when its ends stay out of what they mustn't come into.
    fn ends_clear(&self, path: &LineString, past: f64) -> [f64; 2] {
        let whole = Euclidean.length(path);
        let (mut start, mut end) = (0.0_f64, whole);
        let shut = self.shut_pieces(path).into_iter().filter(|piece| piece.is_through);
        let shut = shut.map(|piece| ([piece.from, piece.to], whole));
        let clear = self.in_the_way(path, 0.0).into_iter().map(|piece| (piece, past));
        for ([from, to], most) in shut.chain(clear) {
            if from <= 0.0 && to <= most {
                start = start.max(to);
            }
            if to >= whole * (1.0 - 1e-9) && whole - from <= most {
                end = end.min(from);
            }
        }
        if end > start { [start, end] } else { [0.0, whole] }
    }

    /// A way around what lies between two places of a line, inside the lot and not much longer.
    fn around(&self, path: &LineString, from: f64, to: f64) -> Option<LineString> {
        let detour = self.lines().way(point_along(path, from), point_along(path, to))?;
        let longest = LONGEST.0 * (to - from) + LONGEST.1 / self.metres_per_unit();
        let still = |bar| self.lines().crosses(&detour, bar);
        let is_bad = Euclidean.length(&detour) > longest
            || still(Bar::Solid)
            || still(Bar::Clear)
            || self.leaves_lot(&detour);
        (!is_bad).then_some(detour)
    }

    /// Pieces of a line, in its unit, within buildings and ground to be kept clear.
    fn in_the_way(&self, path: &LineString, join: f64) -> Vec<[f64; 2]> {
        let mut pieces: Vec<[f64; 2]> = Vec::new();
        for zone in self.lines().zones().iter().filter(|zone| !matches!(zone.bar(), Bar::Costly(_))) {
            pieces.extend(pieces_along(path, zone.area()));
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
        let found = shed.clear_of(&path, 0.0);
        assert!(found.0.len() >= 5, "{found:?}");
        assert_eq!((found.0[0], found.0[found.0.len() - 1]), (path.0[0], path.0[1]));
        let lowest = found.0.iter().map(|c| c.y).fold(f64::INFINITY, f64::min);
        assert!(lowest < 16.42 && lowest > 16.2, "{lowest}");
        let length = Euclidean.length(&found);
        assert!(length > 32.0 + 4.0 && length < 32.0 + 6.4, "{length}");
        assert!(shed.shut_by(&found).is_none() && shed.approaches(&found).is_empty());
    }

    // A strip from the south side up to the lot line: the only way around its end lies beyond the lot. The line crosses it: 1 m and 0.6 m to
    // either side.
    #[test]
    fn a_detour_does_not_leave_the_lot() {
        let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
        let pipe = with(ObstacleKind::Utility, square(19.5, -1.0, 20.5, 20.0));
        assert_eq!(pipe.clear_of(&path, 0.0), path);
        assert!((pipe.approaches(&path)[0].length_m - 2.2).abs() < 1e-6, "{:?}", pipe.approaches(&path));
        // One that ends 5 m before the north side leaves a way inside.
        let short = with(ObstacleKind::Utility, square(19.5, -1.0, 20.5, 19.0));
        assert!(!short.leaves_lot(&short.clear_of(&path, 0.0)));
    }

    // A house from side to side leaves no way inside the lot; an easement that the line's end lies in is crossed.
    #[test]
    fn where_there_is_no_way_around_the_line_goes_on() {
        let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
        let house = with(ObstacleKind::Building, square(18.0, -100.0, 22.0, 120.0));
        assert_eq!(house.clear_of(&path, 0.0), path);
        assert_eq!(house.shut_by(&path), Some(0));
        // Given up from 0.6 m before its wall to 0.6 m behind it, in the unit of the line, which starts at x
        // = 4.
        let blocked = house.blocked(&path);
        assert_eq!(blocked.len(), 1);
        assert!((blocked[0].from - 13.4).abs() < 1e-6 && (blocked[0].to - 18.6).abs() < 1e-6, "{blocked:?}");
        let strip = with(ObstacleKind::Easement, square(30.0, 15.0, 40.0, 20.0));
        assert_eq!(strip.clear_of(&path, 0.0), path);
        assert!((strip.approaches(&path)[0].length_m - 6.0).abs() < 1e-9);
    }

    // A house over the lot's corner that the line's first 6 m run through, and 0.6 m beside it; of a shed in
    // the middle, which is gone round, nothing is given up. A septic field on the lot line is gone round, one
    // from side to side is given up with its 3 m.
    #[test]
    fn what_cannot_be_gone_round_is_given_up() {
        let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
        let corner = with(ObstacleKind::Building, square(-2.0, 10.0, 10.0, 24.0));
        let blocked = corner.blocked(&path);
        assert_eq!(blocked.len(), 1);
        assert!(blocked[0].from.abs() < 1e-6 && (blocked[0].to - 6.6).abs() < 1e-6, "{blocked:?}");
        assert!(with(ObstacleKind::Building, square(18.0, 17.0, 22.0, 20.0)).blocked(&path).is_empty());
        assert!(with(ObstacleKind::Septic, square(18.0, 17.0, 22.0, 20.0)).blocked(&path).is_empty());
        let field = with(ObstacleKind::Septic, square(18.0, -1.0, 22.0, 21.0)).blocked(&path);
        assert!((field[0].from - 11.0).abs() < 1e-6 && (field[0].to - 21.0).abs() < 1e-6, "{field:?}");
        assert!(with(ObstacleKind::Easement, square(18.0, -1.0, 22.0, 21.0)).blocked(&path).is_empty());
    }

    // A line that comes 1 m into what is kept clear of a well, past its inflow, ends before it; 2 m into it
    // is more than that.
    #[test]
    fn an_end_past_the_inflow_stays_out_of_what_is_kept_clear() {
        let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
        let well = with(ObstacleKind::Well, square(38.0, 15.0, 39.0, 20.0));
        assert!((well.clear_of(&path, 1.0).0[1].x - 35.0).abs() < 1e-6);
        let nearer = with(ObstacleKind::Well, square(37.0, 15.0, 39.0, 20.0));
        assert_eq!(nearer.clear_of(&path, 1.0), path);
        // A house whose wall is at x = 35: the line ends 0.6 m before it, though it is 1.6 m from there to
        // its end.
        let house = with(ObstacleKind::Building, square(35.0, 15.0, 39.0, 24.0));
        assert!((house.clear_of(&path, 1.0).0[1].x - 34.4).abs() < 1e-6);
    }
}

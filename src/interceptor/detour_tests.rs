//! Lines led around things, by hand.

use super::super::obstacles::{Digs, Obstacle, ObstacleKind};
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
    near(thing, 0.2)
}

/// A lot of 40 x 20 m where the least trench is so deep and 0.4 m wide.
fn near(thing: Obstacle, least_m: f64) -> Obstacles {
    let digs =
        Digs { least: Metres::from_m(least_m), most: Metres::from_m(1.5), half_width: Metres::from_m(0.2) };
    Obstacles::new(vec![thing], &square(0.0, 0.0, 40.0, 20.0), Metres::from_m(0.6), digs, 1.0)
}

fn wall(of: LineString, base_m: f64) -> Obstacle {
    Obstacle {
        kind: ObstacleKind::Wall,
        name: "wall".to_owned(),
        shape: Geometry::MultiLineString(geo::MultiLineString(vec![of])),
        distance: ObstacleKind::Wall.usual_distance(),
        base: Metres::from_m(base_m),
    }
}

// A line at y = 19.4 and a wall 1 m above it, from x = 15 to 25. The least trench is 1.2 m deep and 0.2 m
// wide to either side: it keeps
// 1.4 m from the wall's foot, so that the line runs at y = 19 beside it, a hair of 2 cm farther off, and
// turns off no more than 1.4 m
// and 0.1 m before its ends. With its base 0.5 m down 0.9 m are enough: the line stays.
#[test]
fn a_line_keeps_out_of_the_ground_that_carries_a_wall() {
    let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
    let along = line_string![(x: 15., y: 20.4), (x: 25., y: 20.4)];
    let found = near(wall(along.clone(), 0.0), 1.2).clear_of(&path, 0.0);
    let lowest = found.0.iter().map(|c| c.y).fold(f64::INFINITY, f64::min);
    assert!((lowest - 18.98).abs() < 5e-3, "{found:?}");
    let wall_line = Geometry::LineString(along.clone());
    let away = geo::Distance::distance(&Euclidean, &Geometry::LineString(found.clone()), &wall_line);
    assert!(away >= 1.4, "{away}");
    assert_eq!((found.0[0], found.0[found.0.len() - 1]), (path.0[0], path.0[1]));
    assert!(Euclidean.length(&found) < 32.8);
    assert_eq!(near(wall(along, 0.5), 1.2).clear_of(&path, 0.0), path);
}

// The wall stands along the whole line, and beyond: the line moves aside, into the lot, to 1.4 m from it.
#[test]
fn a_line_all_along_a_wall_moves_aside() {
    let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
    let all_along = line_string![(x: -5., y: 20.4), (x: 45., y: 20.4)];
    let found = near(wall(all_along, 0.0), 1.2).clear_of(&path, 0.0);
    assert!(found.0.iter().all(|at| at.y <= 19.0 && at.y > 18.9), "{found:?}");
    let ends = [found.0[0].x, found.0[found.0.len() - 1].x];
    assert!((ends[0] - 4.0).abs() < 0.11 && (ends[1] - 36.0).abs() < 0.11, "{ends:?}");
    // A wall across the lot leaves no side: the line stays, and what it cuts is told.
    let across = line_string![(x: 20., y: -5.), (x: 20., y: 25.)];
    assert_eq!(near(wall(across, 0.0), 1.2).clear_of(&path, 0.0), path);
}

// A shed of 4 x 3 on the lot line, from (18, 17) to (22, 20): the line at y = 19.4 turns off 0.6 m before it
// and passes below it at
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

// A strip from the south side up to the lot line: the only way around its end lies beyond the lot. The line
// crosses it: 1 m and 0.6 m to
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

// A tree at (20, 19.4), on the line, of which 3 m are kept clear: the line turns off 0.1 m before the circle, at 3.1 m from the tree. From there the
// tangent is (3.1² - 3²)^(1/2) = 0.781 m long and touches acos(3 / 3.1) = 14.60° on, so that the shortest way is 2 x 0.781 + 3 m x
// (180° - 29.2°) = 1.562 + 7.896 = 9.458 m. In bends of at most 45° it takes 150.8° / 45° = 4 of them, and is longer by tan
// 22.5° / 22.5° = 1.0548 around the arc, at a hair of 0.02 m and the circle's own corners (1 / cos 22.5° = 1.082 at the most).
#[test]
fn a_line_goes_around_a_tree_in_a_few_legs() {
    let tree = Obstacle {
        kind: ObstacleKind::Tree,
        name: "tree".to_owned(),
        shape: Geometry::Point(geo::Point::new(20.0, 19.4)),
        distance: Metres::from_m(3.0),
        base: Metres::ZERO,
    };
    let path = line_string![(x: 4., y: 19.4), (x: 36., y: 19.4)];
    let found = near(tree, 0.2).clear_of(&path, 0.0);
    let inner = &found.0[1..found.0.len() - 1];
    assert!(inner.len() - 1 <= 5, "{} legs: {found:?}", inner.len() - 1);
    let length = Euclidean.length(&LineString::new(inner.to_vec()));
    assert!((9.458..9.458 * 1.082).contains(&length), "{length}");
    let away = geo::Distance::distance(
        &Euclidean,
        &Geometry::LineString(found.clone()),
        &Geometry::Point(geo::Point::new(20.0, 19.4)),
    );
    assert!(away >= 3.0, "{away}");
}

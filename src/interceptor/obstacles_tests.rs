//! Distances and depths by hand.

use super::*;
use geo::{Point, line_string, polygon};

fn at(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

fn square(west: f64, south: f64, side: f64) -> MultiPolygon {
    polygon![
        (x: west, y: south), (x: west + side, y: south), (x: west + side, y: south + side), (x: west, y: south + side)
    ].into()
}

fn thing(kind: ObstacleKind, shape: Geometry) -> Obstacle {
    Obstacle { kind, name: format!("{kind:?}"), shape, distance: kind.usual_distance(), base: Length::ZERO }
}

fn near_lot(all: Vec<Obstacle>, metres_per_unit: f64) -> Obstacles {
    let lot = square(0.0, 0.0, 40.0 / metres_per_unit);
    let digs =
        Digs { least: Length::from_m(0.5), most: Length::from_m(1.5), half_width: Length::from_m(0.15) };
    Obstacles::new(all, &lot, Length::from_m(0.6), digs, metres_per_unit)
}

// A well at (10, 2) keeps 3 m: of the line y = 0 the chord of the circle of 3 m is 2 sqrt(9 - 4) = 4.47 m long, from 7.76 on; the octagon
// around the circle takes up to 8 % more. At 5 m distance nothing is near.
#[test]
fn a_well_keeps_its_distance() {
    let well = || thing(ObstacleKind::Well, Geometry::MultiPoint(vec![Point::new(10.0, 2.0)].into()));
    let found = near_lot(vec![well()], 1.0).approaches(&line_string![(x: 0., y: 0.), (x: 20., y: 0.)]);
    let [near] = &found[..] else { panic!("{found:?}") };
    assert!(near.length_m >= 4.47 && near.length_m < 4.47 * 1.2, "{near:?}");
    assert!((near.nearest_m - 2.0).abs() < 1e-9 && (near.at.x - 10.0).abs() < 0.3, "{near:?}");
    assert!(
        near_lot(vec![well()], 1.0).approaches(&line_string![(x: 0., y: -3.5), (x: 20., y: -3.5)]).is_empty()
    );
}

// An easement 2 wide is crossed over 2 m; in feet the same is 2 ft = 0.6096 m.
#[test]
fn what_is_crossed_is_measured_on_the_ground() {
    let strip: MultiPolygon =
        polygon![(x: 5., y: -9.), (x: 7., y: -9.), (x: 7., y: 9.), (x: 5., y: 9.)].into();
    let path = line_string![(x: 0., y: 0.), (x: 20., y: 0.)];
    for (unit, length_m) in [(1.0, 2.0), (0.3048, 0.6096)] {
        let easement = thing(ObstacleKind::Easement, Geometry::MultiPolygon(strip.clone()));
        let found = near_lot(vec![easement], unit).approaches(&path);
        let [near] = &found[..] else { panic!("{found:?}") };
        assert!((near.length_m - length_m).abs() < 1e-9 && near.nearest_m == 0.0, "{near:?}");
        assert!((near.from_m - 2.5 * length_m).abs() < 1e-9, "{near:?}");
    }
}

// A house of 10 x 10 in the middle of the lot, between (5, 20) and (35, 20): round it at 0.6 m, over a corner 0.6 m (or a hair more)
// off its own. The shortest at that distance: twice the hypotenuse of 9.4 and 5.6 and 11.2 along it, 2 x 10.94 + 11.2 = 33.08 m.
#[test]
fn a_lead_keeps_its_distance_from_a_house() {
    let house = thing(ObstacleKind::Building, Geometry::MultiPolygon(square(15.0, 15.0, 10.0)));
    let obstacles = near_lot(vec![house], 1.0);
    let lead = obstacles.lead(at(5.0, 20.0), at(35.0, 20.0)).unwrap();
    let length: f64 = lead.0.windows(2).map(|leg| (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y)).sum();
    assert!((33.08..35.0).contains(&length), "{length}: {lead:?}");
    assert!(obstacles.shut_by(&lead).is_none() && obstacles.approaches(&lead).is_empty());
    let straight = line_string![(x: 5., y: 20.), (x: 35., y: 20.)];
    assert!(obstacles.shut_by(&straight).is_some());
}

#[test]
fn names_of_kinds_are_read_in_any_case() {
    assert_eq!(ObstacleKind::of_name(" Septic "), ObstacleKind::Septic);
    assert_eq!(ObstacleKind::of_name("pergola"), ObstacleKind::Other);
}

//! Room beside lines, by hand and against the buffers of a general library.

use super::*;
use geo::{Area, BooleanOps, Buffer, line_string, polygon};
use proptest::prelude::*;
use std::f64::consts::TAU;

fn lot() -> MultiPolygon {
    polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 20.), (x: 0., y: 20.)].into()
}

/// Works of one width all along.
fn even(width_m: f64) -> impl Fn(&Room) -> Option<(Length, Length)> {
    move |piece| Some((Length::from_m(piece.from_m), Length::from_m(width_m)))
}

// A line 0.3 m inside the north side that bends, from x = 20 on, to 0.16 m from it at x = 24, and back to 0.3 m at 28. Room 0.3 m, and 0.16 m
// at 4 m past the first bend: the leg is (16 + 0.0196)^(1/2) = 4.00245 m long, so that the place lies 16 + 4.002 = 20.00 m down the line. A
// trench of 0.5 m is 0.09 m too wide there and fits elsewhere; one of 0.694 m, two pipes, lies 0.047 m beyond the lot line before the bend.
#[test]
fn the_nearest_place_of_the_lot_line_counts_and_not_the_setback() {
    let path = line_string![(x: 4., y: 19.7), (x: 20., y: 19.7), (x: 24., y: 19.84), (x: 28., y: 19.7), (x: 36., y: 19.7)];
    let found = Nearness::of(&path, &lot(), std::iter::empty(), 1.0).at_setback(Length::from_m(0.3));
    assert!((found.least_room(0.0, 15.9).as_m() - 0.3).abs() < 1e-9);
    let one = found.too_wide(&even(0.5)).unwrap();
    assert!((one.over().as_m() - 0.09).abs() < 1e-9, "{one:?}");
    assert!((one.station.as_m() - 20.0).abs() < 0.26 && one.edge == Edge::LotLine, "{one:?}");
    assert_eq!(one.setback, None, "a wider setback doesn't move the bend");
    let before =
        Nearness::of(&line_string![(x: 4., y: 19.7), (x: 20., y: 19.7)], &lot(), std::iter::empty(), 1.0)
            .at_setback(Length::from_m(0.3));
    let two = before.too_wide(&even(0.694)).unwrap();
    assert!((two.over().as_m() - 0.047).abs() < 1e-9, "{two:?}");
    assert!((two.setback.unwrap().as_m() - 0.347).abs() < 1e-12);
    assert!(before.too_wide(&even(0.6)).is_none() && found.too_wide(&even(0.32)).is_none());
}

// The same in feet, and from the other end: the worst place, 20 m down, lies 32.005 - 20.002 = 12.00 m from there.
#[test]
fn units_and_direction_make_no_difference() {
    let ft = 0.3048;
    let path = line_string![(x: 4., y: 19.7), (x: 20., y: 19.7), (x: 24., y: 19.84), (x: 28., y: 19.7), (x: 36., y: 19.7)];
    let in_feet = |c: Coord| Coord { x: c.x / ft, y: c.y / ft };
    use geo::MapCoords;
    let found = Nearness::of(&path.map_coords(in_feet), &lot().map_coords(in_feet), std::iter::empty(), ft);
    let worst = found.reversed().too_wide(&even(0.5)).unwrap();
    assert!((worst.over().as_m() - 0.09).abs() < 1e-9, "{worst:?}");
    assert!((worst.station.as_m() - 12.0).abs() < 0.26, "{worst:?}");
}

// A house whose wall is 0.5 m from the line: a swale of 1.2 m would reach 0.1 m into it.
#[test]
fn a_building_ends_the_room_too() {
    let house: MultiPolygon =
        polygon![(x: 10., y: 10.), (x: 14., y: 10.), (x: 14., y: 17.5), (x: 10., y: 17.5)].into();
    let path = line_string![(x: 4., y: 18.), (x: 36., y: 18.)];
    let found = Nearness::of(&path, &lot(), [(ObstacleKind::Building, &house)].into_iter(), 1.0);
    let worst = found.too_wide(&even(1.2)).unwrap();
    assert_eq!(worst.edge, Edge::Thing(ObstacleKind::Building));
    assert!(
        (worst.over().as_m() - 0.1).abs() < 1e-9 && (5.7..10.1).contains(&worst.station.as_m()),
        "{worst:?}"
    );
}

proptest! {
    // The works are the ground within half their width of the line, by the buffer of a general library. They stay in the lot, or the result
    // says so, with that width.
    #[test]
    fn works_stay_in_the_lot_or_it_is_said(
        radii in prop::collection::vec(8.0..20.0f64, 5..12),
        places in prop::collection::vec((0.0..1.0f64, 0.05..0.98f64), 2..7),
        width_m in 0.2..4.0f64,
    ) {
        let count = radii.len() as f64;
        let corner = |k: f64, r: f64| Coord { x: r * (TAU * k / count).cos(), y: r * (TAU * k / count).sin() };
        let ring: Vec<Coord> = radii.iter().enumerate().map(|(k, r)| corner(k as f64, *r)).collect();
        let lot: MultiPolygon = geo::Polygon::new(LineString::new(ring), vec![]).into();
        // Seen from its middle all of the lot is in sight: places at a share of the way to its outline lie in it.
        let inside = |(turn, share): &(f64, f64)| {
            let k = turn * count;
            let (low, high) = (k.floor(), k.floor() + 1.0);
            let of = |k: f64| corner(k, radii[(k as usize) % radii.len()]);
            let along = k - low;
            let edge = of(low) * (1.0 - along) + of(high) * along;
            edge * *share
        };
        // Out from the middle and back, so that the line stays in the lot.
        let middle = Coord { x: 0.0, y: 0.0 };
        let path: Vec<Coord> = places.iter().flat_map(|place| [middle, inside(place)]).collect();
        let path = LineString::new(path);
        let said = Nearness::of(&path, &lot, std::iter::empty(), 1.0).too_wide(&even(width_m));
        let works = path.lines().map(|leg| LineString::from(leg).buffer(0.5 * width_m));
        let beyond_m2: f64 = works.map(|works| works.difference(&lot).unsigned_area()).sum();
        let over_m = said.map_or(0.0, |said| said.over().as_m());
        // The library's round ends are polygons, and lie up to a hundredth of their radius inside the circle.
        let hair_m = 0.012 * width_m;
        if over_m > hair_m {
            prop_assert!(beyond_m2 > 0.0, "{said:?}");
        }
        if said.is_none() {
            prop_assert!(beyond_m2 < 1e-3, "{beyond_m2}");
        }
    }
}

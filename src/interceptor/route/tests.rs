//! Ways around rectangles, whose lengths are known by hand, and what holds among any.

use super::*;
use geo::{Euclidean, Length, polygon};
use proptest::prelude::*;

fn at(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

fn rectangle(west: f64, south: f64, east: f64, north: f64) -> MultiPolygon {
    polygon![(x: west, y: south), (x: east, y: south), (x: east, y: north), (x: west, y: north)].into()
}

fn routes(zones: &[(MultiPolygon, Bar)]) -> Routes {
    Routes::new(zones.iter().filter_map(|(area, bar)| Zone::new(area.clone(), *bar)).collect(), 1.0)
}

// A house of 6 x 8 in the way from (0, 0) to (12, 0), from y = -3 to 5: over its southern corners (3, -3) and (9, -3) the way is
// 2 sqrt 18 + 6 = 14.485; the hair of 0.02 adds less than 0.05.
#[test]
fn a_house_is_gone_round_on_its_shorter_side() {
    let house = rectangle(3.0, -3.0, 9.0, 5.0);
    let way = routes(&[(house, Bar::Solid)]).way(at(0.0, 0.0), at(12.0, 0.0)).unwrap();
    assert_eq!(way.0.len(), 4, "{way:?}");
    let length = Euclidean.length(&way);
    assert!((length - (2.0 * 18.0_f64.sqrt() + 6.0)).abs() < 0.05, "{length}");
    assert!(way.0[1].y < 0.0 && way.0[2].y < 0.0);
}

#[test]
fn nothing_in_the_way_leaves_it_straight_and_shut_ground_has_none() {
    let free = routes(&[(rectangle(3.0, 1.0, 9.0, 5.0), Bar::Solid)]);
    assert_eq!(free.way(at(0.0, 0.0), at(12.0, 0.0)).unwrap().0, [at(0.0, 0.0), at(12.0, 0.0)]);
    // A court without a gate: a ring of four walls.
    let walls =
        [[0.0, 0.0, 10.0, 1.0], [0.0, 9.0, 10.0, 10.0], [0.0, 0.0, 1.0, 10.0], [9.0, 0.0, 10.0, 10.0]];
    let shut = walls.map(|[w, s, e, n]| (rectangle(w, s, e, n), Bar::Solid));
    assert_eq!(routes(&shut).way(at(5.0, 5.0), at(20.0, 5.0)), None);
    assert_eq!(routes(&shut[..1]).way(at(5.0, 0.5), at(20.0, 5.0)), None, "an end below a house");
}

// Ground to be kept clear of shuts the way at first; where an end lies in it, or it goes round, it is crossed as shortly as can be.
#[test]
fn ground_to_be_kept_clear_is_crossed_only_where_it_must() {
    let strip = |north: f64| (rectangle(5.0, -10.0, 7.0, north), Bar::Clear);
    let way = routes(&[strip(4.0)]).way(at(0.0, 0.0), at(12.0, 0.0)).unwrap();
    assert!(way.0.len() > 2 && way.0.iter().any(|c| c.y > 4.0), "round its end: {way:?}");
    let inside = routes(&[strip(4.0)]).way(at(6.0, 0.0), at(12.0, 0.0)).unwrap();
    assert_eq!(inside.0, [at(6.0, 0.0), at(12.0, 0.0)]);
    // A closed ring around the goal, 1 wide: crossed straight, at right angles.
    let ring = polygon!(
        exterior: [(x: 10., y: -10.), (x: 30., y: -10.), (x: 30., y: 10.), (x: 10., y: 10.)],
        interiors: [[(x: 11., y: -9.), (x: 29., y: -9.), (x: 29., y: 9.), (x: 11., y: 9.)]],
    );
    let way = routes(&[(ring.into(), Bar::Clear)]).way(at(0.0, 0.0), at(20.0, 0.0)).unwrap();
    assert_eq!(way.0, [at(0.0, 0.0), at(20.0, 0.0)]);
}

// An L-shaped lot: straight over the neighbour's corner 10 of 14.14 m lie outside; inside over the corner at (5, 5) the way is
// longer. Where a metre outside counts 1.5 the straight way counts 14.14 + 0.5 x its length outside.
#[test]
fn a_way_stays_on_its_ground_where_that_is_not_much_longer() {
    let lot: MultiPolygon = polygon![
        (x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 5.), (x: 5., y: 5.), (x: 5., y: 10.), (x: 0., y: 10.)
    ]
    .into();
    let inset: MultiPolygon = polygon![(x: 4.9, y: 4.9), (x: 4.8, y: 4.9), (x: 4.8, y: 4.8)].into();
    let home = |costs| routes(&[]).at_home(lot.clone(), &inset, costs);
    let (from, to) = (at(4.0, 9.0), at(9.0, 4.0));
    assert_eq!(home(1.5).way(from, to).unwrap().0, [from, at(4.9, 4.9), to]);
    assert_eq!(home(1.0).way(from, to).unwrap().0, [from, to]);
}

/// Disjoint houses in the squares of a chessboard of 10 m.
fn houses() -> impl Strategy<Value = Vec<[f64; 4]>> {
    let house = (0..5_u8, 0..5_u8, 0.5..4.5f64, 0.5..4.5f64, 5.0..9.5f64, 5.0..9.5f64);
    prop::collection::vec(house, 0..12).prop_map(|all| {
        let mut squares = std::collections::BTreeMap::new();
        for (col, row, west, south, east, north) in all {
            let (x, y) = (f64::from(col) * 10.0, f64::from(row) * 10.0);
            squares.insert((col, row), [x + west, y + south, x + east, y + north]);
        }
        squares.into_values().collect()
    })
}

proptest! {
    #[test]
    fn a_way_never_crosses_a_house_and_is_never_shorter_than_straight(
        houses in houses(), a in (0.0..50.0f64, 0.0..50.0f64), b in (0.0..50.0f64, 0.0..50.0f64),
    ) {
        let areas: Vec<MultiPolygon> = houses.iter().map(|[w, s, e, n]| rectangle(*w, *s, *e, *n)).collect();
        let zones: Vec<(MultiPolygon, Bar)> = areas.iter().map(|area| (area.clone(), Bar::Solid)).collect();
        let (from, to) = (at(a.0, a.1), at(b.0, b.1));
        let within = |at: Coord| houses.iter().any(|[w, s, e, n]| at.x > *w && at.x < *e && at.y > *s && at.y < *n);
        match routes(&zones).way(from, to) {
            None => prop_assert!(within(from) || within(to), "disjoint houses shut no way"),
            Some(way) => {
                prop_assert_eq!((way.0[0], way.0[way.0.len() - 1]), (from, to));
                prop_assert!(Euclidean.length(&way) >= length(from, to) - 1e-9);
                for leg in way.0.windows(2) {
                    let crossed: f64 = areas.iter().map(|area| length_within(area, leg[0], leg[1])).sum();
                    prop_assert!(crossed <= TOUCH_M, "{} m of {:?}", crossed, leg);
                }
            }
        }
    }

    // No way over one or two corners of one house is shorter: compared with trying them all.
    #[test]
    fn no_shorter_way_leads_over_the_corners_of_one_house(
        west in -6.0..-1.0f64, south in -8.0..-0.5f64, east in 1.0..6.0f64, north in 0.5..8.0f64,
    ) {
        let (from, to) = (at(-10.0, 0.0), at(10.0, 0.0));
        let way = routes(&[(rectangle(west, south, east, north), Bar::Solid)]).way(from, to).unwrap();
        let over = |y: f64| length(from, at(west, y)) + (east - west) + length(at(east, y), to);
        let expected = over(south).min(over(north));
        let found = Euclidean.length(&way);
        prop_assert!(found >= expected - 1e-9 && found <= expected + 0.1, "{} against {}", found, expected);
    }
}

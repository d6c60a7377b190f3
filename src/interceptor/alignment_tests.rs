//! Expected values by plane geometry on rectangles.

use super::*;
use approx::assert_relative_eq;
use geo::{Euclidean, Length, polygon};
use proptest::prelude::*;

fn aligned(lot: &MultiPolygon, ring: usize, from_m: f64, to_m: f64, setback_m: f64) -> Alignment {
    let line = LotLine::new(lot, 1.0).unwrap();
    let stretch = Stretch { ring, from_m, to_m, members: vec![] };
    Aligner::new(&line, setback_m).along(&stretch, &line.rings()[ring])
}

fn same(path: &LineString, expected: &[(f64, f64)]) {
    assert_eq!(path.0.len(), expected.len(), "{path:?}");
    for (found, (x, y)) in path.0.iter().zip(expected) {
        assert!((found.x - x).hypot(found.y - y) < 1e-4, "{path:?} is not {expected:?}");
    }
}

/// 40 x 20 m; clockwise from its north-west corner at (0, 20).
fn rectangle() -> MultiPolygon {
    polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 20.), (x: 0., y: 20.)].into()
}

#[test]
fn a_straight_stretch_is_moved_inside() {
    let found = aligned(&rectangle(), 0, 10.0, 30.0, 0.6);
    same(&found.path, &[(10., 19.4), (30., 19.4)]);
    assert_relative_eq!(found.setback_m, 0.6);
}

#[test]
fn a_stretch_around_a_corner_turns_with_it() {
    let found = aligned(&rectangle(), 0, 30.0, 50.0, 0.6);
    same(&found.path, &[(30., 19.4), (39.4, 19.4), (39.4, 10.)]);
}

#[test]
fn a_stretch_over_the_start_turns_with_the_corner() {
    // Length 120: from 10 m south of the north-west corner to 10 m east of it.
    let found = aligned(&rectangle(), 0, 110.0, 130.0, 0.6);
    same(&found.path, &[(0.6, 10.), (0.6, 19.4), (10., 19.4)]);
}

#[test]
fn a_stretch_all_around_goes_all_around() {
    let found = aligned(&rectangle(), 0, 0.0, 120.0, 1.0);
    assert_relative_eq!(Euclidean.length(&found.path), 112.0, epsilon = 1e-4);
}

#[test]
fn a_short_stretch_at_a_corner_gives_a_line_of_a_metre_around_it() {
    let found = aligned(&rectangle(), 0, 39.9, 40.1, 0.6);
    same(&found.path, &[(38.9, 19.4), (39.4, 19.4), (39.4, 18.9)]);
}

#[test]
fn a_concave_corner_is_rounded_on_the_outside() {
    // An L: 20 x 20 without its north-east quarter. Clockwise from (0, 20): (10, 20) at 10, (10, 10) at 20 (concave),
    // (20, 10) at 30.
    let lot = polygon![(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 10.), (x: 10., y: 10.), (x: 10., y: 20.), (x: 0., y: 20.)];
    let found = aligned(&lot.into(), 0, 15.0, 25.0, 1.0);
    same(&found.path, &[(9., 15.), (9., 9.), (15., 9.)]);
}

#[test]
fn a_hole_is_kept_clear_of_on_the_lots_side() {
    let lot = polygon!(
        exterior: [(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 40.), (x: 0., y: 40.)],
        interiors: [[(x: 10., y: 10.), (x: 30., y: 10.), (x: 30., y: 30.), (x: 10., y: 30.)]],
    );
    // The hole's ring runs clockwise from (10, 30); its north side is 0 to 20 m.
    let found = aligned(&lot.into(), 1, 5.0, 15.0, 0.6);
    same(&found.path, &[(15., 30.6), (25., 30.6)]);
}

#[test]
fn a_lot_too_narrow_keeps_the_largest_setback_that_fits() {
    // 1 m wide: less than 0.5 m fits.
    let lot = polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 1.), (x: 0., y: 1.)];
    let found = aligned(&lot.into(), 0, 10.0, 30.0, 0.6);
    assert!(found.setback_m > 0.49 && found.setback_m < 0.5, "{}", found.setback_m);
    assert_relative_eq!(found.path.0[0].y, 1.0 - found.setback_m, epsilon = 1e-4);
    assert_relative_eq!(Euclidean.length(&found.path), 20.0, epsilon = 1e-3);
}

#[test]
fn a_neck_too_narrow_is_followed_all_the_same() {
    // Two squares of 20 m joined by a neck 1 m wide and 20 m long; along the north side of all three.
    let lot = polygon![
        (x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 19.), (x: 40., y: 19.), (x: 40., y: 0.), (x: 60., y: 0.),
        (x: 60., y: 20.), (x: 0., y: 20.),
    ];
    let whole = aligned(&lot.clone().into(), 0, 5.0, 55.0, 0.6);
    assert!(whole.setback_m > 0.45 && whole.setback_m < 0.5, "{}", whole.setback_m);
    assert_relative_eq!(Euclidean.length(&whole.path), 50.0, epsilon = 1e-3);
    // Beside a square the setback is kept.
    let beside = aligned(&lot.into(), 0, 5.0, 15.0, 0.6);
    assert_relative_eq!(beside.setback_m, 0.6);
}

#[test]
fn a_spike_into_the_lot_is_gone_around_at_the_setback() {
    // A square of 20 m whose north side runs 5 m into the lot and back, as a fence drawn into a parcel map does.
    let lot = polygon![
        (x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.), (x: 10.001, y: 20.), (x: 10., y: 15.), (x: 9.999, y: 20.),
        (x: 0., y: 20.),
    ];
    let line = LotLine::new(&lot.clone().into(), 1.0).unwrap();
    let found = aligned(&lot.into(), 0, 5.0, 25.0, 0.6);
    assert_relative_eq!(found.setback_m, 0.6);
    assert!(samples(&found.path, 0.1).all(|p| line.nearest(p).distance_m > 0.599));
    // Cut off 0.6 m / tan 30 degrees = 1.039 m beyond the tip at y = 15.
    let deepest = found.path.0.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    assert_relative_eq!(deepest, 13.961, epsilon = 0.005);
}

#[test]
fn no_setback_is_the_lot_line_itself() {
    same(&aligned(&rectangle(), 0, 30.0, 50.0, 0.0).path, &[(30., 20.), (40., 20.), (40., 10.)]);
}

proptest! {
    #[test]
    fn the_line_stays_inside_at_its_setback(
        radii in prop::collection::vec(8.0..30.0f64, 3..14), from in 0.0..1.0f64, span in 0.01..1.0f64,
        east in 0.0..700_000.0f64,
    ) {
        let step = std::f64::consts::TAU / f64::from(u32::try_from(radii.len()).unwrap());
        let ring: Vec<(f64, f64)> = radii.iter().enumerate().map(|(i, r)| {
            let angle = step * f64::from(u32::try_from(i).unwrap());
            (east + r * angle.cos(), 5e6 + r * angle.sin())
        }).collect();
        let lot: MultiPolygon = geo::Polygon::new(LineString::from(ring), vec![]).into();
        let line = LotLine::new(&lot, 1.0).unwrap();
        let outer = &line.rings()[0];
        let from_m = from * outer.length_m();
        let stretch = Stretch { ring: 0, from_m, to_m: from_m + span * outer.length_m(), members: vec![] };
        let found = Aligner::new(&line, 0.6).along(&stretch, outer);
        prop_assert!(Euclidean.length(&found.path) > 0.9);
        for point in samples(&found.path, 0.5) {
            let near = line.nearest(point);
            prop_assert!(near.distance_m >= found.setback_m - 2e-3, "{} at {}", near.distance_m, found.setback_m);
            if found.setback_m > 0.01 {
                prop_assert!(geo::Contains::contains(&lot, &geo::Point(point)));
            }
        }
    }
}

//! Expected values by hand arithmetic on squares.

use super::*;
use approx::assert_relative_eq;
use geo::{Area, Contains, Euclidean, Length, LineString, coord, polygon};
use proptest::prelude::*;

/// 10 x 10 with its south-west corner at (0, 0), given counter-clockwise, without a hole.
fn square() -> MultiPolygon {
    polygon![(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)].into()
}

fn holed() -> MultiPolygon {
    polygon!(
        exterior: [(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)],
        interiors: [[(x: 4., y: 4.), (x: 6., y: 4.), (x: 6., y: 6.), (x: 4., y: 6.)]],
    )
    .into()
}

#[test]
fn runs_clockwise_from_the_north_west_corner_of_a_square() {
    let line = LotLine::new(&square(), 1.0).unwrap();
    let ring = &line.rings()[0];
    assert_eq!(
        ring.points()[..4],
        [coord! {x: 0., y: 10.}, coord! {x: 10., y: 10.}, coord! {x: 10., y: 0.}, coord! {x: 0., y: 0.},]
    );
    assert_relative_eq!(ring.length_m(), 40.0);
    assert_eq!(ring.point_at(12.5), coord! {x: 10., y: 7.5});
    assert_eq!(ring.point_at(52.5), ring.point_at(12.5));
    assert_eq!(ring.point_at(-2.5), coord! {x: 0., y: 7.5});
}

#[test]
fn the_order_and_start_of_the_input_do_not_matter() {
    let clockwise = polygon![(x: 10., y: 0.), (x: 0., y: 0.), (x: 0., y: 10.), (x: 10., y: 10.)];
    assert_eq!(
        LotLine::new(&clockwise.into(), 1.0).unwrap().rings(),
        LotLine::new(&square(), 1.0).unwrap().rings()
    );
}

#[test]
fn corners_within_a_centimetre_of_the_top_start_at_the_westernmost() {
    let nearly = |west_y: f64| {
        let lot = polygon![(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: west_y)];
        LotLine::new(&lot.into(), 1.0).unwrap().rings()[0].points()[0].x
    };
    assert_relative_eq!(nearly(9.991), 0.0);
    assert_relative_eq!(nearly(9.989), 10.0);
}

#[test]
fn feet_are_measured_in_metres() {
    let line = LotLine::new(&square(), 0.3048).unwrap();
    assert_relative_eq!(line.rings()[0].length_m(), 12.192);
    assert_relative_eq!(line.rings()[0].point_at(3.048 * 1.25).y, 7.5, epsilon = 1e-12);
    let near = line.nearest(coord! {x: 12., y: 5.});
    assert_relative_eq!(near.distance_m, 0.6096, epsilon = 1e-12);
    assert_relative_eq!(near.chainage_m, 4.572, epsilon = 1e-12);
}

#[test]
fn holes_follow_the_outer_rings_and_face_the_other_way() {
    let line = LotLine::new(&holed(), 1.0).unwrap();
    assert_eq!(line.rings().iter().map(LotRing::kind).collect::<Vec<_>>(), [RingKind::Outer, RingKind::Hole]);
    assert_relative_eq!(line.rings()[1].length_m(), 8.0);
    // North side of both: the lot lies south of its outer line and north of its hole.
    assert_eq!(line.rings()[0].inward_normal_at(5.0), coord! {x: 0., y: -1.});
    assert_eq!(line.rings()[1].inward_normal_at(1.0), coord! {x: 0., y: 1.});
}

#[test]
fn parts_are_ordered_from_north_to_south_then_west_to_east() {
    let part =
        |x: f64, y: f64| polygon![(x: x, y: y), (x: x + 1., y: y), (x: x + 1., y: y + 1.), (x: x, y: y + 1.)];
    let lot = MultiPolygon::new(vec![part(5., 0.), part(9., 20.), part(0., 0.), part(3., 20.)]);
    let line = LotLine::new(&lot, 1.0).unwrap();
    let starts: Vec<_> = line.rings().iter().map(|r| (r.points()[0].x, r.points()[0].y)).collect();
    assert_eq!(starts, [(3., 21.), (9., 21.), (0., 1.), (5., 1.)]);
}

#[test]
fn a_substring_runs_over_the_start() {
    let line = LotLine::new(&square(), 1.0).unwrap();
    let ring = &line.rings()[0];
    let expected = LineString::from(vec![(0., 8.), (0., 10.), (3., 10.)]);
    assert_eq!(ring.substring(38.0, 43.0), expected);
    assert_eq!(ring.substring(38.0, 3.0), expected);
    assert_eq!(ring.substring(2.0, 5.0), LineString::from(vec![(2., 10.), (5., 10.)]));
    assert_eq!(ring.substring(10.0, 20.0), LineString::from(vec![(10., 10.), (10., 0.)]));
    assert_relative_eq!(Euclidean.length(&ring.substring(7.0, 60.0)), 40.0);
}

#[test]
fn the_last_crossing_is_the_one_next_to_the_end() {
    let line = LotLine::new(&holed(), 1.0).unwrap();
    let into = |x: f64, y: f64| line.last_crossing(coord! {x: 5., y: 15.}, coord! {x: x, y: y}).unwrap();
    assert_eq!(into(5., 9.), LinePosition { ring: 0, chainage_m: 5.0 });
    // Through the hole: in by the outer line, out and in again over the hole.
    assert_eq!(into(5., 2.), LinePosition { ring: 1, chainage_m: 5.0 });
    assert_eq!(line.rings()[0].last_crossing(coord! {x: 5., y: 15.}, coord! {x: 5., y: 2.}), Some(5.0));
    assert_eq!(line.last_crossing(coord! {x: 5., y: 15.}, coord! {x: 5., y: 11.}), None);
}

#[test]
fn a_way_through_a_vertex_or_along_the_line_is_seen() {
    let line = LotLine::new(&square(), 1.0).unwrap();
    let through_corner = line.last_crossing(coord! {x: 11., y: 11.}, coord! {x: 9., y: 9.}).unwrap();
    assert_relative_eq!(through_corner.chainage_m, 10.0);
    let along = line.last_crossing(coord! {x: -3., y: 10.}, coord! {x: 4., y: 10.}).unwrap();
    assert_relative_eq!(along.chainage_m, 4.0);
}

#[test]
fn unusable_lots_are_refused_with_the_place() {
    assert_eq!(LotLine::new(&MultiPolygon::new(vec![]), 1.0), Err(LotLineError::Empty));
    let flat = polygon![(x: 3., y: 4.), (x: 5., y: 6.), (x: 7., y: 8.)];
    assert_eq!(LotLine::new(&flat.into(), 1.0), Err(LotLineError::NoArea { ring: 0, x: 3., y: 4. }));
    let infinite = polygon![(x: 0., y: 0.), (x: f64::INFINITY, y: 0.), (x: 7., y: 8.)];
    assert!(matches!(LotLine::new(&infinite.into(), 1.0), Err(LotLineError::NotFinite { ring: 0, .. })));
    assert!(matches!(LotLine::new(&square(), 0.0), Err(LotLineError::Scale { .. })));
}

#[test]
fn large_coordinates_keep_the_orientation_and_the_length() {
    let (e, n) = (612_345.678, 5_123_456.789);
    let lot = polygon![(x: e, y: n), (x: e + 20., y: n), (x: e + 20., y: n + 50.), (x: e, y: n + 50.)];
    let line = LotLine::new(&lot.into(), 1.0).unwrap();
    assert_relative_eq!(line.rings()[0].length_m(), 140.0, epsilon = 1e-6);
    assert_eq!(line.rings()[0].points()[0], coord! {x: e, y: n + 50.});
}

/// A star-shaped lot: one radius for each of equally spaced directions.
fn star(radii: &[f64]) -> MultiPolygon {
    let step = std::f64::consts::TAU / radii.len() as f64;
    let ring = radii.iter().enumerate().map(|(i, r)| {
        let angle = step * i as f64;
        (100.0 + r * angle.cos(), 200.0 + r * angle.sin())
    });
    geo::Polygon::new(LineString::from(ring.collect::<Vec<_>>()), vec![]).into()
}

proptest! {
    #[test]
    fn a_place_on_the_line_is_its_own_nearest(
        radii in prop::collection::vec(2.0..30.0f64, 3..40), share in 0.0..1.0f64, scale in 0.2..2.0f64,
    ) {
        let line = LotLine::new(&star(&radii), scale).unwrap();
        let ring = &line.rings()[0];
        let point = ring.point_at(share * ring.length_m());
        let near = line.nearest(point);
        prop_assert!(near.distance_m < 1e-9);
        let back = ring.point_at(near.chainage_m);
        prop_assert!((back.x - point.x).hypot(back.y - point.y) < 1e-9);
    }

    #[test]
    fn a_substring_is_as_long_as_its_chainages_say(
        radii in prop::collection::vec(2.0..30.0f64, 3..40), from in -2.0..2.0f64, span in 0.0..1.0f64,
    ) {
        let line = LotLine::new(&star(&radii), 0.5).unwrap();
        let ring = &line.rings()[0];
        let (from_m, span_m) = (from * ring.length_m(), span * ring.length_m());
        let found_m = Euclidean.length(&ring.substring(from_m, from_m + span_m)) * 0.5;
        prop_assert!((found_m - span_m).abs() < 1e-9);
    }

    #[test]
    fn the_inward_normal_points_into_the_lot(
        radii in prop::collection::vec(5.0..30.0f64, 3..30), share in 0.0..1.0f64,
    ) {
        let lot = star(&radii);
        prop_assume!(lot.unsigned_area() > 1.0);
        let line = LotLine::new(&lot, 1.0).unwrap();
        let ring = &line.rings()[0];
        let at = share * ring.length_m();
        let inside = ring.point_at(at) + ring.inward_normal_at(at) * 1e-6;
        // A step of a micrometre beside a corner may leave by the other side.
        let to_corner = ring.chainages_m().iter().map(|c| (c - at).abs()).fold(f64::INFINITY, f64::min);
        prop_assume!(to_corner > 1e-3);
        prop_assert!(lot.contains(&geo::Point(inside)));
    }
}

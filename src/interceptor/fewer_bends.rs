//! Ways with fewer bends: a crew sets a few straight legs, where the shortest way around something round bends at each of its corners.

use geo::{Coord, LineString};

/// Two bends are made one where that turns by no more than this: an ordinary fitting of 45°, and a hair for rounding.
const MOST_TURN: f64 = std::f64::consts::FRAC_PI_4 + 1e-6;

/// The same way with its shortest legs left out, those beside them drawn out until they meet, as long as the new bend is no sharper
/// than 45° and the new legs are free.
///
/// # Method
/// Legs drawn out lie outside what they go around. A bend by θ is longer than the arc by tan(θ/2) / (θ/2): 5.5 % at 45°.
pub(super) fn with_fewer_bends(way: &LineString, is_free: &dyn Fn(&LineString) -> bool) -> LineString {
    let mut way = way.clone();
    while let Some(simpler) = one_less(&way, is_free) {
        way = simpler;
    }
    way
}

/// The way with the shortest leg left out that can be.
fn one_less(way: &LineString, is_free: &dyn Fn(&LineString) -> bool) -> Option<LineString> {
    let points = &way.0;
    let length = |at: usize| (points[at + 1] - points[at]).x.hypot((points[at + 1] - points[at]).y);
    let mut legs: Vec<usize> = (1..points.len().saturating_sub(2)).collect();
    legs.sort_by(|&a, &b| length(a).total_cmp(&length(b)));
    legs.into_iter().find_map(|at| {
        let [a, b, c, d] = [points[at - 1], points[at], points[at + 1], points[at + 2]];
        let bend = meeting(a, b, c, d)?;
        let legs = LineString::new(vec![a, bend, d]);
        is_free(&legs).then(|| LineString::new([&points[..at], &[bend], &points[at + 2..]].concat()))
    })
}

/// Where the first and the last of three legs meet when they are drawn out over the middle one; nothing where they turn to either side,
/// or by too much.
fn meeting(a: Coord, b: Coord, c: Coord, d: Coord) -> Option<Coord> {
    let (first, middle, last) = (b - a, c - b, d - c);
    let turns = [turn(first, middle), turn(middle, last)];
    let all = turns[0] + turns[1];
    if turns[0] * turns[1] <= 0.0 || all.abs() > MOST_TURN {
        return None;
    }
    // From b by so many times the first leg's direction: the middle leg's part across the last.
    let along = cross(middle, last) / cross(first, last);
    Some(b + first * along)
}

fn cross(a: Coord, b: Coord) -> f64 {
    a.x * b.y - a.y * b.x
}

/// To the left, radians.
fn turn(from: Coord, to: Coord) -> f64 {
    cross(from, to).atan2(from.x * to.x + from.y * to.y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Euclidean, Length, line_string};

    // A corner of 45° cut by a leg of 1 between (9, 0) and beyond: two bends of 22.5° become one where the
    // legs meet. cross(m, l) / cross(f, l): b = (9, 0), c = b + (cos 22.5°, sin 22.5°), last leg at 45°: they
    // meet at x = 9 + cos 22.5° - sin 22.5° = 9.5412.
    #[test]
    fn two_bends_become_one_where_the_legs_meet() {
        let (sin, cos) = 22.5_f64.to_radians().sin_cos();
        let c = Coord { x: 9.0 + cos, y: sin };
        let d = Coord { x: c.x + 5.0, y: c.y + 5.0 };
        let way = LineString::new(vec![Coord { x: 0.0, y: 0.0 }, Coord { x: 9.0, y: 0.0 }, c, d]);
        let found = with_fewer_bends(&way, &|_| true);
        assert_eq!(found.0.len(), 3, "{found:?}");
        assert!((found.0[1].x - 9.541_2).abs() < 1e-4 && found.0[1].y.abs() < 1e-9, "{found:?}");
        assert_eq!((found.0[0], found.0[2]), (way.0[0], d));
        // Where the new legs aren't free, or the bend would be sharper than 45°, the way stays.
        assert_eq!(with_fewer_bends(&way, &|_| false), way);
        let square = line_string![(x: 0., y: 0.), (x: 4., y: 0.), (x: 4., y: 3.), (x: 0., y: 3.)];
        assert_eq!(with_fewer_bends(&square, &|_| true), square);
        // A bend to the left and one to the right.
        let step = line_string![(x: 0., y: 0.), (x: 4., y: 0.), (x: 5., y: 0.3), (x: 9., y: 0.3)];
        assert_eq!(with_fewer_bends(&step, &|_| true), step);
    }

    // Half around a circle of 3 m in 18 bends of 10°, as the tangents of the arcs between: at most 45° each
    // takes four or more; two or three of ten make one, so that 4.5 of 40° or less stay at the most: each is longer
    // than its arc by tan 20° / 20° = 1.043 at the most.
    #[test]
    fn half_a_circle_takes_few_bends() {
        let radius = 3.0 / 5.0_f64.to_radians().cos();
        let corner = |i: i32| {
            let (sin, cos) = (10.0 * f64::from(i) + 5.0).to_radians().sin_cos();
            Coord { x: -radius * cos, y: radius * sin }
        };
        let ends = [Coord { x: -3.0, y: -2.0 }, Coord { x: 3.0, y: -2.0 }];
        let way =
            LineString::new([&ends[..1], &(0..18).map(corner).collect::<Vec<_>>(), &ends[1..]].concat());
        let found = with_fewer_bends(&way, &|_| true);
        assert!((6..=8).contains(&found.0.len()), "{found:?}");
        let length = Euclidean.length(&found);
        let closed_form = 4.0 + 3.0 * std::f64::consts::PI;
        assert!(length >= closed_form && length <= 4.0 + 1.055 * 3.0 * std::f64::consts::PI, "{length}");
        let nearest = geo::Distance::distance(
            &Euclidean,
            &geo::Geometry::LineString(found),
            &geo::Geometry::Point(geo::Point::new(0.0, 0.0)),
        );
        assert!(nearest >= 3.0 - 1e-9, "{nearest}");
    }
}

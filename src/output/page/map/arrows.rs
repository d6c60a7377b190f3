//! Arrows along a way.

use super::view::View;
use geo::{Coord, Euclidean, InterpolateLine, Length, LineString};
use maud::{Markup, html};

/// Between arrows, in units of the drawing.
const APART: f64 = 70.0;
/// Ways shorter than this have no arrow.
const SHORTEST: f64 = 16.0;
/// Length of an arrow's head for a way of width 1, and what a wider one adds.
const HEAD: [f64; 2] = [5.0, 1.4];
/// Heads of arrows down a way.
pub(super) fn arrows(view: &View, way: &LineString, colour: &str, width: f64) -> Markup {
    let drawn: LineString = way.coords().map(|&place| view.at(place)).collect();
    let length = Euclidean.length(&drawn);
    html! {
        @for at in places(length) {
            @if let Some((tip, along)) = direction(&drawn, at / length, length) {
                path d=(head(tip, along, HEAD[1].mul_add(width, HEAD[0]))) fill=(colour) stroke="#fff" stroke-width="0.6" {}
            }
        }
    }
}

/// One in the middle of a short way, else evenly.
fn places(length: f64) -> Vec<f64> {
    if length < SHORTEST {
        return Vec::new();
    }
    let count = (length / APART).round().max(1.0);
    let mut all = Vec::new();
    let mut number = 0.5;
    while number < count {
        all.push(length * number / count);
        number += 1.0;
    }
    all
}

/// A place along a line and the unit vector down it there.
fn direction(line: &LineString, share: f64, length: f64) -> Option<(Coord, Coord)> {
    let step = 4.0 / length;
    let before = Euclidean.point_at_ratio_from_start(line, (share - step).max(0.0))?;
    let at = Euclidean.point_at_ratio_from_start(line, (share + step).min(1.0))?;
    let along = at.0 - before.0;
    let size = along.x.hypot(along.y);
    (size > 0.0).then(|| (at.0, along / size))
}

fn head(tip: Coord, along: Coord, size: f64) -> String {
    let across = Coord { x: -along.y, y: along.x };
    let back = tip - along * size;
    let (left, right) = (back + across * (size * 0.45), back - across * (size * 0.45));
    format!("M{:.1} {:.1}L{:.1} {:.1}L{:.1} {:.1}Z", tip.x, tip.y, left.x, left.y, right.x, right.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arrows_stand_evenly_and_point_down_the_way() {
        assert!(places(10.0).is_empty());
        assert_eq!(places(20.0), [10.0]);
        assert_eq!(places(140.0), [35.0, 105.0]);
        let line = LineString::from(vec![(0.0, 0.0), (100.0, 0.0)]);
        let (tip, along) = direction(&line, 0.5, 100.0).unwrap();
        assert!((tip.x - 54.0).abs() < 1e-9 && (along.x - 1.0).abs() < 1e-9 && along.y.abs() < 1e-9);
    }
}

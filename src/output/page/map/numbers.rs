//! Numbers on the map that tie it to the tables: circles for contributors, squares for crossings, diamonds for parts.

use super::super::super::rows::parcel;
use super::Scene;
use super::view::View;
use geo::{Area, BooleanOps, Coord, InteriorPoint, Intersects, MultiPolygon, Point};
use maud::{Markup, html};

/// Half the size of a mark.
const HALF: f64 = 9.5;
/// From a crossing's middle to its number.
const BESIDE: f64 = 20.0;

/// A number in the middle of what contributors have on the map.
pub(super) fn contributors(scene: &Scene<'_>) -> Markup {
    let rows = scene.assessment.drainage.contributions.iter().zip(1..);
    html! {
        @for (row, number) in rows.take(scene.numbered) {
            @if let Some(parcel) = parcel(scene.assessment, row.label) {
                @if let Some(at) = middle(scene, &parcel.outline) { (circle(at, number)) }
            }
        }
    }
}

/// Within the ground that drains onto the lot where there is enough of it, else within the parcel; nothing off the map.
fn middle(scene: &Scene<'_>, parcel: &MultiPolygon) -> Option<Coord> {
    let draining = parcel.intersection(&scene.catchment);
    let least = scene.view.length(1.0).powi(-2) * HALF * HALF;
    let wide = draining.iter().max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()));
    let inside = wide.filter(|part| part.unsigned_area() > least).and_then(InteriorPoint::interior_point);
    let shown = || parcel.intersection(&scene.view.ground.to_polygon()).interior_point();
    inside.or_else(shown).map(|point: Point| scene.view.at(point.0))
}

fn circle(at: Coord, number: usize) -> Markup {
    html! {
        g class="number" transform=(moved(at)) { circle r=(HALF) {} text y="4.5" { (number) } }
    }
}

/// A number beside each crossing, outside the lot.
pub(super) fn crossings(scene: &Scene<'_>) -> Markup {
    let crossings = scene.assessment.drainage.crossings.iter().zip(1..);
    html! {
        @for (crossing, number) in crossings {
            @let ring = &scene.assessment.line.rings()[crossing.ring];
            @let at = f64::midpoint(crossing.from_m, crossing.to_m);
            @let ends = ring.substring(at - 0.5, at + 0.5);
            @if let Some(at) = outside(scene, &ends.0) {
                g class="number crossing-number" transform=(moved(at)) {
                    rect x=(-HALF) y=(-HALF) width=(2.0 * HALF) height=(2.0 * HALF) {}
                    text y="4.5" { (number) }
                }
            }
        }
    }
}

/// Beside a short piece of the lot line, on the side where the lot isn't, and on the map.
fn outside(scene: &Scene<'_>, piece: &[Coord]) -> Option<Coord> {
    let (first, last) = (*piece.first()?, *piece.last()?);
    let (from, to) = (scene.view.at(first), scene.view.at(last));
    let along = to - from;
    let size = along.x.hypot(along.y);
    if size <= 0.0 {
        return None;
    }
    let middle = (from + to) / 2.0;
    let across = Coord { x: along.y, y: -along.x } * (BESIDE / size);
    // A step of a hundredth of a map unit tells the sides apart.
    let ground = (first + last) / 2.0;
    let step = Coord { x: across.x, y: -across.y } * (0.05 / scene.view.length(1.0) / BESIDE);
    let is_inside = scene.assessment.line.lot().intersects(&Point(ground + step));
    let at = if is_inside { middle - across } else { middle + across };
    Some(within(scene, at))
}

/// Not over the drawing's edge.
fn within(scene: &Scene<'_>, at: Coord) -> Coord {
    let room = HALF + 2.0;
    Coord { x: at.x.clamp(room, View::width() - room), y: at.y.clamp(room, scene.view.height() - room) }
}

/// A number on each part of the line.
pub(super) fn parts(scene: &Scene<'_>) -> Markup {
    use geo::{Euclidean, InterpolateLine};
    html! {
        @for part in &scene.assessment.interception.parts {
            @if let Some(at) = Euclidean.point_at_ratio_from_start(&part.path, 0.5) {
                g class="number part-number" transform=(moved(scene.view.at(at.0))) {
                    rect x=(-HALF * 0.8) y=(-HALF * 0.8) width=(1.6 * HALF) height=(1.6 * HALF) transform="rotate(45)" {}
                    text y="4.5" { (part.id) }
                }
            }
        }
    }
}

fn moved(at: Coord) -> String {
    format!("translate({:.1} {:.1})", at.x, at.y)
}

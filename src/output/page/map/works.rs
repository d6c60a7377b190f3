//! What is proposed: the line, its leads and outlets; storm inlets; where let-out water runs.

use super::super::super::proof::cells_line;
use super::super::super::style;
use super::Scene;
use super::arrows::arrows;
use crate::interceptor::OutletKind;
use geo::Coord;
use maud::{Markup, html};

/// Half the side of an inlet's mark.
const INLET: f64 = 6.0;
/// Radius of an outlet's ring.
const OUTLET: f64 = 6.0;

/// Parts of the line with the ways to their outlets.
pub(super) fn line(scene: &Scene<'_>) -> Markup {
    let parts = scene.assessment.interception.parts.iter().zip(&scene.assessment.outlets);
    html! {
        @for (part, outlets) in parts {
            @if let Some(found) = outlets.proposed() {
                @let lead = scene.view.line(&found.way.lead);
                path class="lead-under" d=(lead) {}
                path class="lead" d=(lead) stroke=(style::LINE.0) {}
            }
            @let line = scene.view.line(&part.path);
            path class="line-under" d=(line) {}
            path class="line" d=(line) stroke=(style::LINE.0) {}
            @if let Some(place) = outlets.place() {
                @if place.kind != OutletKind::OtherPart { (outlet(scene, place.at)) }
            }
        }
    }
}

fn outlet(scene: &Scene<'_>, at: Coord) -> Markup {
    let Coord { x, y } = scene.view.at(at);
    html! { circle class="outlet" cx=(format!("{x:.1}")) cy=(format!("{y:.1}")) r=(OUTLET) stroke=(style::LINE.0) {} }
}

/// Storm inlets that were given.
pub(super) fn inlets(scene: &Scene<'_>) -> Markup {
    let inlets = &scene.assessment.site.beside.inlets;
    html! {
        @for inlet in inlets.iter().filter(|inlet| scene.view.shows(inlet.at)) {
            @let Coord { x, y } = scene.view.at(inlet.at);
            rect class="inlet" x=(format!("{:.1}", x - INLET)) y=(format!("{:.1}", y - INLET)) width=(2.0 * INLET) height=(2.0 * INLET) fill=(style::INLET) {
                title { (inlet.id) }
            }
        }
    }
}

/// Where the water runs that is let out in the open.
pub(super) fn discharge(scene: &Scene<'_>) -> Markup {
    let ways = scene.assessment.proof.iter().flat_map(|proof| proof.proof.ways.iter().flatten());
    html! {
        @for way in ways {
            @let line = cells_line(scene.assessment, &way.cells);
            path class="discharge" d=(scene.view.line(&line)) stroke=(style::DISCHARGE.0) {}
            (arrows(&scene.view, &line, style::DISCHARGE.0, 2.0))
        }
    }
}

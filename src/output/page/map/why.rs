//! The ways of parcels that were asked for, and what decides.

use super::super::super::style;
use super::Scene;
use super::arrows::arrows;
use super::water::smooth;
use crate::pipeline::Decision;
use geo::Coord;
use maud::{Markup, html};

/// Half the size of a cross.
const ARM: f64 = 5.0;

pub(super) fn why(scene: &Scene<'_>) -> Markup {
    html! {
        @for found in &scene.assessment.explanations {
            @let comes = found.comes.as_ref();
            @let goes = found.goes.as_ref();
            @for way in comes.and_then(|it| it.way.as_ref()).into_iter().chain(goes.map(|it| &it.way)) {
                @let line = smooth(scene, &way.cells);
                path class="why" d=(scene.view.line(&line)) stroke=(style::WHY) {}
                (arrows(&scene.view, &line, style::WHY, 1.0))
            }
            @let decisions = [comes.and_then(|it| it.decision.as_ref()), goes.and_then(|it| it.decision.as_ref())];
            @for decision in decisions.into_iter().flatten() { (place(scene, decision)) }
        }
    }
}

/// A cross at the deciding place, and the way that dammed water would take over it.
fn place(scene: &Scene<'_>, decision: &Decision) -> Markup {
    let ground = &scene.assessment.routed.ground;
    let (x, y) = ground.georef.centre(ground.raw.shape().cell(decision.turning.sill));
    let Coord { x, y } = scene.view.at(Coord { x, y });
    let (left, right, top, bottom) = (x - ARM, x + ARM, y - ARM, y + ARM);
    html! {
        path class="why-over" d=(scene.view.line(&smooth(scene, &decision.turning.cells))) stroke=(style::WHY) {}
        path class="why-place" d=(format!("M{left:.1} {top:.1}L{right:.1} {bottom:.1}M{left:.1} {bottom:.1}L{right:.1} {top:.1}")) stroke=(style::WHY) {}
    }
}

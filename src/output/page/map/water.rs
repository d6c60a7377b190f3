//! Ways of the water, and where it crosses the lot line.

use super::super::super::proof::cells_line;
use super::super::super::style;
use super::Scene;
use super::arrows::arrows;
use crate::lots::FlowPath;
use geo::{LineString, Simplify};
use maud::{Markup, html};

/// The staircase of cells is taken out of a drawn way, in cells.
const SMOOTH_CELLS: f64 = 0.8;
/// A way is drawn in pieces, each as wide as the water at its lower end, while the width changes by at least this.
const WIDER: f64 = 0.5;
/// Widths of crossings: with hardly any of the water and with all of it.
const CROSSING_WIDTHS: [f64; 2] = [4.0, 10.0];

/// Main ways onto the lot, wider with the water.
pub(super) fn paths(scene: &Scene<'_>) -> Markup {
    html! {
        @for path in &scene.assessment.drainage.paths {
            @for (line, wide) in pieces(scene, path) {
                path class="water" d=(scene.view.line(&line)) stroke=(style::PATH) stroke-width=(format!("{wide:.1}")) {}
            }
            @let whole = smooth(scene, &path.cells);
            (arrows(&scene.view, &whole, style::PATH, path.area_m2.last().map_or(1.0, |&m2| style::water_width(m2))))
        }
    }
}

/// A way in pieces of about one width each.
fn pieces(scene: &Scene<'_>, path: &FlowPath) -> Vec<(LineString, f64)> {
    let mut all = Vec::new();
    let mut from = 0;
    for place in 1..path.area_m2.len() {
        let is_last = place + 1 == path.area_m2.len();
        if is_last
            || style::water_width(path.area_m2[place]) - style::water_width(path.area_m2[from]) >= WIDER
        {
            let to = if is_last { path.cells.len() } else { place + 1 };
            all.push((smooth(scene, &path.cells[from..to]), style::water_width(path.area_m2[place])));
            from = place;
        }
    }
    all
}

/// A way without the staircase of cells.
pub(super) fn smooth(scene: &Scene<'_>, cells: &[usize]) -> LineString {
    cells_line(scene.assessment, cells).simplify(SMOOTH_CELLS * scene.assessment.routed.ground.georef.step_x)
}

/// Stretches of the lot line where water enters, wider with their share.
pub(super) fn crossings(scene: &Scene<'_>) -> Markup {
    let drainage = &scene.assessment.drainage;
    let [least, most] = CROSSING_WIDTHS;
    html! {
        @for crossing in &drainage.crossings {
            @let ring = &scene.assessment.line.rings()[crossing.ring];
            @let wide = (most - least).mul_add(crossing.area_m2 / drainage.run_on_m2, least);
            path class="crossing" d=(scene.view.line(&ring.substring(crossing.from_m, crossing.to_m))) stroke=(style::CROSSING.0) stroke-width=(format!("{wide:.1}")) {}
        }
    }
}

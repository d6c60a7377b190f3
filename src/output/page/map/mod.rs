//! The map: the ground shaded, and on it whose water it is, where it crosses, and what is proposed.

mod arrows;
pub(in crate::output) mod compass;
mod ground;
mod legend;
mod numbers;
pub(in crate::output) mod relief;
pub(in crate::output) mod view;
mod water;
mod why;
mod works;

use super::super::error::OutputError;
use super::super::features::contributing_ground;
use super::super::screen::Units;
use crate::pipeline::Assessment;
use geo::MultiPolygon;
use maud::{Markup, html};
use relief::Relief;
use view::View;

pub(super) use legend::{Layer, legend};

/// What the marks are drawn from.
struct Scene<'a> {
    assessment: &'a Assessment<'a>,
    view: View,
    /// Ground of which at least half the water reaches the lot.
    catchment: MultiPolygon,
    /// Contributors that have a number.
    numbered: usize,
}

/// The map of a result, with numbers for so many contributors.
///
/// # Errors
/// A picture that can't be made.
pub(super) fn map(assessment: &Assessment<'_>, units: Units, numbered: usize) -> Result<Markup, OutputError> {
    let catchment = contributing_ground(assessment);
    let view = View::of(assessment, &catchment);
    let ground = &assessment.routed.ground;
    let relief = Relief::of(&ground.raw, ground.georef, &view)?;
    let scene = Scene { assessment, view, catchment, numbered };
    let (width, height) = (View::width(), view.height());
    let lot = assessment.site.parcels.parcels()[assessment.site.parcels.subject()].id.as_str();
    Ok(html! {
        svg class="map" viewBox=(format!("0 0 {width:.0} {height:.0}")) role="img" aria-label=(format!("Map of lot {lot}: the numbered parcels drain onto it")) {
            (layer(Layer::Relief, &html! {
                image href=(relief.url) width=(format!("{width:.1}")) height=(format!("{height:.1}")) preserveAspectRatio="none" {}
            }))
            (layer(Layer::Contributors, &ground::contributors(&scene)))
            (layer(Layer::Catchment, &ground::catchment(&scene)))
            (layer(Layer::Ponds, &ground::ponds(&scene)))
            (layer(Layer::Lots, &ground::lot_lines(&scene)))
            (layer(Layer::Buildings, &ground::buildings(&scene)))
            (layer(Layer::Paths, &water::paths(&scene)))
            (layer(Layer::Works, &works::discharge(&scene)))
            (ground::subject(&scene))
            (layer(Layer::Crossings, &water::crossings(&scene)))
            (layer(Layer::Works, &works::line(&scene)))
            (layer(Layer::Why, &why::why(&scene)))
            (layer(Layer::Inlets, &works::inlets(&scene)))
            (layer(Layer::Contributors, &numbers::contributors(&scene)))
            (layer(Layer::Crossings, &numbers::crossings(&scene)))
            (layer(Layer::Works, &numbers::parts(&scene)))
            (compass::north(&assessment.site.crs, &scene.view))
            (compass::scale_bar(&scene.view, units))
        }
    })
}

/// Marks that are switched on and off together.
fn layer(layer: Layer, marks: &Markup) -> Markup {
    html! { g class=(format!("layer layer-{}", layer.name())) { (marks) } }
}

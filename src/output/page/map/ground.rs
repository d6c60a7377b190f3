//! Areas: parcels, the ground that drains onto the lot, ponds, buildings.

use super::super::super::features::{pond_ground, unparcelled_ground};
use super::super::super::rows::parcel;
use super::super::super::style;
use super::Scene;
use geo::MultiPolygon;
use maud::{Markup, html};

/// Parcels whose water reaches the lot, darker with their share.
pub(super) fn contributors(scene: &Scene<'_>) -> Markup {
    let assessment = scene.assessment;
    let run_on_m2 = assessment.drainage.run_on_m2;
    html! {
        @for row in &assessment.drainage.contributions {
            @let colour = style::share_colour(row.area_m2 / run_on_m2);
            @let area = parcel(assessment, row.label).map_or_else(|| unparcelled_ground(assessment), |it| it.outline.clone());
            path d=(scene.view.area(&area)) fill=(colour) fill-opacity="0.6" {}
        }
    }
}

/// Ground of which at least half the water reaches the lot.
pub(super) fn catchment(scene: &Scene<'_>) -> Markup {
    html! { path class="catchment" d=(scene.view.area(&scene.catchment)) stroke=(style::PATH) {} }
}

/// Ponds on the lot and on ground that drains onto it.
pub(super) fn ponds(scene: &Scene<'_>) -> Markup {
    html! {
        @for pond in &scene.assessment.ponds {
            path class="pond" d=(scene.view.area(&pond_ground(scene.assessment, pond))) fill=(style::POND) {}
        }
    }
}

/// All lot lines of the view.
pub(super) fn lot_lines(scene: &Scene<'_>) -> Markup {
    let parcels = &scene.assessment.site.parcels;
    let (min, max) = (scene.view.ground.min(), scene.view.ground.max());
    html! {
        @for place in parcels.within(min.x, min.y, max.x, max.y) {
            path class="lot-line" d=(scene.view.area(&parcels.parcels()[place].outline)) {}
        }
    }
}

/// The lot that the map is about.
pub(super) fn subject(scene: &Scene<'_>) -> Markup {
    let outline: &MultiPolygon = scene.assessment.line.lot();
    html! { path class="subject" d=(scene.view.area(outline)) stroke=(style::LOT.0) {} }
}

/// Footprints of buildings.
pub(super) fn buildings(scene: &Scene<'_>) -> Markup {
    let (min, max) = (scene.view.ground.min(), scene.view.ground.max());
    html! {
        @if let Some(buildings) = &scene.assessment.site.beside.buildings {
            @for place in buildings.within(min.x, min.y, max.x, max.y) {
                path class="building" d=(scene.view.area(&buildings.patches()[place].outline)) {}
            }
        }
    }
}

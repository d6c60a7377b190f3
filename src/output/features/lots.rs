//! The lot, and the parcels that contribute.

use super::super::certainty::of_contributor;
use super::super::design::portion_of;
use super::super::mark::{Mark, Shape, properties};
use super::super::mask::outline;
use super::super::proof;
use super::super::rows::{parcel, whose};
use super::super::screen::Units;
use super::super::style;
use super::super::summary::Receiver;
use super::arriving;
use crate::lots::Label;
use crate::pipeline::Assessment;
use crate::wording::percent;
use serde_json::json;

/// The subject lot.
pub(in crate::output) fn lot(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let subject = &assessment.site.parcels.parcels()[assessment.site.parcels.subject()];
    let shape = Shape::area(&subject.outline);
    let run_on = units.area(assessment.drainage.run_on_m2);
    let mut map = properties(json!({
        "id": subject.id,
        "area_m2": subject.area_m2,
        "run_on_area_m2": assessment.drainage.run_on_m2,
        "title": format!("Lot {}", subject.id),
        "description": format!("Rain from {run_on} outside this lot reaches it over the present surface."),
    }));
    style::line(&mut map, style::LOT.0, style::LOT.1);
    style::fill(&mut map, style::LOT.0, 0.05);
    vec![Mark::new("subject-lot", shape, map)]
}

/// Parcels that contribute, with their outlines; land without a parcel with the ground that contributes.
pub(in crate::output) fn contributors(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let by_lot = assessment.design.flows().map(|flows| &flows.by_lot);
    let mut found = Vec::new();
    for row in &assessment.drainage.contributions {
        let water = portion_of(by_lot, row.label);
        let owner = parcel(assessment, row.label);
        let ground = owner.map_or_else(|| unparcelled_ground(assessment), |parcel| parcel.outline.clone());
        let share = row.area_m2 / assessment.drainage.run_on_m2;
        let sure = of_contributor(assessment, row.label);
        let name = whose(owner.map(|p| p.id.as_str()));
        let mut map = properties(json!({
            "id": owner.map(|p| p.id.clone()),
            "also": owner.map_or_else(Vec::new, |p| p.also.clone()),
            "contributor": if owner.is_some() { Receiver::Parcel } else { Receiver::Unparcelled },
            "area_m2": row.area_m2,
            "straight_area_m2": row.straight_m2,
            "handed_over_area_m2": row.handed_over_m2,
            "share_of_run_on": share,
            "share_of_parcel": owner.map(|p| row.area_m2 / p.area_m2),
            "flow_m3_s": water.map(|w| w.flow_m3_s),
            "volume_m3": water.and_then(|w| w.volume_m3),
            "likelihood": sure.as_ref().map(|sure| sure.likelihood),
            "verdict": sure.as_ref().map(|sure| sure.verdict),
            "left_area_m2": proof::left_m2(assessment, row.label),
            "title": format!("{} from {name}", percent(share)),
            "description": format!(
                "{} of it drain onto the lot, {:.1} % of the run-on; water of {} crosses from it onto the lot.{}{}",
                units.area(row.area_m2),
                share * 100.0,
                units.area(row.handed_over_m2),
                water.map_or(String::new(), |w| format!(" Its part of the peak: {}.", units.flow(w.flow_m3_s))),
                sure.as_ref().map_or(String::new(), |sure| format!(" {}", sure.sentence(units)))
            ),
        }));
        style::line(&mut map, "#6b5b45", 1.0);
        style::fill(&mut map, style::share_colour(share), 0.45);
        // Land without a parcel of which no cell sends half its water has nothing to draw, but stays in the list.
        found.push(Mark::listed("contributor", Shape::Area(ground), map));
    }
    found
}

/// Land without a parcel of which at least half the water reaches the lot.
pub(in crate::output) fn unparcelled_ground(assessment: &Assessment<'_>) -> geo::MultiPolygon<f64> {
    let routed = &assessment.routed;
    let lots = &routed.ground.lots;
    let holds = |cell: usize| lots.label(cell) == Label::UNPARCELLED && arriving(assessment, cell) >= 0.5;
    outline(lots.shape(), routed.ground.georef, (0..lots.shape().len()).filter(|&cell| holds(cell)))
}

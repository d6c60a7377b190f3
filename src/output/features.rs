//! One function per kind of feature.

mod lots;
mod water;

pub(super) use lots::{contributors, lot, unparcelled_ground};
pub(super) use water::{
    contributing_area, contributing_ground, crossings, flow_paths, inlets, longest_ways, pond_ground, ponds,
};

use super::line::Part;
use super::mark::{Mark, Shape, properties};
use super::screen::Units;
use super::style;
use crate::pipeline::Assessment;
use serde_json::json;

fn arriving(assessment: &Assessment<'_>, cell: usize) -> f64 {
    let routed = &assessment.routed;
    if routed.is_subject(cell) {
        return 0.0;
    }
    routed.reach.place(cell).map_or(0.0, |place| routed.arrival.at_place(place))
}

/// The proposed line, part by part, drawn towards its lower end.
pub(super) fn interception_line(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let mut found = Vec::new();
    let parts = assessment.interception.parts.iter().zip(&assessment.outlets).zip(&assessment.drains.parts);
    for ((part, outlets), drain) in parts {
        let shape = Shape::line(&part.path);
        let row = Part::of(assessment, part, outlets, drain.as_ref());
        let mut map = properties(json!({
            "id": row.id,
            "part": "line",
            "from_m": row.from_m,
            "to_m": row.to_m,
            "length_m": row.length_m,
            "setback_m": row.setback_m,
            "from_ground_m": row.from_ground_m,
            "to_ground_m": row.to_ground_m,
            "from_invert_m": row.from_invert_m,
            "to_invert_m": row.to_invert_m,
            "contributing_area_m2": row.contributing_area_m2,
            "flow_m3_s": row.flow_m3_s,
            "grade": row.grade,
            "section": row.section,
            "capacity_m3_s": row.capacity_m3_s,
            "title": format!("Interception line, part {}", row.id),
            "description": format!(
                "{} of line, {} inside the lot line; rain of {} reaches it.",
                units.length(row.length_m), units.length(row.setback_m), units.area(row.contributing_area_m2)
            ),
        }));
        style::line(&mut map, style::LINE.0, style::LINE.1);
        found.push(Mark::new("interception-line", shape, map));
        if let (Some(way), Some(outlet)) = (outlets.proposed(), row.outlet) {
            let mut map = properties(json!({
                "id": row.id,
                "part": "route",
                "outlet": outlet.id,
                "outlet_kind": outlet.kind,
                "verdict": outlet.verdict,
                "outlet_invert_m": outlet.invert_m,
                "length_m": outlet.lead_m,
                "parcels": outlet.parcels,
                "bends": outlet.lead_bends,
                "title": format!("Way of part {} to its outlet", row.id),
                "description": format!("{} of solid pipe, {}.", units.length(outlet.lead_m), outlet.words(units)),
            }));
            style::line(&mut map, style::LINE.0, style::ROUTE_WIDTH);
            found.push(Mark::new("interception-line", Shape::line(&way.way.lead), map));
        }
    }
    found
}

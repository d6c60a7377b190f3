//! The proof on the map: who receives more or less, and the ways of what is let out.

use super::super::mark::{Mark, Shape, properties};
use super::super::rows::{parcel, whose};
use super::super::screen::Units;
use super::super::style;
use super::{DischargeRow, received_rows};
use crate::pipeline::Assessment;
use geo::{Coord, LineString};
use serde_json::json;

/// Parcels to which more or less of the taken water comes than before.
pub(in crate::output) fn received(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let Some(proof) = &assessment.proof else { return Vec::new() };
    let least_m2 = proof.least_change_m2();
    let mut found = Vec::new();
    for (label, row) in received_rows(assessment, proof) {
        let Some(parcel) = parcel(assessment, label).filter(|_| row.change_m2.abs() > least_m2) else {
            continue;
        };
        let shape = Shape::area(&parcel.outline);
        let more = if row.change_m2 > 0.0 { "more" } else { "less" };
        let mut map = properties(json!({
            "id": row.id,
            "without_m2": row.without_m2,
            "with_m2": row.with_m2,
            "change_m2": row.change_m2,
            "title": format!("{} with the line: {} {more}", whose(row.id.as_deref()), units.area(row.change_m2.abs())),
            "description": format!(
                "Of the water that the line takes, the rain of {} came here without it and of {} comes here with it.",
                units.area(row.without_m2), units.area(row.with_m2)
            ),
        }));
        let colour = style::CHANGES[usize::from(row.change_m2 > 0.0)];
        style::line(&mut map, colour, 1.0);
        style::fill(&mut map, colour, 0.15);
        found.push(Mark::new("received-change", shape, map));
    }
    found
}

/// The ways of let-out water over the ground, downwards.
pub(in crate::output) fn discharge_ways(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let Some(proof) = &assessment.proof else { return Vec::new() };
    let mut found = Vec::new();
    for (place, way) in proof.proof.ways.iter().enumerate() {
        let Some(way) = way else { continue };
        let shape = Shape::line(&cells_line(assessment, &way.cells));
        let row = DischargeRow::of(assessment, proof, place);
        let mut map = properties(json!({
            "id": row.part,
            "area_m2": proof.proof.taken[place].total_m2(),
            "passes": row.passes,
            "first_inlet": row.first_inlet,
            "ends": row.ends,
            "title": format!("Where the water of part {} runs", row.part),
            "description": format!("The main way downstream from its outlet; the rain of {}.", units.area(proof.proof.taken[place].total_m2())),
        }));
        style::line(&mut map, style::DISCHARGE.0, style::DISCHARGE.1);
        found.push(Mark::new("discharge-way", shape, map));
    }
    found
}

/// Through the middles of cells.
pub(in crate::output) fn cells_line(assessment: &Assessment<'_>, cells: &[usize]) -> LineString {
    let ground = &assessment.routed.ground;
    let centre = |&cell: &usize| {
        let (x, y) = ground.georef.centre(ground.raw.shape().cell(cell));
        Coord { x, y }
    };
    LineString::new(cells.iter().map(centre).collect())
}

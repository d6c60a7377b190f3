//! Why, on the map.

use super::super::mark::{Mark, Shape, properties};
use super::super::proof::cells_line;
use super::super::screen::Units;
use super::super::style;
use super::{DecisionRow, ExplanationRow, WayRow, decision_row, middle, way_row};
use crate::pipeline::{Assessment, Decision, ExplainedWay};
use crate::wording::called;
use serde_json::json;

/// Ways, and deciding places with the way that dammed water would take over them.
///
/// # Errors
/// A place that can't be given in longitude and latitude.
pub(in crate::output) fn why_marks(
    assessment: &Assessment<'_>,
    units: Units,
) -> Result<Vec<Mark>, super::OutputError> {
    let rows: Vec<ExplanationRow> = super::explanation_rows(assessment)?;
    let mut marks = Vec::new();
    for (found, row) in assessment.explanations.iter().zip(&rows) {
        let comes = found.comes.iter().map(|it| (true, it.way.as_ref(), it.decision.as_ref()));
        let goes = found.goes.iter().map(|it| (false, Some(&it.way), it.decision.as_ref()));
        for (reaches_lot, way, decision) in comes.chain(goes) {
            if let Some(way) = way.filter(|way| way.cells.len() > 1) {
                marks.push(way_mark(assessment, (row, reaches_lot), way, units));
            }
            if let Some(decision) = decision {
                marks.extend(decision_marks(assessment, (row, reaches_lot), decision, units)?);
            }
        }
    }
    Ok(marks)
}

fn way_mark(
    assessment: &Assessment<'_>,
    (row, reaches_lot): (&ExplanationRow, bool),
    way: &ExplainedWay,
    units: Units,
) -> Mark {
    let WayRow { length_m, fall_m, slope, .. } = way_row(assessment, way);
    let where_to = if reaches_lot { "to the lot" } else { "elsewhere" };
    let mut map = properties(json!({
        "parcel": row.id,
        "reaches_lot": reaches_lot,
        "length_m": length_m,
        "fall_m": fall_m,
        "slope": slope,
        "title": format!("Way of water from {} {where_to}", called("parcel", &row.id)),
        "description": format!("{} long, falling {}.", units.length(length_m), units.level(fall_m)),
    }));
    style::line(&mut map, style::WHY, 2.0);
    Mark::new("why-way", Shape::line(&cells_line(assessment, &way.cells)), map)
}

fn decision_marks(
    assessment: &Assessment<'_>,
    (row, reaches_lot): (&ExplanationRow, bool),
    found: &Decision,
    units: Units,
) -> Result<Vec<Mark>, super::OutputError> {
    let DecisionRow { kind, rise_m, length_m, within_error, .. } = decision_row(assessment, found)?;
    let value = json!({
        "parcel": row.id,
        "reaches_lot": reaches_lot,
        "decides": kind,
        "rise_m": rise_m,
        "length_m": length_m,
        "within_error": within_error,
        "title": format!("What decides for {}", called("parcel", &row.id)),
        "description": format!("{} above the way of the water.", units.level(rise_m)),
    });
    let point =
        Mark::point("why-decision", middle(assessment, found.turning.sill), style::WHY, value.clone());
    let mut map = properties(value);
    style::line(&mut map, style::WHY, 1.0);
    let line = Mark::new("why-turning", Shape::line(&cells_line(assessment, &found.turning.cells)), map);
    Ok(vec![line, point])
}

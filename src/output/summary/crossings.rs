//! Crossings of the lot line.

use super::super::contributors::share;
use super::super::design::{CrossingStorm, portion_of};
use super::super::proof::left_at_m2;
use super::super::rows::id;
use crate::lots::{Crossing, Manner};
use crate::pipeline::Assessment;
use serde::Serialize;

/// One crossing.
#[derive(Debug, Clone, Serialize)]
pub struct CrossingRow {
    /// Counted from 1, by ring and start.
    pub id: usize,
    /// Ring of the lot line.
    pub ring: usize,
    /// Start along it.
    pub from_m: f64,
    /// End along it.
    pub to_m: f64,
    /// Area whose rain enters here.
    pub area_m2: f64,
    /// Of it, what is left on the lot with the line in place; nothing without a line.
    pub left_area_m2: Option<f64>,
    /// Of the whole run-on.
    pub share_of_run_on: f64,
    /// Whether none of it comes from the edge of the data.
    pub complete: bool,
    /// How the water crosses.
    pub manner: Manner,
    /// Shortest width that carries 80 %.
    pub width_80_m: f64,
    /// Peak flow in the design storm.
    pub flow_m3_s: Option<f64>,
    /// What that rests on.
    pub storm: Option<CrossingStorm>,
    /// Where the rain fell.
    pub contributors: Vec<CrossingContributor>,
}

/// Part of a crossing's water.
#[derive(Debug, Clone, Serialize)]
pub struct CrossingContributor {
    /// The lot, or nothing.
    pub id: Option<String>,
    /// Area of it whose rain enters here.
    pub area_m2: f64,
    /// Its part of the crossing's peak.
    pub flow_m3_s: Option<f64>,
    /// Its runoff in the whole storm.
    pub volume_m3: Option<f64>,
}

pub(super) fn crossings(assessment: &Assessment<'_>) -> Vec<CrossingRow> {
    let rows = assessment.drainage.crossings.iter().zip(1..);
    rows.map(|(crossing, number)| crossing_row(assessment, crossing, number)).collect()
}

fn crossing_row(assessment: &Assessment<'_>, crossing: &Crossing, number: usize) -> CrossingRow {
    let flows = assessment.design.flows();
    let found = flows.map(|flows| &flows.crossings[number - 1]);
    CrossingRow {
        id: number,
        ring: crossing.ring,
        from_m: crossing.from_m,
        to_m: crossing.to_m,
        area_m2: crossing.area_m2,
        left_area_m2: left_at_m2(assessment, crossing),
        share_of_run_on: share(crossing.area_m2, assessment.drainage.run_on_m2),
        complete: crossing.complete,
        manner: crossing.manner,
        width_80_m: crossing.width_80_m,
        flow_m3_s: found.map(|found| found.peak.flow.as_m3_per_s()),
        storm: flows.zip(found).map(|(flows, found)| CrossingStorm::of(flows, found)),
        contributors: crossing
            .origins
            .iter()
            .map(|&(label, area_m2)| {
                let water = portion_of(found.map(|found| &found.by_lot), label);
                CrossingContributor {
                    id: id(assessment, label),
                    area_m2,
                    flow_m3_s: water.map(|w| w.flow_m3_s),
                    volume_m3: water.and_then(|w| w.volume_m3),
                }
            })
            .collect(),
    }
}

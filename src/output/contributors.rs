//! Who gives the run-on, as `summary.json` gives it.

use super::certainty::of_contributor;
use super::design::{LotCover, portion_of};
use super::rows::parcel;
use super::summary::{Receiver, kind};
use crate::certainty::Verdict;
use crate::lots::Label;
use crate::pipeline::Assessment;
use serde::Serialize;
use std::collections::BTreeMap;

/// One contributor.
#[derive(Debug, Clone, Serialize)]
pub struct Contributor {
    /// The lot, or nothing.
    pub id: Option<String>,
    /// Other ids with the same outline.
    pub also: Vec<String>,
    /// Parcel or not.
    pub kind: Receiver,
    /// Area of it whose rain reaches the lot.
    pub area_m2: f64,
    /// Of that, what crosses no other lot line before.
    pub straight_area_m2: f64,
    /// Area whose rain crosses from it onto the lot.
    pub handed_over_area_m2: f64,
    /// Of the whole run-on.
    pub share_of_run_on: f64,
    /// Of the whole parcel.
    pub share_of_parcel: Option<f64>,
    /// The same area under the other routing.
    pub other_routing_area_m2: Option<f64>,
    /// Its part of the peak of the whole run-on in the design storm.
    pub flow_m3_s: Option<f64>,
    /// Its runoff in the whole storm.
    pub volume_m3: Option<f64>,
    /// The same by kind of ground, so that a lot's roof has a row of its own; empty without a design storm.
    pub by_cover: Vec<LotCover>,
    /// Likelihood under elevation error, when it was asked for.
    pub likelihood: Option<f64>,
    /// Verdict under elevation error, when it was asked for.
    pub verdict: Option<Verdict>,
    /// Fields that were asked to be kept.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub fields: BTreeMap<String, String>,
}

/// One row for each, in the ledger's order.
pub(super) fn contributors(assessment: &Assessment<'_>) -> Vec<Contributor> {
    let run_on_m2 = assessment.drainage.run_on_m2;
    let flows = assessment.design.flows();
    let other = |label: Label| {
        assessment.routed.other.is_some().then(|| {
            assessment.other_routing.iter().find(|&&(l, _)| l == label).map_or(0.0, |&(_, area)| area)
        })
    };
    assessment
        .drainage
        .contributions
        .iter()
        .map(|row| {
            let parcel = parcel(assessment, row.label);
            let water = portion_of(flows.map(|f| &f.by_lot), row.label);
            let sure = of_contributor(assessment, row.label);
            Contributor {
                id: parcel.map(|p| p.id.clone()),
                also: parcel.map_or_else(Vec::new, |p| p.also.clone()),
                kind: kind(row.label),
                area_m2: row.area_m2,
                straight_area_m2: row.straight_m2,
                handed_over_area_m2: row.handed_over_m2,
                share_of_run_on: share(row.area_m2, run_on_m2),
                share_of_parcel: parcel.map(|p| share(row.area_m2, p.area_m2)),
                other_routing_area_m2: other(row.label),
                flow_m3_s: water.map(|w| w.flow_m3_s),
                volume_m3: water.and_then(|w| w.volume_m3),
                by_cover: flows.map_or_else(Vec::new, |flows| LotCover::all_of(flows, row.label)),
                likelihood: sure.as_ref().map(|sure| sure.likelihood),
                verdict: sure.map(|sure| sure.verdict),
                fields: parcel.map_or_else(BTreeMap::new, |p| p.kept.iter().cloned().collect()),
            }
        })
        .collect()
}

/// Part of a whole; 0 of nothing.
pub(super) fn share(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

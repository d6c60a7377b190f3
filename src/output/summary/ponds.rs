//! Ponds on the lot and its catchment.

use super::{Receiver, receiver};
use crate::pipeline::Assessment;
use crate::units::Length;
use serde::Serialize;

/// One pond.
#[derive(Debug, Clone, Serialize)]
pub struct PondRow {
    /// Number, the largest first.
    pub id: usize,
    /// Level of the spill point.
    pub level_m: f64,
    /// Greatest depth.
    pub depth_m: f64,
    /// Area when full.
    pub area_m2: f64,
    /// Volume when full.
    pub volume_m3: f64,
    /// Lot or inlet that it spills to.
    pub spills_to: Option<String>,
    /// Kind of receiver.
    pub spills_to_kind: Receiver,
    /// Depth of runoff, the same everywhere above, at which it starts to pass water on towards the lot; nothing where
    /// no water on its way to the lot comes to it.
    pub starts_at_mm: Option<f64>,
    /// What it does in the design storm; nothing without a depth of rain and curve numbers.
    pub storm: Option<PondStorm>,
}

/// A pond in the design storm, of the water on its way to the lot.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct PondStorm {
    /// What comes into it.
    pub inflow_m3: f64,
    /// What goes on.
    pub passed_m3: f64,
}

pub(super) fn ponds(assessment: &Assessment<'_>) -> Vec<PondRow> {
    let numbered = assessment.ponds.iter().zip(1..);
    numbered
        .map(|(found, number)| {
            let (spills_to, spills_to_kind) = receiver(assessment, found.spills_to);
            let in_storm = assessment.spilling.ledger.ponds.iter().find(|p| p.id == found.pond.id);
            PondRow {
                id: number,
                level_m: found.pond.level_m,
                depth_m: found.pond.depth_m,
                area_m2: found.pond.area_m2,
                volume_m3: found.pond.volume_m3,
                spills_to,
                spills_to_kind,
                starts_at_mm: in_storm.and_then(|p| p.starts_at).map(Length::as_mm),
                storm: in_storm
                    .filter(|_| assessment.spilling.is_known)
                    .map(|p| PondStorm { inflow_m3: p.inflow.as_m3(), passed_m3: p.passed.as_m3() }),
            }
        })
        .collect()
}

//! The storm's ledger of ponds.

use super::super::rows::id;
use crate::pipeline::Assessment;
use crate::runoff::LotDesign;
use serde::Serialize;

/// The storm's ledger: ponds fill first and pass on what is left. The ledger of areas takes all of them as full.
#[derive(Debug, Clone, Serialize)]
pub struct PondsLedger {
    /// What reaches the lot.
    pub arriving_m3: f64,
    /// What stays in ponds on the way.
    pub held_back_m3: f64,
    /// By lot where the rain fell, the largest first; adds up to what reaches the lot.
    pub contributors: Vec<VolumeRow>,
    /// By crossing, in their order; the same.
    pub crossings: Vec<f64>,
}

/// Water of one lot.
#[derive(Debug, Clone, Serialize)]
pub struct VolumeRow {
    /// The lot, or nothing.
    pub id: Option<String>,
    /// Its runoff that reaches the lot.
    pub volume_m3: f64,
}

impl PondsLedger {
    pub(super) fn of(assessment: &Assessment<'_>, flows: &LotDesign) -> Option<Self> {
        let volume = flows.volume?;
        let ledger = &assessment.spilling.ledger;
        Some(Self {
            arriving_m3: ledger.arriving.as_m3(),
            held_back_m3: (volume - ledger.arriving).as_m3().max(0.0),
            contributors: ledger
                .contributions
                .iter()
                .map(|&(label, volume)| VolumeRow { id: id(assessment, label), volume_m3: volume.as_m3() })
                .collect(),
            crossings: assessment.drainage.crossings.iter().map(|c| ledger.through(c).as_m3()).collect(),
        })
    }
}

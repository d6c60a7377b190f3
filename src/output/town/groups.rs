//! Complaints that hang together, as rows.

use super::fields::complaints;
use super::rounded;
use crate::lots::Label;
use crate::output::rows::whose;
use crate::pipeline::{CommonSource, Screening};
use serde::Serialize;

/// Sources of a group that are named.
const NAMED: usize = 5;

/// Complaints whose water comes from the same ground.
#[derive(Debug, Clone, Serialize)]
pub struct GroupRow {
    /// The lots, with the numbers of their complaints.
    pub lots: Vec<GroupLot>,
    /// Ground that gives at least a tenth of the run-on of one of them, that which most have upstream first.
    pub sources: Vec<SourceRow>,
}

/// One lot of a group.
#[derive(Debug, Clone, Serialize)]
pub struct GroupLot {
    /// Its id.
    pub id: String,
    /// Numbers of the complaints.
    pub complaints: String,
}

/// Ground that several lots get water from.
#[derive(Debug, Clone, Serialize)]
pub struct SourceRow {
    /// Its id; nothing for land without a parcel.
    pub id: Option<String>,
    /// How many lots of the group get at least a tenth of their run-on from it.
    pub lots: usize,
    /// What they get from it together, m².
    pub area_m2: f64,
}

impl SourceRow {
    /// Name for a sentence.
    pub(super) fn name(&self) -> String {
        whose(self.id.as_deref())
    }
}

/// All groups, the largest first.
pub(super) fn groups(screening: &Screening<'_>) -> Vec<GroupRow> {
    let lot = |&label: &Label| {
        let found = screening.lot(label)?;
        let id = screening.id(label)?.to_owned();
        Some(GroupLot { id, complaints: complaints(screening, found) })
    };
    let source = |found: &CommonSource| SourceRow {
        id: screening.id(found.source).map(str::to_owned),
        lots: found.lots,
        area_m2: rounded(found.area_m2, 2),
    };
    screening
        .causes
        .iter()
        .map(|cause| GroupRow {
            lots: cause.lots.iter().filter_map(lot).collect(),
            sources: cause.sources.iter().take(NAMED).map(source).collect(),
        })
        .collect()
}

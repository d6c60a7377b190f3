//! Flows and volumes by kind of ground.

use crate::lots::Label;
use crate::runoff::{LotDesign, Portion};
use crate::units::Volume;
use serde::Serialize;
use std::collections::BTreeMap;

/// Water of one kind of ground.
#[derive(Debug, Clone, Serialize)]
pub struct CoverFlow {
    /// The kind.
    pub cover: String,
    /// Its area within the run-on.
    pub area_m2: f64,
    /// That of it whose water is in the peak.
    pub joined_area_m2: f64,
    /// Its runoff coefficient.
    pub runoff_coefficient: Option<f64>,
    /// Where that comes from.
    pub coefficient_from: String,
    /// Its curve number.
    pub curve_number: Option<f64>,
    /// Where that comes from; nothing without one.
    pub curve_number_from: Option<String>,
    /// Where the figures of its travel times come from.
    pub times_from: String,
    /// Its part of the peak.
    pub flow_m3_s: f64,
    /// Its runoff in the whole storm.
    pub volume_m3: Option<f64>,
}

/// Ground of one kind on one lot.
#[derive(Debug, Clone, Serialize)]
pub struct LotCover {
    /// The kind.
    pub cover: String,
    /// Whether its water is off at once: roofs and paving.
    #[serde(skip)]
    pub is_fast: bool,
    /// Its area within the run-on.
    pub area_m2: f64,
    /// Its part of the peak of the whole run-on.
    pub flow_m3_s: f64,
    /// Its runoff in the whole storm.
    pub volume_m3: Option<f64>,
}

impl LotCover {
    /// What a lot's part is made of.
    pub(in crate::output) fn all_of(flows: &LotDesign, label: Label) -> Vec<Self> {
        let of_lot = flows.by_lot_and_kind.range((label, 0)..=(label, usize::MAX));
        let row = |(&(_, kind), portion): (&(Label, usize), &Portion)| Self {
            cover: flows.kinds[kind].name.clone(),
            is_fast: flows.kinds[kind].fast,
            area_m2: portion.area.as_m2(),
            flow_m3_s: portion.flow.as_m3_per_s(),
            volume_m3: portion.volume.map(Volume::as_m3),
        };
        of_lot.map(row).collect()
    }
}

/// Flow and volume of one part of the water.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct PortionRow {
    /// Its part of the peak.
    pub flow_m3_s: f64,
    /// Its runoff in the whole storm.
    pub volume_m3: Option<f64>,
}

impl PortionRow {
    pub(in crate::output) fn of(portion: &Portion) -> Self {
        Self { flow_m3_s: portion.flow.as_m3_per_s(), volume_m3: portion.volume.map(Volume::as_m3) }
    }
}

/// Portions by lot, found by label.
pub(in crate::output) fn portion_of(
    by_lot: Option<&BTreeMap<Label, Portion>>,
    label: Label,
) -> Option<PortionRow> {
    Some(PortionRow::of(by_lot?.get(&label)?))
}

pub(super) fn covers(flows: &LotDesign, by_kind: &BTreeMap<usize, Portion>) -> Vec<CoverFlow> {
    by_kind
        .iter()
        .map(|(&place, portion)| {
            let kind = &flows.kinds[place];
            CoverFlow {
                cover: kind.name.clone(),
                area_m2: portion.area.as_m2(),
                joined_area_m2: portion.joined.as_m2(),
                runoff_coefficient: kind.coefficient.map(f64::from),
                coefficient_from: kind.coefficient_from.clone(),
                curve_number: kind.curve_number.map(f64::from),
                curve_number_from: kind.curve_number.map(|_| kind.curve_number_from.clone()),
                times_from: kind.times_from.clone(),
                flow_m3_s: portion.flow.as_m3_per_s(),
                volume_m3: portion.volume.map(Volume::as_m3),
            }
        })
        .collect()
}

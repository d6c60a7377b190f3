//! The graphical peak, and the course of the flood.

use crate::formula::graphical_peak::RainfallType;
use crate::formula::hydrograph::Triangle;
use crate::pipeline::Assessment;
use crate::runoff::LotDesign;
use serde::Serialize;

/// Cubic feet per second, square mile and inch in SI: 0.3048^3 / (2.589 988 km2 x 25.4 mm), with 1 mile = 1609.344 m.
const M3_S_KM2_MM_PER_CSM_IN: f64 = 0.3048 * 0.3048 * 0.3048 / (1.609_344 * 1.609_344 * 25.4);

/// Flow that rises and falls in straight lines.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Hydrograph {
    /// Its highest flow.
    pub peak_m3_s: f64,
    /// All of its water.
    pub volume_m3: f64,
    /// From its start to its peak.
    pub rise_min: f64,
    /// From its start to its end.
    pub base_min: f64,
}

/// A peak by the graphical method and what it rests on.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Graphical {
    /// How the rain of a day is spread over it.
    pub rainfall_type: RainfallType,
    /// The peak.
    pub flow_m3_s: f64,
    /// Mean runoff.
    pub runoff_depth_mm: f64,
    /// Curve number by which the rain has that runoff.
    pub curve_number: f64,
    /// Initial abstraction by rain.
    pub abstraction_share: f64,
    /// Time of concentration that counts.
    pub concentration_min: f64,
    /// Whether that is the method's least time.
    pub least_governs: bool,
    /// Peak by area and depth of runoff.
    pub unit_peak_m3_s_km2_mm: f64,
    /// Share of the catchment that ponds cover.
    pub pond_share: f64,
    /// What they leave of the peak.
    pub pond_factor: f64,
}

impl Hydrograph {
    pub(super) fn of(flood: &Triangle) -> Self {
        Self {
            peak_m3_s: flood.peak().as_m3_per_s(),
            volume_m3: flood.volume().as_m3(),
            rise_min: flood.rise().as_min(),
            base_min: flood.base().as_min(),
        }
    }
}

impl Graphical {
    pub(super) fn of(assessment: &Assessment<'_>, flows: &LotDesign) -> Option<Self> {
        let asked = assessment.settings.storm.graphical?;
        let found = flows.graphical?;
        Some(Self {
            rainfall_type: asked.rainfall_type,
            flow_m3_s: found.flow.as_m3_per_s(),
            runoff_depth_mm: found.runoff.as_mm(),
            curve_number: found.number.get(),
            abstraction_share: found.abstraction_share,
            concentration_min: found.time.as_min(),
            least_governs: found.least_counts,
            unit_peak_m3_s_km2_mm: found.unit_peak_csm_in * M3_S_KM2_MM_PER_CSM_IN,
            pond_share: asked.pond_share.get(),
            pond_factor: found.pond_factor,
        })
    }
}

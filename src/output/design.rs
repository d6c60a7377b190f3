//! The design storm and its flows, as `summary.json` gives them.

mod covers;
mod graphical;
mod ponds;
mod times;

pub use covers::{CoverFlow, PortionRow};
pub(super) use covers::{LotCover, portion_of};
pub(super) use graphical::{Graphical, Hydrograph};
pub use ponds::{PondsLedger, VolumeRow};
pub use times::{CrossingStorm, OtherTime, SegmentRow, TimeRow};

use covers::covers;
use times::minutes;

use crate::interceptor::{CHAMBER, GROUND_WATER, SIZING};
use crate::pipeline::Assessment;
use crate::runoff::{Citation, methods_used};
use crate::runoff::{LotDesign, Rain};
use crate::units::{Length, Volume};
use serde::Serialize;

/// Storm, cover and flow.
#[derive(Debug, Clone, Serialize)]
pub struct Design {
    /// The storm that gives the peak of the whole run-on.
    pub storm: Storm,
    /// Peak of the whole run-on.
    pub flow_m3_s: f64,
    /// Plain sum of the crossings' own peaks: the peak can't be higher.
    pub upper_bound_m3_s: f64,
    /// Whether the peak comes before all of the ground has joined in.
    pub partial: bool,
    /// Runoff of the whole storm; nothing without a depth of rain and curve numbers.
    pub volume_m3: Option<f64>,
    /// Depth of rain that the volume is of.
    pub rain_depth_mm: Option<f64>,
    /// What a volume lacks, in words.
    pub volume_needs: Vec<String>,
    /// What of that volume reaches the lot when ponds on the way have filled first; nothing without a volume.
    pub ponds: Option<PondsLedger>,
    /// How the flow was found.
    pub method: String,
    /// Composite runoff coefficient.
    pub runoff_coefficient: f64,
    /// The course of the flood; nothing without a volume.
    pub hydrograph: Option<Hydrograph>,
    /// The peak by the graphical method, where it was asked for and holds.
    pub graphical: Option<Graphical>,
    /// By kind of ground, at the peak of the whole; flows and volumes add up to the whole's.
    pub by_cover: Vec<CoverFlow>,
    /// What every number is by: equation and source.
    pub methods: Vec<Citation>,
}

/// The design storm.
#[derive(Debug, Clone, Serialize)]
pub struct Storm {
    /// Return period, where it is known.
    pub return_period_years: Option<f64>,
    /// Duration, where it is known.
    pub duration_min: Option<f64>,
    /// Intensity.
    pub intensity_mm_h: f64,
    /// Where it comes from.
    pub source: String,
    /// The rain that was given, in words: of a table its series and what it says of itself.
    pub rain: String,
    /// Whether that is a table, of which the intensity's own words say nothing.
    #[serde(skip)]
    pub is_by_table: bool,
}

impl Design {
    pub(super) fn of(assessment: &Assessment<'_>) -> Option<Self> {
        let flows = assessment.design.flows()?;
        let rain = &flows.peak.rain;
        Some(Self {
            storm: Storm {
                return_period_years: assessment.settings.storm.years(),
                duration_min: minutes(rain),
                intensity_mm_h: rain.intensity.as_mm_per_h(),
                source: rain.how.clone(),
                is_by_table: assessment.settings.storm.rain.as_ref().is_some_and(Rain::is_by_table),
                rain: assessment.settings.storm.rain.as_ref().map_or_else(String::new, Rain::words),
            },
            flow_m3_s: flows.peak.flow.as_m3_per_s(),
            upper_bound_m3_s: flows.bound.as_m3_per_s(),
            partial: flows.peak.is_partial(),
            volume_m3: flows.volume.map(Volume::as_m3),
            rain_depth_mm: flows.depth.map(Length::as_mm),
            volume_needs: flows.volume_needs.clone(),
            ponds: PondsLedger::of(assessment, flows),
            hydrograph: flows.hydrograph.as_ref().map(Hydrograph::of),
            graphical: Graphical::of(assessment, flows),
            method: "rational method".to_owned(),
            runoff_coefficient: flows.coefficient.get(),
            by_cover: covers(flows, &flows.by_kind),
            methods: methods(assessment, flows),
        })
    }
}

/// Equations of the flows, and of the line that is sized by them.
fn methods(assessment: &Assessment<'_>, flows: &LotDesign) -> Vec<Citation> {
    let mut methods = methods_used(&assessment.settings.storm, flows);
    if assessment.interception.parts.iter().any(|part| part.sizing.is_some()) {
        methods.extend(SIZING);
    }
    if assessment.ground_water.iter().any(Option::is_some) {
        methods.extend(GROUND_WATER);
    }
    if assessment.chambers.iter().any(Option::is_some) {
        methods.extend(CHAMBER);
    }
    methods
}

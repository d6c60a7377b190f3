//! The design storm and its flows, as `summary.json` gives them.

use super::rows::id;
use super::said::Said;
use crate::formula::graphical_peak::RainfallType;
use crate::formula::hydrograph::Triangle;
use crate::formula::sheet_flow::SheetLimit;
use crate::interceptor::{CHAMBER, GROUND_WATER, SIZING};
use crate::lots::Label;
use crate::pipeline::Assessment;
use crate::runoff::{
    ChannelFlow, Concentration, CrossingDesign, LotDesign, Portion, Rain, RainAt, Segment, SegmentKind,
    SheetRule, SlowGround,
};
use crate::runoff::{Citation, TimeMethod, methods_used};
use crate::units::{Length, Time, Volume};
use serde::Serialize;
use std::collections::BTreeMap;

/// Cubic feet per second, square mile and inch in SI: 0.3048^3 / (2.589 988 km2 x 25.4 mm), with 1 mile = 1609.344 m.
const M3_S_KM2_MM_PER_CSM_IN: f64 = 0.3048 * 0.3048 * 0.3048 / (1.609_344 * 1.609_344 * 25.4);

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
    pub(super) fn all_of(flows: &LotDesign, label: Label) -> Vec<Self> {
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

/// The storm at one crossing.
#[derive(Debug, Clone, Serialize)]
pub struct CrossingStorm {
    /// Composite runoff coefficient.
    pub runoff_coefficient: f64,
    /// Duration of the rain that gives the peak, where it matters.
    pub duration_min: Option<f64>,
    /// Its intensity.
    pub intensity_mm_h: f64,
    /// How the intensity was found.
    pub intensity_from: String,
    /// Whether the peak comes before all of the ground has joined in.
    pub partial: bool,
    /// Runoff in the whole storm.
    pub volume_m3: Option<f64>,
    /// The peak by the graphical method, where it was asked for and holds.
    pub graphical_flow_m3_s: Option<f64>,
    /// Time of concentration; nothing where all of the rain falls at the lot line.
    pub time: Option<TimeRow>,
    /// For comparison: all of its ground in the rain of that time, C i A.
    pub composite_flow_m3_s: f64,
    /// Where the peak comes before all of the ground has joined in, the same of the ground that has; nothing where that
    /// lies at the lot line.
    pub joined_time: Option<TimeRow>,
    /// By kind of ground.
    pub by_cover: Vec<CoverFlow>,
}

/// A time of concentration and what it is made of.
#[derive(Debug, Clone, Serialize)]
pub struct TimeRow {
    /// The time that counts.
    pub concentration_min: f64,
    /// The formula that it is by.
    pub method: TimeMethod,
    /// Whether the least time counts instead.
    pub least_governs: bool,
    /// Sum of its reaches' times.
    pub chain_min: f64,
    /// Length of the longest way.
    pub length_m: f64,
    /// Its reaches, from the top.
    pub segments: Vec<SegmentRow>,
    /// The whole way by other formulas.
    pub others: Vec<OtherTime>,
}

/// One reach of the way.
#[derive(Debug, Clone, Serialize)]
pub struct SegmentRow {
    /// Sheet, shallow or channel.
    pub kind: &'static str,
    /// What it runs over, or what ends it.
    pub note: Said,
    /// From where down the way.
    pub from_m: f64,
    /// Its length.
    pub length_m: f64,
    /// Its fall by length.
    pub grade: f64,
    /// Whether the ground falls less than that.
    pub grade_raised: bool,
    /// Its velocity.
    pub velocity_m_s: f64,
    /// Its time.
    pub time_min: f64,
    /// Whether it is slow ground, and why.
    pub slow_ground: Option<SlowGround>,
}

/// The whole way by another formula.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct OtherTime {
    /// The formula.
    pub method: TimeMethod,
    /// Its time.
    pub time_min: f64,
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

impl Hydrograph {
    fn of(flood: &Triangle) -> Self {
        Self {
            peak_m3_s: flood.peak().as_m3_per_s(),
            volume_m3: flood.volume().as_m3(),
            rise_min: flood.rise().as_min(),
            base_min: flood.base().as_min(),
        }
    }
}

impl Graphical {
    fn of(assessment: &Assessment<'_>, flows: &LotDesign) -> Option<Self> {
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

impl PondsLedger {
    fn of(assessment: &Assessment<'_>, flows: &LotDesign) -> Option<Self> {
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

impl CrossingStorm {
    pub(super) fn of(flows: &LotDesign, crossing: &CrossingDesign) -> Self {
        let rain = &crossing.peak.rain;
        Self {
            runoff_coefficient: crossing.coefficient.get(),
            duration_min: minutes(rain),
            intensity_mm_h: rain.intensity.as_mm_per_h(),
            intensity_from: rain.how.clone(),
            partial: crossing.peak.is_partial(),
            volume_m3: crossing.volume.map(Volume::as_m3),
            graphical_flow_m3_s: crossing.graphical.map(|found| found.flow.as_m3_per_s()),
            time: crossing.concentration.as_ref().map(|found| TimeRow::of(found, rain.duration)),
            composite_flow_m3_s: crossing.composite_flow().as_m3_per_s(),
            joined_time: crossing
                .joined_concentration
                .as_ref()
                .filter(|_| crossing.peak.is_partial())
                .map(|found| TimeRow::of(found, rain.duration)),
            by_cover: covers(flows, &crossing.by_kind),
        }
    }
}

impl PortionRow {
    pub(super) fn of(portion: &Portion) -> Self {
        Self { flow_m3_s: portion.flow.as_m3_per_s(), volume_m3: portion.volume.map(Volume::as_m3) }
    }
}

/// Portions by lot, found by label.
pub(super) fn portion_of(by_lot: Option<&BTreeMap<Label, Portion>>, label: Label) -> Option<PortionRow> {
    Some(PortionRow::of(by_lot?.get(&label)?))
}

fn minutes(rain: &RainAt) -> Option<f64> {
    rain.duration.map(Time::as_min)
}

fn covers(flows: &LotDesign, by_kind: &BTreeMap<usize, Portion>) -> Vec<CoverFlow> {
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

impl TimeRow {
    /// In rain that lasts so long, where it has an end.
    fn of(found: &Concentration, lasts: Option<Time>) -> Self {
        let mut from_m = 0.0;
        let segments = found.segments.iter().map(|segment| {
            let row = SegmentRow::of(segment, from_m, lasts);
            from_m += row.length_m;
            row
        });
        Self {
            segments: segments.collect(),
            concentration_min: found.time.as_min(),
            method: found.method,
            least_governs: found.least_governs,
            chain_min: found.chain.as_min(),
            length_m: found.length().as_m(),
            others: found
                .others
                .iter()
                .map(|&(method, time)| OtherTime { method, time_min: time.as_min() })
                .collect(),
        }
    }
}

impl SegmentRow {
    fn of(segment: &Segment, from_m: f64, lasts: Option<Time>) -> Self {
        let (kind, note) = match segment.kind {
            SegmentKind::Sheet { n, rule, limit } => {
                ("sheet", Said::of(|_| sheet_words(n.get(), rule, limit)))
            }
            SegmentKind::Shallow(over) => ("shallow", Said::of(|_| over.words().to_owned())),
            SegmentKind::Channel(ChannelFlow { radius, n, .. }) => (
                "channel",
                Said::of(|units| {
                    let radius = units.level(radius.as_m());
                    format!("running full, by Manning, hydraulic radius {radius}, n {}", n.get())
                }),
            ),
        };
        Self {
            kind,
            note,
            from_m,
            length_m: segment.length.as_m(),
            grade: segment.grade.get(),
            grade_raised: segment.raised,
            velocity_m_s: segment.velocity().as_m_per_s(),
            time_min: segment.time.as_min(),
            slow_ground: segment.slow_ground(lasts),
        }
    }
}

fn sheet_words(n: f64, rule: SheetRule, limit: SheetLimit) -> String {
    let rule = match rule {
        SheetRule::TwoYearDay => "by the 2-year, 24-hour rain",
        SheetRule::Intensity => "by the intensity of the design rain",
    };
    let end = match limit {
        SheetLimit::ByRoughness => "ended by roughness and fall",
        SheetLimit::Fixed => "ended at 100 ft",
        SheetLimit::WholeWay => "over the whole way",
    };
    format!("n {n:.3}, {rule}, {end}")
}

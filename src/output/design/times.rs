//! The storm at a crossing, and the time that its water takes.

use super::super::said::Said;
use super::{CoverFlow, covers};
use crate::formula::sheet_flow::SheetLimit;
use crate::runoff::TimeMethod;
use crate::runoff::{
    ChannelFlow, Concentration, CrossingDesign, LotDesign, RainAt, Segment, SegmentKind, SheetRule,
    SlowGround,
};
use crate::units::{Time, Volume};
use serde::Serialize;

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

impl CrossingStorm {
    pub(in crate::output) fn of(flows: &LotDesign, crossing: &CrossingDesign) -> Self {
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

pub(super) fn minutes(rain: &RainAt) -> Option<f64> {
    rain.duration.map(Time::as_min)
}

impl TimeRow {
    /// In rain that lasts so long, where it has an end.
    pub(super) fn of(found: &Concentration, lasts: Option<Time>) -> Self {
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
    pub(super) fn of(segment: &Segment, from_m: f64, lasts: Option<Time>) -> Self {
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

//! The storms that a part's drain carries, as `summary.json` and the map give them.

use super::mark::{Mark, Shape, properties};
use super::proof::{PassedRow, WayEnd, cells_line, way_end};
use super::rows::inlet;
use super::style;
use crate::interceptor::drain::{Arrangement, Limit, Loaded};
use crate::interceptor::proof::OverflowWay;
use crate::pipeline::{Assessment, PartDrain, PartStorms, StormRow};
use crate::units::{Flow, ReturnPeriod, Time};
use serde::Serialize;
use serde_json::json;

/// A part's drain in the storms of the rainfall table.
#[derive(Debug, Clone, Serialize)]
pub struct Storms {
    /// Whether some ground has a coefficient that was typed or given: it is the same in every storm.
    pub fixed_coefficients: bool,
    /// By rising return period; the design storm alone without a table.
    pub rows: Vec<StormLine>,
    /// By arrangement.
    pub largest_carried: Vec<Largest>,
    /// Where water runs that the part doesn't take; nothing without a proof.
    pub overflow: Overflow,
}

/// One storm.
#[derive(Debug, Clone, Serialize)]
pub struct StormLine {
    /// Its return period, where it is known.
    pub return_period_years: Option<f64>,
    /// Whether it is the storm that things are sized for.
    pub is_design: bool,
    /// Flow of the part in it.
    pub flow_m3_s: f64,
    /// Duration of the rain that gives it, where that is known.
    pub duration_min: Option<f64>,
    /// Intensity of that rain.
    pub intensity_mm_h: f64,
    /// What each arrangement does to it.
    pub arrangements: Vec<InStorm>,
}

/// One arrangement in one storm.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct InStorm {
    /// Which.
    pub arrangement: Arrangement,
    /// Whether it keeps all off the lot, by the lower end of what gets in.
    pub carries: bool,
    /// Share that it keeps off, by the lower and the upper end of what gets in.
    pub share: [f64; 2],
    /// Flow that it leaves, the same.
    pub overflow_m3_s: [f64; 2],
    /// What limits it by the lower end; nothing where it carries all.
    pub limit: Option<Limit>,
}

/// The largest storm that an arrangement carries.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Largest {
    /// Which arrangement.
    pub arrangement: Arrangement,
    /// Whether it can be built at all.
    pub can_be_built: bool,
    /// Whether it carries any of the storms.
    pub carries_any: bool,
    /// Return period of the last one up to which it carries all, where it is known.
    pub return_period_years: Option<f64>,
    /// Whether that is the last that was looked at, so that it may carry more.
    pub is_last: bool,
}

/// Where water runs that a part doesn't take.
#[derive(Debug, Clone, Serialize)]
pub struct Overflow {
    /// What doesn't get in: all along the part.
    pub along: Option<OverflowRow>,
    /// What a full pipe can't take: at the part's lowest ground.
    pub lowest: Option<OverflowRow>,
}

/// One way of overflow.
#[derive(Debug, Clone, Serialize)]
pub struct OverflowRow {
    /// Lots on its main way, in order.
    pub passes: Vec<PassedRow>,
    /// Buildings that it comes to; nothing where no buildings are given.
    pub buildings: Option<Vec<MetBuilding>>,
    /// The first inlet on the main way.
    pub first_inlet: Option<String>,
    /// Where that way ends.
    pub ends: WayEnd,
}

/// A building that overflow comes to.
#[derive(Debug, Clone, Serialize)]
pub struct MetBuilding {
    /// Its id, else its place in the file.
    pub id: String,
    /// Share of the overflow that ever comes to it.
    pub share: f64,
}

impl Storms {
    /// Of a part, by its place; nothing for a part without a drain.
    pub(super) fn of(assessment: &Assessment<'_>, part: usize, drain: &PartDrain) -> Option<Self> {
        let found = assessment.storms.get(part)?.as_ref()?;
        let names = || drain.options.iter().map(|costed| costed.option.arrangement);
        let overflow = assessment.overflows.get(part);
        let row = |way: Option<&OverflowWay>| way.map(|way| OverflowRow::of(assessment, way));
        Some(Self {
            fixed_coefficients: found.fixed_coefficients,
            rows: found.rows.iter().map(|row| StormLine::of(row, names())).collect(),
            largest_carried: names()
                .enumerate()
                .map(|(place, arrangement)| {
                    let can_be_built = drain.options[place].option.built.is_ok();
                    Largest::of(found, place, arrangement, can_be_built)
                })
                .collect(),
            overflow: Overflow {
                along: row(overflow.and_then(|found| found.along.as_ref())),
                lowest: row(overflow.and_then(|found| found.lowest.as_ref())),
            },
        })
    }

    /// The first storm that an arrangement doesn't carry whole, with what it does.
    pub(super) fn first_not_carried(&self, arrangement: Arrangement) -> Option<(&StormLine, &InStorm)> {
        self.rows.iter().find_map(|row| {
            let cell = row.arrangements.iter().find(|cell| cell.arrangement == arrangement)?;
            (!cell.carries).then_some((row, cell))
        })
    }
}

impl StormLine {
    fn of(row: &StormRow, names: impl Iterator<Item = Arrangement>) -> Self {
        Self {
            return_period_years: row.years.map(ReturnPeriod::get),
            is_design: row.is_design,
            flow_m3_s: row.peak.flow.as_m3_per_s(),
            duration_min: row.peak.rain.duration.map(Time::as_min),
            intensity_mm_h: row.peak.rain.intensity.as_mm_per_h(),
            arrangements: names.zip(&row.loads).map(|(name, load)| InStorm::of(name, load)).collect(),
        }
    }
}

impl InStorm {
    fn of(arrangement: Arrangement, load: &Loaded) -> Self {
        Self {
            arrangement,
            carries: load.carries(),
            share: load.shares(),
            overflow_m3_s: load.overflow().map(Flow::as_m3_per_s),
            limit: load.limit(),
        }
    }
}

impl Largest {
    fn of(found: &PartStorms, option: usize, arrangement: Arrangement, can_be_built: bool) -> Self {
        let largest = found.largest_carried(option);
        let is_last = largest.is_some_and(|row| found.rows.last() == Some(row));
        Self {
            arrangement,
            can_be_built,
            carries_any: largest.is_some(),
            return_period_years: largest.and_then(|row| row.years).map(ReturnPeriod::get),
            is_last,
        }
    }
}

impl Overflow {
    /// The way that goes with what limits.
    pub(super) const fn by(&self, limit: Limit) -> Option<&OverflowRow> {
        match limit {
            Limit::Intake => self.along.as_ref(),
            Limit::Pipe => self.lowest.as_ref(),
        }
    }
}

impl OverflowRow {
    fn of(assessment: &Assessment<'_>, found: &OverflowWay) -> Self {
        let way = &found.way;
        let buildings = assessment.site.beside.buildings.as_ref().map(|set| {
            let name = |&(place, share): &(usize, f64)| {
                let patch = &set.patches()[place];
                MetBuilding { id: patch.says.id.as_ref().unwrap_or(&patch.feature).clone(), share }
            };
            found.meets.iter().map(name).collect()
        });
        Self {
            passes: way.lots.iter().map(|lot| PassedRow::of(assessment, lot)).collect(),
            buildings,
            first_inlet: way.first_inlet.map(|place| inlet(assessment, place).id.clone()),
            ends: way_end(assessment, way),
        }
    }
}

/// The main way of what the chosen drains leave in the first storm that they don't carry whole.
pub(super) fn overflow_ways(assessment: &Assessment<'_>) -> Vec<Mark> {
    let mut found = Vec::new();
    for ((part, drain), overflows) in
        assessment.interception.parts.iter().zip(&assessment.drains.parts).zip(&assessment.overflows)
    {
        let Some(drain) = drain else { continue };
        let Some(chosen) = drain.chosen() else { continue };
        let Some(storms) = Storms::of(assessment, part.id - 1, drain) else { continue };
        let Some((storm, cell)) = storms.first_not_carried(chosen.arrangement) else { continue };
        let Some(limit) = cell.limit else { continue };
        let way = match limit {
            Limit::Intake => &overflows.along,
            Limit::Pipe => &overflows.lowest,
        };
        let (Some(way), Some(row)) = (way, storms.overflow.by(limit)) else { continue };
        let shape = Shape::line(&cells_line(assessment, &way.way.cells));
        let mut map = properties(json!({
            "id": part.id,
            "arrangement": chosen.arrangement,
            "return_period_years": storm.return_period_years,
            "overflow_m3_s": cell.overflow_m3_s,
            "limit": limit,
            "passes": row.passes,
            "buildings": row.buildings,
            "first_inlet": row.first_inlet,
            "ends": row.ends,
            "title": format!("Where part {} runs over", part.id),
            "description": "The main way of what the drain can't take in the first storm that it doesn't carry whole.",
        }));
        style::line(&mut map, style::DISCHARGE.0, style::OVERFLOW_WIDTH);
        found.push(Mark::new("overflow-way", shape, map));
    }
    found
}

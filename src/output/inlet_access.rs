//! Whether surface water gets to the storm inlets near the lot, as `summary.json` and the map give it.

use super::error::OutputError;
use super::mark::{Mark, Shape, properties};
use super::screen::Units;
use super::style;
use crate::pipeline::{Assessment, Bank, Beside, InletAccess};
use crate::terrain::Standing;
use crate::wording::called;
use geo::{Coord, LineString};
use serde::Serialize;
use serde_json::json;

/// One inlet.
#[derive(Debug, Clone, Serialize)]
pub struct InletRow {
    /// Its id.
    pub id: String,
    /// Distance from the lot.
    pub distance_m: f64,
    /// Ground there.
    pub ground_m: f64,
    /// Whether water that comes to it leaves there.
    pub takes_water: bool,
    /// Ground whose rain drains to it over the surface.
    pub area_m2: f64,
    /// Whether none of that comes from the edge of the data or of the ground that was read.
    pub complete: bool,
    /// What ponds beside it before it spills into it.
    pub ponds_first: Option<PondsFirstRow>,
    /// The most water that passes beside it without getting in.
    pub beside: Option<BesideRow>,
}

/// A pond that fills before it spills into an inlet.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct PondsFirstRow {
    /// Figures of the pond.
    #[serde(flatten)]
    pub pond: StandingRow,
    /// Ground whose rain comes to it.
    pub inflow_area_m2: f64,
    /// What stands between it and the inlet.
    pub bank: BankRow,
}

/// Water beside an inlet that doesn't get in.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct BesideRow {
    /// Ground whose rain passes there.
    pub area_m2: f64,
    /// Whether a bank holds it back; else it runs past.
    pub held_back: bool,
    /// Water that stands there when the ground is full.
    pub pond: Option<StandingRow>,
    /// What stands between it and the inlet.
    pub bank: BankRow,
}

/// Standing water.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct StandingRow {
    /// Level when full.
    pub level_m: f64,
    /// Depth at the deepest place.
    pub depth_m: f64,
    /// Area.
    pub pond_area_m2: f64,
    /// Volume.
    pub volume_m3: f64,
}

/// The lowest bank on the best way to an inlet.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct BankRow {
    /// Its top.
    pub top_m: f64,
    /// Where that is.
    pub top_lon: f64,
    /// Where that is.
    pub top_lat: f64,
    /// Level down to which the way must be opened.
    pub opens_at_m: f64,
    /// Depth of the cut at the top.
    pub cut_m: f64,
    /// Length of the way that lies higher than that level.
    pub cut_length_m: f64,
    /// How deep water still stands after the cut, as the inlet lies higher than the water's ground.
    pub sill_m: f64,
}

/// One row for each, the nearest first.
pub(super) fn inlet_rows(assessment: &Assessment<'_>) -> Result<Vec<InletRow>, OutputError> {
    assessment.inlet_access.iter().map(|found| row(assessment, found)).collect()
}

fn row(assessment: &Assessment<'_>, found: &InletAccess) -> Result<InletRow, OutputError> {
    let ponds_first = found.ponds_first.as_ref().map(|first| {
        let bank = bank_row(assessment, &first.bank)?;
        Ok(PondsFirstRow { pond: standing(&first.pond), inflow_area_m2: first.inflow_m2, bank })
    });
    let beside = found.beside.as_ref().map(|beside| {
        Ok(BesideRow {
            area_m2: beside.area_m2,
            held_back: beside.is_held_back(),
            pond: beside.pond.as_ref().map(standing),
            bank: bank_row(assessment, &beside.bank)?,
        })
    });
    Ok(InletRow {
        id: assessment.site.beside.inlets[found.inlet].id.clone(),
        distance_m: found.away_m,
        ground_m: found.ground_m,
        takes_water: found.takes_water,
        area_m2: found.area_m2,
        complete: found.complete,
        ponds_first: ponds_first.transpose()?,
        beside: beside.transpose()?,
    })
}

const fn standing(pond: &Standing) -> StandingRow {
    StandingRow {
        level_m: pond.level_m,
        depth_m: pond.depth_m,
        pond_area_m2: pond.area_m2,
        volume_m3: pond.volume_m3,
    }
}

fn bank_row(assessment: &Assessment<'_>, bank: &Bank) -> Result<BankRow, OutputError> {
    let at = middle(assessment, bank.top);
    let lonlat = assessment.site.crs.to_lonlat(at.x, at.y);
    let (top_lon, top_lat) = lonlat.map_err(|cause| OutputError::Place { reason: cause.to_string() })?;
    Ok(BankRow {
        top_m: bank.top_m,
        top_lon,
        top_lat,
        opens_at_m: bank.opens_at_m,
        cut_m: bank.cut_m,
        cut_length_m: bank.cut_length_m,
        sill_m: bank.sill_m,
    })
}

fn middle(assessment: &Assessment<'_>, cell: usize) -> Coord {
    let ground = &assessment.routed.ground;
    let (x, y) = ground.georef.centre(ground.raw.shape().cell(cell));
    Coord { x, y }
}

/// The best ways to inlets that a cut would open, and the top of the bank on each.
pub(super) fn inlet_cuts(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let mut found = Vec::new();
    for access in &assessment.inlet_access {
        let id = &assessment.site.beside.inlets[access.inlet].id;
        let first = access.ponds_first.as_ref().map(|first| (&first.bank, "ponds-first"));
        let held = access.beside.as_ref().filter(|beside| Beside::is_held_back(beside));
        let banks = first.into_iter().chain(held.map(|beside| (&beside.bank, "held-back")));
        for (bank, why) in banks.filter(|(bank, _)| bank.cut_m > 0.0) {
            let words = format!(
                "A cut of {} over {} would let the water into {}.",
                units.depth(bank.cut_m),
                units.length(bank.cut_length_m),
                called("storm inlet", id)
            );
            let map = |title: String| {
                properties(json!({
                    "inlet": id,
                    "why": why,
                    "top_m": bank.top_m,
                    "opens_at_m": bank.opens_at_m,
                    "cut_m": bank.cut_m,
                    "cut_length_m": bank.cut_length_m,
                    "title": title,
                    "description": words,
                }))
            };
            let way = LineString::new(bank.way.iter().map(|&cell| middle(assessment, cell)).collect());
            let mut to_it = map(format!("Way to {}", called("storm inlet", id)));
            style::line(&mut to_it, style::INLET, 2.0);
            found.push(Mark::new("inlet-way", Shape::line(&way), to_it));
            let mut map = map(format!("Bank before {}", called("storm inlet", id)));
            style::marker(&mut map, style::CROSSING.0);
            found.push(Mark::new("inlet-bank", Shape::Point(middle(assessment, bank.top)), map));
        }
    }
    found
}

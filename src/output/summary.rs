//! `summary.json`: the result as a program reads it. Its schema is `docs/summary.schema.json`.

use super::contributors::{Contributor, contributors, share};
use super::design::{CrossingStorm, Design, portion_of};
use super::error::OutputError;
use super::provenance::Provenance;
use super::rows::{id, inlet};
use crate::input::{ElevationFacts, Hole};
use crate::lots::{Crossing, Label, Leaving, Manner};
use crate::pipeline::{Assessment, Completeness};
use crate::units::Length;
use crate::warning::Warning;
use serde::Serialize;
use std::collections::BTreeMap;

/// Version of the layout; it changes only when something is renamed or removed.
pub const SCHEMA_VERSION: u32 = 1;

/// Everything that others rely on.
#[derive(Debug, Clone, Serialize)]
pub struct Summary {
    /// Version of the layout.
    pub schema_version: u32,
    /// The program.
    pub program: Program,
    /// Whether the catchment is known whole.
    pub status: Status,
    /// What the reader must know.
    pub warnings: Vec<Warning>,
    /// The subject lot.
    pub lot: Lot,
    /// Water from outside.
    pub run_on: RunOn,
    /// By lot, the largest first.
    pub contributors: Vec<Contributor>,
    /// By ring and start.
    pub crossings: Vec<CrossingRow>,
    /// How sure that is under elevation error; nothing if it wasn't asked.
    pub certainty: Option<super::certainty::CertaintyRow>,
    /// Ponds on the lot and on ground that drains onto it.
    pub ponds: Vec<PondRow>,
    /// Storm and flow; nothing without an intensity and a coefficient.
    pub design: Option<Design>,
    /// The line that intercepts the run-on.
    pub interception_line: super::line::Line,
    /// Whether surface water gets to the storm inlets near the lot, the nearest first.
    pub inlets: Vec<super::inlet_access::InletRow>,
    /// What the drains of all parts take; empty where none is designed.
    pub quantities: Vec<crate::interceptor::quantities::Row>,
    /// Their sum, and what they leave out.
    pub bill: Option<super::quantities::Bill>,
    /// What to hold a crew to; empty where no drain is designed.
    pub specification: Vec<super::specification::Check>,
    /// What the elevations are.
    pub elevation: Elevation,
    /// Limits of the result.
    pub cautions: Vec<&'static str>,
    /// Where it comes from.
    pub provenance: Provenance,
}

/// Name and version of the program.
#[derive(Debug, Clone, Serialize)]
pub struct Program {
    /// Name.
    pub name: &'static str,
    /// Version.
    pub version: &'static str,
}

/// Whether the catchment is known whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// It is.
    Complete,
    /// It meets the edge of the data: areas are "at least".
    Incomplete,
}

/// The subject lot.
#[derive(Debug, Clone, Serialize)]
pub struct Lot {
    /// Its id.
    pub id: String,
    /// Other ids with the same outline.
    pub also: Vec<String>,
    /// Area of the whole polygon on the ground.
    pub area_m2: f64,
    /// Lengths of the rings of its line, outer rings first.
    pub line_lengths_m: Vec<f64>,
    /// Where its own rain goes when it first leaves it.
    pub sheds_to: Vec<ShedsTo>,
    /// Stretches of its line where water leaves it.
    pub leaves_at: Vec<LeavesAt>,
}

/// A stretch of the lot line where water leaves.
#[derive(Debug, Clone, Serialize)]
pub struct LeavesAt {
    /// Ring of the lot line.
    pub ring: usize,
    /// Start along it.
    pub from_m: f64,
    /// End along it.
    pub to_m: f64,
    /// Area of the lot whose rain leaves here.
    pub area_m2: f64,
    /// Area outside the lot whose rain has crossed it and leaves here.
    pub passing_area_m2: f64,
}

/// One receiver of the lot's own rain.
#[derive(Debug, Clone, Serialize)]
pub struct ShedsTo {
    /// The lot or inlet, or nothing.
    pub id: Option<String>,
    /// What kind of receiver.
    pub kind: Receiver,
    /// Area of the lot whose rain goes there.
    pub area_m2: f64,
}

/// Kind of a contributor or receiver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Receiver {
    /// A parcel.
    Parcel,
    /// Land without a parcel.
    Unparcelled,
    /// A storm inlet.
    Inlet,
    /// Beyond the edge of the data.
    OffTheData,
}

/// Water from outside the lot.
#[derive(Debug, Clone, Serialize)]
pub struct RunOn {
    /// Area whose rain reaches the lot.
    pub area_m2: f64,
    /// Routing that the figures are by.
    pub routing: crate::flow::Routing,
    /// Area of the crossings whose catchment meets the edge of the data.
    pub edge_limited_area_m2: f64,
    /// Area under the single routing.
    pub single_routing_area_m2: Option<f64>,
    /// Area under the proportional routing.
    pub proportional_routing_area_m2: Option<f64>,
    /// Edges of the data from beyond which water may come.
    pub completeness: Completeness,
    /// Share of the run-on that the uphill stretches of the lot line are to catch.
    pub catch_share: f64,
}

/// One crossing.
#[derive(Debug, Clone, Serialize)]
pub struct CrossingRow {
    /// Counted from 1, by ring and start.
    pub id: usize,
    /// Ring of the lot line.
    pub ring: usize,
    /// Start along it.
    pub from_m: f64,
    /// End along it.
    pub to_m: f64,
    /// Area whose rain enters here.
    pub area_m2: f64,
    /// Of the whole run-on.
    pub share_of_run_on: f64,
    /// Whether none of it comes from the edge of the data.
    pub complete: bool,
    /// How the water crosses.
    pub manner: Manner,
    /// Shortest width that carries 80 %.
    pub width_80_m: f64,
    /// Peak flow in the design storm.
    pub flow_m3_s: Option<f64>,
    /// What that rests on.
    pub storm: Option<CrossingStorm>,
    /// Where the rain fell.
    pub contributors: Vec<CrossingContributor>,
}

/// Part of a crossing's water.
#[derive(Debug, Clone, Serialize)]
pub struct CrossingContributor {
    /// The lot, or nothing.
    pub id: Option<String>,
    /// Area of it whose rain enters here.
    pub area_m2: f64,
    /// Its part of the crossing's peak.
    pub flow_m3_s: Option<f64>,
    /// Its runoff in the whole storm.
    pub volume_m3: Option<f64>,
}

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

/// What the elevations are.
#[derive(Debug, Clone, Serialize)]
pub struct Elevation {
    /// Facts of the input.
    #[serde(flatten)]
    pub facts: ElevationFacts,
    /// Holes that were bridged or left; rows and columns are those of the whole working grid.
    pub holes: Vec<Hole>,
    /// Size of the window that was routed.
    pub window_cells: u64,
}

impl Summary {
    pub(super) fn of(
        assessment: &Assessment<'_>,
        warnings: &[Warning],
        provenance: Provenance,
    ) -> Result<Self, OutputError> {
        let complete = assessment.completeness.is_complete();
        Ok(Self {
            schema_version: SCHEMA_VERSION,
            program: Program { name: "lotshed", version: env!("CARGO_PKG_VERSION") },
            status: if complete { Status::Complete } else { Status::Incomplete },
            warnings: warnings.to_vec(),
            lot: lot(assessment),
            run_on: run_on(assessment),
            contributors: contributors(assessment),
            crossings: crossings(assessment),
            certainty: super::certainty::CertaintyRow::of(assessment),
            ponds: ponds(assessment),
            design: Design::of(assessment),
            interception_line: super::line::Line::of(assessment),
            inlets: super::inlet_access::inlet_rows(assessment)?,
            quantities: super::quantities::rows(assessment),
            bill: super::quantities::Bill::of(assessment),
            specification: super::specification::specification(assessment),
            elevation: elevation(assessment),
            cautions: super::CAUTIONS.to_vec(),
            provenance,
        })
    }

    /// The file's text.
    ///
    /// # Errors
    /// [`OutputError::Json`].
    pub fn to_json(&self) -> Result<String, OutputError> {
        super::layers::to_json("summary.json", self)
    }
}

fn lot(assessment: &Assessment<'_>) -> Lot {
    let subject = &assessment.site.parcels.parcels()[assessment.site.parcels.subject()];
    let mut by_receiver: BTreeMap<Leaving, f64> = BTreeMap::new();
    for exit in &assessment.drainage.exits {
        *by_receiver.entry(exit.to).or_default() += exit.area_m2;
    }
    let mut sheds_to: Vec<ShedsTo> = by_receiver
        .into_iter()
        .filter(|&(_, area_m2)| area_m2 > 0.0)
        .map(|(to, area_m2)| {
            let (id, kind) = receiver(assessment, to);
            ShedsTo { id, kind, area_m2 }
        })
        .collect();
    sheds_to.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2));
    let leaves_at = assessment
        .drainage
        .leaving
        .iter()
        .map(|stretch| LeavesAt {
            ring: stretch.ring,
            from_m: stretch.from_m,
            to_m: stretch.to_m,
            area_m2: stretch.own_m2,
            passing_area_m2: stretch.passing_m2,
        })
        .collect();
    Lot {
        id: subject.id.clone(),
        also: subject.also.clone(),
        area_m2: subject.area_m2,
        line_lengths_m: assessment.line.ring_lengths_m(),
        sheds_to,
        leaves_at,
    }
}

pub(super) fn receiver(assessment: &Assessment<'_>, to: Leaving) -> (Option<String>, Receiver) {
    match to {
        Leaving::OffTheData => (None, Receiver::OffTheData),
        Leaving::IntoInlet(place) => (Some(inlet(assessment, place).id.clone()), Receiver::Inlet),
        Leaving::Onto(label) => (id(assessment, label), kind(label)),
    }
}

pub(super) fn kind(label: Label) -> Receiver {
    if label.place().is_some() { Receiver::Parcel } else { Receiver::Unparcelled }
}

fn run_on(assessment: &Assessment<'_>) -> RunOn {
    use crate::flow::Routing;
    let routing = assessment.settings.routing;
    let own = Some(assessment.drainage.run_on_m2);
    let has_other = assessment.routed.other.is_some();
    let other = has_other.then(|| assessment.other_routing.iter().map(|&(_, m2)| m2).sum::<f64>() + 0.0);
    let (single, proportional) = match routing {
        Routing::Proportional => (other, own),
        Routing::Single => (own, other),
        Routing::Steepest => (None, None),
    };
    RunOn {
        area_m2: assessment.drainage.run_on_m2,
        routing,
        edge_limited_area_m2: assessment.completeness.edge_limited_m2,
        single_routing_area_m2: single,
        proportional_routing_area_m2: proportional,
        completeness: assessment.completeness.clone(),
        catch_share: assessment.settings.catch.get(),
    }
}

fn crossings(assessment: &Assessment<'_>) -> Vec<CrossingRow> {
    let rows = assessment.drainage.crossings.iter().zip(1..);
    rows.map(|(crossing, number)| crossing_row(assessment, crossing, number)).collect()
}

fn crossing_row(assessment: &Assessment<'_>, crossing: &Crossing, number: usize) -> CrossingRow {
    let flows = assessment.design.flows();
    let found = flows.map(|flows| &flows.crossings[number - 1]);
    CrossingRow {
        id: number,
        ring: crossing.ring,
        from_m: crossing.from_m,
        to_m: crossing.to_m,
        area_m2: crossing.area_m2,
        share_of_run_on: share(crossing.area_m2, assessment.drainage.run_on_m2),
        complete: crossing.complete,
        manner: crossing.manner,
        width_80_m: crossing.width_80_m,
        flow_m3_s: found.map(|found| found.peak.flow.as_m3_per_s()),
        storm: flows.zip(found).map(|(flows, found)| CrossingStorm::of(flows, found)),
        contributors: crossing
            .origins
            .iter()
            .map(|&(label, area_m2)| {
                let water = portion_of(found.map(|found| &found.by_lot), label);
                CrossingContributor {
                    id: id(assessment, label),
                    area_m2,
                    flow_m3_s: water.map(|w| w.flow_m3_s),
                    volume_m3: water.and_then(|w| w.volume_m3),
                }
            })
            .collect(),
    }
}

fn ponds(assessment: &Assessment<'_>) -> Vec<PondRow> {
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

fn elevation(assessment: &Assessment<'_>) -> Elevation {
    let ground = &assessment.routed.ground;
    Elevation {
        facts: assessment.site.survey.facts().clone(),
        holes: ground
            .holes
            .bridged
            .iter()
            .chain(&ground.holes.kept)
            .map(|hole| Hole {
                row: hole.row + ground.window.row,
                col: hole.col + ground.window.col,
                ..*hole
            })
            .collect(),
        window_cells: ground.raw.shape().len() as u64,
    }
}

//! `summary.json`: the result as a program reads it. Its schema is `docs/summary.schema.json`.

mod crossings;
mod lot;
mod ponds;

pub(super) use crossings::{CrossingContributor, CrossingRow};
pub(super) use lot::{Lot, Receiver, kind, receiver};
pub(super) use ponds::{PondRow, PondStorm};

use crossings::crossings;
use lot::lot;
use ponds::ponds;

use super::contributors::{Contributor, contributors};
use super::design::Design;
use super::error::OutputError;
use super::provenance::Provenance;
use crate::input::{ElevationFacts, Hole};
use crate::pipeline::{Assessment, Completeness};
use crate::warning::Warning;
use serde::Serialize;

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
    /// Other reasons to doubt it, with what hangs on each, the largest effect first.
    pub doubts: Vec<super::doubts::DoubtRow>,
    /// How far the data carry the answer.
    pub data_quality: super::doubts::DataQuality,
    /// Why water of the parcels that were asked for comes to the lot, or doesn't.
    pub explanations: Vec<super::why::ExplanationRow>,
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
            doubts: super::doubts::doubt_rows(assessment),
            data_quality: super::doubts::DataQuality::of(assessment),
            explanations: super::why::explanation_rows(assessment)?,
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

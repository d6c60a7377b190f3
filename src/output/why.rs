//! Why water of a parcel comes to the lot, or doesn't, as `summary.json` gives it.

mod map;
mod words;

pub(super) use map::why_marks;

use super::contributors::share;
use super::error::OutputError;
use super::geometry::Writer;
use super::rows::{id, inlet};
use super::said::Said;
use super::summary::{Receiver, receiver};
use crate::certainty::Verdict;
use crate::lots::Label;
use crate::pipeline::{Assessment, Comes, Decision, ExplainedWay, Explanation, Goes, WayStop};
use geo::Coord;
use serde::Serialize;

/// One parcel that was asked for.
#[derive(Debug, Clone, Serialize)]
pub struct ExplanationRow {
    /// The parcel.
    pub id: String,
    /// Area of it on ground whose elevation is known, by the middles of cells.
    pub known_area_m2: f64,
    /// Water that comes to the lot; nothing where none does.
    pub comes: Option<ComesRow>,
    /// Water that goes elsewhere; nothing where none does.
    pub goes: Option<GoesRow>,
    /// Likelihood under elevation error that it gives anything, when that was asked for.
    pub likelihood: Option<f64>,
    /// Verdict under elevation error, when that was asked for.
    pub verdict: Option<Verdict>,
    /// All of it in sentences.
    pub message: Vec<Said>,
}

/// Water that comes to the lot.
#[derive(Debug, Clone, Serialize)]
pub struct ComesRow {
    /// Area whose rain comes.
    pub area_m2: f64,
    /// Of the whole run-on.
    pub share_of_run_on: f64,
    /// The longest way; nothing for slivers at the lot line.
    pub way: Option<WayRow>,
    /// Where it enters, the largest first.
    pub crossings: Vec<EnteredRow>,
    /// What would turn most of it away; nothing where nothing on the ground that was read would.
    pub decision: Option<DecisionRow>,
}

/// Water that goes elsewhere.
#[derive(Debug, Clone, Serialize)]
pub struct GoesRow {
    /// Area whose rain goes.
    pub area_m2: f64,
    /// Who receives it when it leaves the parcel, the largest first.
    pub to: Vec<ReceiverRow>,
    /// Where it ends, the largest first.
    pub ends: Vec<EndRow>,
    /// The way of most of it, from where most of it leaves the parcel.
    pub way: WayRow,
    /// What would send most of it to the lot; nothing where nothing on the ground that was read would.
    pub decision: Option<DecisionRow>,
}

/// A crossing by its number, with area whose rain enters there.
#[derive(Debug, Clone, Serialize)]
pub struct EnteredRow {
    /// Number of the crossing.
    pub crossing: usize,
    /// Area of the parcel whose rain enters there.
    pub area_m2: f64,
}

/// One receiver.
#[derive(Debug, Clone, Serialize)]
pub struct ReceiverRow {
    /// The lot or inlet, or nothing.
    pub id: Option<String>,
    /// What kind of receiver.
    pub kind: Receiver,
    /// Area whose rain goes there.
    pub area_m2: f64,
}

/// Where water leaves the ground that was looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EndKind {
    /// Over the edge of the data.
    OffTheData,
    /// Into a storm inlet.
    Inlet,
    /// It goes on over ground that didn't have to be read.
    NotRead,
}

/// One end.
#[derive(Debug, Clone, Serialize)]
pub struct EndRow {
    /// The inlet, or nothing.
    pub id: Option<String>,
    /// What kind of end.
    pub kind: EndKind,
    /// Area whose rain ends there.
    pub area_m2: f64,
}

/// A way over the ground.
#[derive(Debug, Clone, Serialize)]
pub struct WayRow {
    /// Its length.
    pub length_m: f64,
    /// Fall of the surface, hollows full.
    pub fall_m: f64,
    /// Fall by length; nothing for a way without length.
    pub slope: Option<f64>,
    /// Parcels gone through on the way, in order; nothing stands for land without one.
    pub through: Vec<Option<String>>,
}

/// What decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DecisionKind {
    /// Ground that stands higher than the way of the water.
    Ridge,
    /// The edge of a hollow that stands full.
    PondEdge,
    /// Nothing but the fall of the ground.
    OpenSlope,
}

/// The narrowest decision.
#[derive(Debug, Clone, Serialize)]
pub struct DecisionRow {
    /// What decides.
    pub kind: DecisionKind,
    /// How much the deciding place stands above the way of the water.
    pub rise_m: f64,
    /// Whether it is the least for half of the water along the line that it crosses, not of one place that half passes.
    pub spread: bool,
    /// The deciding place, degrees east.
    pub lon: f64,
    /// Degrees north.
    pub lat: f64,
    /// The parcel that it lies on, or nothing.
    pub on: Option<String>,
    /// Where the water would be dammed, degrees east.
    pub dam_lon: f64,
    /// Degrees north.
    pub dam_lat: f64,
    /// From there over the deciding place to ground that drains the other way.
    pub length_m: f64,
    /// The parcel on whose ground that is, or nothing.
    pub towards: Option<String>,
    /// Error (RMSE) of the elevations, if it was given.
    pub elevation_rmse_m: Option<f64>,
    /// Whether that is as large as the rise, so that the data can't carry the decision; nothing on an open slope, or without
    /// an error.
    pub within_error: Option<bool>,
}

/// A row for each parcel that was asked for.
pub(super) fn explanation_rows(assessment: &Assessment<'_>) -> Result<Vec<ExplanationRow>, OutputError> {
    assessment.explanations.iter().map(|found| row(assessment, found)).collect()
}

fn row(assessment: &Assessment<'_>, found: &Explanation) -> Result<ExplanationRow, OutputError> {
    let certainty = assessment.certainty.as_ref();
    let sure = certainty.and_then(|certainty| certainty.parcel(Some(found.parcel)));
    let mut row = ExplanationRow {
        id: assessment.site.parcels.parcels()[found.parcel].id.clone(),
        known_area_m2: found.known_m2,
        comes: found.comes.as_ref().map(|comes| comes_row(assessment, comes)).transpose()?,
        goes: found.goes.as_ref().map(|goes| goes_row(assessment, goes)).transpose()?,
        likelihood: sure.map(|sure| sure.likelihood.share()),
        verdict: sure.map(|sure| sure.verdict),
        message: Vec::new(),
    };
    row.message = Said::all_of(|units| words::sentences(&row, &assessment.site.parcels, units));
    Ok(row)
}

fn comes_row(assessment: &Assessment<'_>, comes: &Comes) -> Result<ComesRow, OutputError> {
    let entered = |&(place, area_m2): &(usize, f64)| EnteredRow { crossing: place + 1, area_m2 };
    Ok(ComesRow {
        area_m2: comes.area_m2,
        share_of_run_on: share(comes.area_m2, assessment.drainage.run_on_m2),
        way: comes.way.as_ref().map(|way| way_row(assessment, way)),
        crossings: comes.crossings.iter().map(entered).collect(),
        decision: comes.decision.as_ref().map(|decision| decision_row(assessment, decision)).transpose()?,
    })
}

fn goes_row(assessment: &Assessment<'_>, goes: &Goes) -> Result<GoesRow, OutputError> {
    let to = goes.to.iter().map(|&(to, area_m2)| {
        let (id, kind) = receiver(assessment, to);
        ReceiverRow { id, kind, area_m2 }
    });
    let ends = goes.ends.iter().map(|&(stop, area_m2)| {
        let (id, kind) = match stop {
            WayStop::EdgeOfData => (None, EndKind::OffTheData),
            WayStop::Inlet(place) => (Some(inlet(assessment, place).id.clone()), EndKind::Inlet),
            WayStop::NotRead => (None, EndKind::NotRead),
        };
        EndRow { id, kind, area_m2 }
    });
    Ok(GoesRow {
        area_m2: goes.area_m2,
        to: to.collect(),
        ends: ends.collect(),
        way: way_row(assessment, &goes.way),
        decision: goes.decision.as_ref().map(|decision| decision_row(assessment, decision)).transpose()?,
    })
}

fn way_row(assessment: &Assessment<'_>, way: &ExplainedWay) -> WayRow {
    WayRow {
        length_m: way.length_m,
        fall_m: way.fall_m,
        slope: (way.length_m > 0.0).then(|| way.fall_m / way.length_m),
        through: way.through.iter().map(|&label| id(assessment, label)).collect(),
    }
}

fn decision_row(assessment: &Assessment<'_>, found: &Decision) -> Result<DecisionRow, OutputError> {
    let turning = &found.turning;
    let kind = match (found.in_pond, turning.open_slope) {
        (true, false) => DecisionKind::PondEdge,
        (_, true) => DecisionKind::OpenSlope,
        (false, false) => DecisionKind::Ridge,
    };
    let rmse = assessment.settings.certainty.as_ref().map(|asked| asked.model.rmse.as_m());
    let place = |cell: usize| Writer::new(&assessment.site.crs).place(middle(assessment, cell));
    let (sill, dam) = (place(turning.sill)?, place(turning.cells[0])?);
    Ok(DecisionRow {
        kind,
        rise_m: turning.rise_m,
        spread: found.spread,
        lon: sill.x,
        lat: sill.y,
        on: id(assessment, label_at(assessment, turning.sill)),
        dam_lon: dam.x,
        dam_lat: dam.y,
        length_m: turning.length_m,
        towards: id(assessment, found.towards),
        elevation_rmse_m: rmse,
        within_error: rmse.filter(|_| kind != DecisionKind::OpenSlope).map(|rmse| turning.rise_m <= rmse),
    })
}

fn label_at(assessment: &Assessment<'_>, cell: usize) -> Label {
    assessment.routed.ground.lots.label(cell)
}

fn middle(assessment: &Assessment<'_>, cell: usize) -> Coord {
    let ground = &assessment.routed.ground;
    let (x, y) = ground.georef.centre(ground.raw.shape().cell(cell));
    Coord { x, y }
}

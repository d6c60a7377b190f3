//! The water with the line in place, as `summary.json` and the map give it.

mod map;

pub(super) use map::{cells_line, discharge_ways, received};

use super::rows::id;
use super::summary::{Receiver, kind};
use crate::interceptor::OutletKind;
use crate::interceptor::proof::{CrossedPart, DischargeWay, PassedLot};
use crate::lots::{Crossing, Label, Leaving};
use crate::pipeline::{Assessment, LineProof, PartDrain, last_place};
use serde::Serialize;

/// Where less than this share of the water isn't taken, all is. Ours.
const LEAST_LEFT: f64 = 1e-3;

/// Shares nearer than this are one.
const SAME: f64 = 1e-9;

/// What the line does to the water.
#[derive(Debug, Clone, Serialize)]
pub struct ProofRow {
    /// What each part takes.
    pub taken: Vec<TakenRow>,
    /// Run-on that isn't caught, by why.
    pub missed: MissedRow,
    /// Run-on left on the lot by where its rain fell, the largest first.
    pub left: Vec<LeftRow>,
    /// The taken water at other parcels, the largest gain first.
    pub received: Vec<ReceivedRow>,
    /// The taken water at inlets.
    pub inlets: Vec<ReceivedRow>,
    /// What left the ground that was read elsewhere without the line.
    pub off_without_m2: f64,
    /// What leaves it so with the line, or is let out where nothing is known of the ground.
    pub off_with_m2: f64,
    /// What is taken by parts without an outlet.
    pub nowhere_m2: f64,
    /// Where each part lets its water out, and where that goes.
    pub discharges: Vec<DischargeRow>,
    /// Changes below this aren't told on the screen and the map.
    #[serde(skip)]
    pub least_change_m2: f64,
}

/// What a part takes.
#[derive(Debug, Clone, Serialize)]
pub struct TakenRow {
    /// Number of the part.
    pub part: usize,
    /// Share of what crosses it that it can carry; 0 where it has no outlet, or its drain, or the one that it joins, can't be built.
    pub takes_share: f64,
    /// What lets it carry no more, in words; nothing where it carries all.
    pub limited_by: Option<String>,
    /// Ground outside the lot whose rain it takes.
    pub run_on_m2: f64,
    /// Ground of the lot whose rain it takes.
    pub own_m2: f64,
    /// Where along it not all is taken; empty where all is.
    pub passes: Vec<PassesRow>,
}

/// A stretch of a part at which water isn't taken.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct PassesRow {
    /// From the part's upper end as it is drawn.
    pub from_m: f64,
    /// To here.
    pub to_m: f64,
    /// Ground whose rain crosses there.
    pub area_m2: f64,
    /// Of it, what isn't taken.
    pub left_m2: f64,
}

/// Run-on that isn't caught, by why: with what goes elsewhere all of it.
#[derive(Debug, Clone, Serialize)]
#[expect(clippy::struct_field_names, reason = "serialised names carry the unit")]
pub struct MissedRow {
    /// Comes onto the lot beside the line, behind the setback, and crosses no part.
    pub beside_m2: f64,
    /// Comes onto the lot beside the line and leaves it again within the setback.
    pub edge_m2: f64,
    /// Crosses a part and is more than it keeps: by part, in their order.
    pub past_parts_m2: Vec<f64>,
    /// Comes back from where it is let out.
    pub back_m2: f64,
}

/// Run-on that is left.
#[derive(Debug, Clone, Serialize)]
pub struct LeftRow {
    /// The lot, or nothing.
    pub id: Option<String>,
    /// Parcel or not.
    pub kind: Receiver,
    /// Area of it whose rain is left on the lot.
    pub area_m2: f64,
}

/// The taken water at one parcel or inlet.
#[derive(Debug, Clone, Serialize)]
pub struct ReceivedRow {
    /// The parcel or inlet, or nothing.
    pub id: Option<String>,
    /// What it is.
    pub kind: Receiver,
    /// What came there without the line.
    pub without_m2: f64,
    /// What comes there with it.
    pub with_m2: f64,
    /// More (above 0) or less.
    pub change_m2: f64,
}

/// Where a part lets its water out.
#[derive(Debug, Clone, Serialize)]
pub struct DischargeRow {
    /// Number of the part.
    pub part: usize,
    /// Onto the ground, into an inlet, where nothing is known of the ground, or nowhere: no outlet is proposed.
    pub to: DischargeTo,
    /// Name of the outlet.
    pub id: Option<String>,
    /// What the outlet is.
    pub outlet_kind: Option<OutletKind>,
    /// Share of it that comes back to the lot.
    pub comes_back_share: f64,
    /// Lots on its main way over the ground, in order.
    pub passes: Vec<PassedRow>,
    /// The first inlet on that way.
    pub first_inlet: Option<String>,
    /// Where that way ends.
    pub ends: Option<WayEnd>,
}

/// Where water is let out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DischargeTo {
    /// Onto the ground.
    Ground,
    /// Into a storm inlet.
    Inlet,
    /// Where nothing is known of the ground.
    NotRead,
    /// Into a chamber, from which it must be lifted or kept.
    Chamber,
    /// No outlet is proposed.
    Nowhere,
}

/// A lot that let-out water comes to.
#[derive(Debug, Clone, Serialize)]
pub struct PassedRow {
    /// The lot, or nothing.
    pub id: Option<String>,
    /// Parcel or not.
    pub kind: Receiver,
    /// Share of the water that ever comes to it.
    pub share: f64,
}

/// Where the way of let-out water ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WayEnd {
    /// At a storm inlet.
    Inlet,
    /// At the edge of the data.
    EdgeOfData,
    /// Where no more ground was read around the lot.
    EdgeOfGroundRead,
}

impl ProofRow {
    pub(super) fn of(assessment: &Assessment<'_>) -> Option<Self> {
        let found = assessment.proof.as_ref()?;
        let left = found.proof.left_by_lot.iter().map(|&(label, area_m2)| LeftRow {
            id: id(assessment, label),
            kind: kind(label),
            area_m2,
        });
        Some(Self {
            taken: taken(assessment, found),
            missed: MissedRow {
                beside_m2: found.proof.missed.beside_m2,
                edge_m2: found.proof.missed.edge_m2,
                past_parts_m2: found.proof.missed.past_m2.clone(),
                back_m2: found.proof.missed.back_m2,
            },
            left: left.collect(),
            received: received_rows(assessment, found).into_iter().map(|(_, row)| row).collect(),
            inlets: inlets(assessment, found),
            off_without_m2: found.off_without_m2,
            off_with_m2: found.off_with_m2,
            nowhere_m2: found.nowhere_m2,
            discharges: (0..found.proof.ways.len())
                .map(|part| DischargeRow::of(assessment, found, part))
                .collect(),
            least_change_m2: found.least_change_m2(),
        })
    }
}

fn taken(assessment: &Assessment<'_>, found: &LineProof) -> Vec<TakenRow> {
    let rows = found.proof.taken.iter().zip(&found.proof.crossing).zip(&found.takes).zip(1..);
    rows.map(|(((taken, crossing), &takes_share), part)| TakenRow {
        part,
        takes_share,
        limited_by: limited_by(assessment, part - 1, takes_share),
        run_on_m2: taken.run_on_m2,
        own_m2: taken.own_m2,
        passes: passes(crossing),
    })
    .collect()
}

/// Places of a part, one after the other, at which not all is taken.
fn passes(crossing: &[CrossedPart]) -> Vec<PassesRow> {
    let mut along: Vec<&CrossedPart> = crossing.iter().collect();
    along.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
    let stretches = along.chunk_by(|a, b| takes_all(a) == takes_all(b)).filter(|all| !takes_all(all[0]));
    let row = |all: &[&CrossedPart]| PassesRow {
        from_m: all[0].station_m,
        to_m: all[all.len() - 1].station_m,
        area_m2: all.iter().map(|at| at.area_m2).sum(),
        left_m2: all.iter().map(|at| at.area_m2 * (1.0 - at.takes)).sum(),
    };
    stretches.map(row).collect()
}

fn takes_all(at: &CrossedPart) -> bool {
    at.takes >= 1.0 - LEAST_LEFT
}

/// What lets a part carry no more than a share.
fn limited_by(assessment: &Assessment<'_>, place: usize, share: f64) -> Option<String> {
    if share >= 1.0 {
        return None;
    }
    let outlets = &assessment.outlets[place];
    let drain = assessment.drains.parts[place].as_ref().and_then(PartDrain::chosen);
    let Some(option) = drain.filter(|option| option.built.is_ok()) else {
        let cause = if outlets.place().is_some() {
            "no drain of it that can be built"
        } else {
            "no outlet that serves it"
        };
        return Some(cause.to_owned());
    };
    let joins = outlets.joins.filter(|_| option.share() > share + SAME);
    joins.map_or_else(
        || option.held_by().map(|held| held.words().to_owned()),
        |into| Some(format!("the pipe of part {}, which it joins", into + 1)),
    )
}

fn received_rows(assessment: &Assessment<'_>, found: &LineProof) -> Vec<(Label, ReceivedRow)> {
    let rows = found.proof.received.iter().map(|row| {
        let (without_m2, with_m2) = (row.without_m2, row.with_m2);
        let who = (id(assessment, row.label), kind(row.label));
        (row.label, ReceivedRow::new(who, without_m2, with_m2))
    });
    let mut rows: Vec<(Label, ReceivedRow)> = rows.collect();
    rows.sort_by(|a, b| b.1.change_m2.total_cmp(&a.1.change_m2).then(a.0.cmp(&b.0)));
    rows
}

fn inlets(assessment: &Assessment<'_>, found: &LineProof) -> Vec<ReceivedRow> {
    let rows = found.inlets.iter().map(|row| {
        let name = assessment.site.beside.inlets[row.inlet].id.clone();
        ReceivedRow::new((Some(name), Receiver::Inlet), row.without_m2, row.with_m2)
    });
    rows.collect()
}

impl ReceivedRow {
    fn new((id, kind): (Option<String>, Receiver), without_m2: f64, with_m2: f64) -> Self {
        Self { id, kind, without_m2, with_m2, change_m2: with_m2 - without_m2 }
    }
}

impl DischargeRow {
    fn of(assessment: &Assessment<'_>, found: &LineProof, part: usize) -> Self {
        let place = last_place(&assessment.outlets, part);
        let way = found.proof.ways[part].as_ref();
        let to = match place.map(|place| place.kind) {
            None => DischargeTo::Nowhere,
            Some(OutletKind::StormInlet) => DischargeTo::Inlet,
            Some(OutletKind::Chamber | OutletKind::OtherPart) => DischargeTo::Chamber,
            Some(_) if way.is_some() => DischargeTo::Ground,
            Some(_) => DischargeTo::NotRead,
        };
        let passes = way.map_or(&[][..], |way| &way.lots);
        Self {
            part: part + 1,
            to,
            id: place.map(|place| place.id.clone()),
            outlet_kind: place.map(|place| place.kind),
            comes_back_share: found.proof.comes_back[part],
            passes: passes.iter().map(|lot| PassedRow::of(assessment, lot)).collect(),
            first_inlet: way
                .and_then(|way| way.first_inlet)
                .map(|place| super::rows::inlet(assessment, place).id.clone()),
            ends: way.map(|way| way_end(assessment, way)),
        }
    }
}

impl PassedRow {
    pub(super) fn of(assessment: &Assessment<'_>, lot: &PassedLot) -> Self {
        Self { id: id(assessment, lot.label), kind: kind(lot.label), share: lot.share }
    }
}

pub(super) fn way_end(assessment: &Assessment<'_>, way: &DischargeWay) -> WayEnd {
    if matches!(way.end, Leaving::IntoInlet(_)) {
        return WayEnd::Inlet;
    }
    let at_edge = way.cells.last().is_some_and(|&cell| assessment.routed.ground.edge_side(cell).is_some());
    if at_edge { WayEnd::EdgeOfData } else { WayEnd::EdgeOfGroundRead }
}

/// Of a lot's contribution, what is left with the line in place; nothing without a line.
pub(super) fn left_m2(assessment: &Assessment<'_>, label: Label) -> Option<f64> {
    let left = &assessment.proof.as_ref()?.proof.left_by_lot;
    Some(left.iter().find(|row| row.0 == label).map_or(0.0, |row| row.1))
}

/// Of what enters at a crossing, what is left with the line in place; nothing without a line.
pub(super) fn left_at_m2(assessment: &Assessment<'_>, crossing: &Crossing) -> Option<f64> {
    let left = &assessment.proof.as_ref()?.proof.left_by_entry_m2;
    Some(crossing.members.iter().map(|&entry| left[entry]).sum::<f64>() + 0.0)
}

/// How much more or less comes to an inlet, by its place in the site's list; nothing without a line.
pub(super) fn inlet_change_m2(assessment: &Assessment<'_>, inlet: usize) -> Option<f64> {
    let rows = &assessment.proof.as_ref()?.inlets;
    Some(rows.iter().find(|row| row.inlet == inlet).map_or(0.0, |row| row.with_m2 - row.without_m2))
}

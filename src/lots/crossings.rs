//! Stretches of the lot line where water enters.

use super::arrival::{Arrival, Step};
use super::entries::Entry;
use super::labels::Label;
use super::ledger::origins;
use super::lot_line::{LinePosition, LotLine};
use super::scene::Scene;
use super::sheds::Exit;
use super::stretch::{Inflow, Stretch, separate, width_carrying};
use crate::grid::Georef;
use geo::Coord;
use serde::{Deserialize, Serialize};

/// Share of a crossing's water whose width is reported.
const WIDTH_SHARE: f64 = 0.8;
/// Water that has run this far within two cells of the lot line may be following it, m.
const ALONG_M: f64 = 5.0;
/// Share of a crossing's water that leaves the lot again on the same stretch, from which on the flow weaves over the line.
const WEAVING_SHARE: f64 = 0.1;
/// Entries below this part of the others' mean may be traces: proportional routing spreads a little water over long
/// stretches of the line.
const TRACE_SIZE: f64 = 0.01;
/// Traces carry no more than this share of the run-on together.
const TRACE_SHARE: f64 = 0.005;
/// A crossing is cut by the edge of the data when at least this many cells' worth of its water comes from there.
const EDGE_FLOOR_CELLS: f64 = 1e-3;

/// How water crosses the lot line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Manner {
    /// Spread over a width.
    Sheet,
    /// Most of it within a few metres.
    Concentrated,
    /// It follows the lot line and weaves over it.
    Along,
}

/// A stretch of the lot line where water enters.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossing {
    /// Ring of the lot line, outer rings first.
    pub ring: usize,
    /// Start, clockwise along the ring, m.
    pub from_m: f64,
    /// End; past the ring's length when the crossing lies over the start, m.
    pub to_m: f64,
    /// Area whose rain enters here, m².
    pub area_m2: f64,
    /// Whether none of its water comes from the edge of the data.
    pub complete: bool,
    /// How the water crosses.
    pub manner: Manner,
    /// Shortest width that carries 80 % of the water, m.
    pub width_80_m: f64,
    /// Where the rain fell, m² by lot, the largest first.
    pub origins: Vec<(Label, f64)>,
    /// Entries that belong to it (places in the list of entries).
    pub members: Vec<usize>,
}

/// The scene, the lot line, and what is known of the water that enters over it.
#[derive(Debug, Clone, Copy)]
pub struct Boundary<'a> {
    /// The routed ground.
    pub scene: &'a Scene<'a>,
    /// The lot line.
    pub line: &'a LotLine,
    /// Place of the window.
    pub georef: Georef,
    /// Water that enters.
    pub entries: &'a [Entry],
    /// Water that leaves.
    pub exits: &'a [Exit],
}

impl Boundary<'_> {
    /// Where along the lot line each entry lies, as inflow spread over the width of its cell.
    #[must_use]
    pub fn inflows(&self) -> Vec<Inflow> {
        self.entries.iter().map(|entry| self.inflow(entry.from, entry.into, entry.area_m2)).collect()
    }

    fn inflow(&self, from: usize, into: usize, amount: f64) -> Inflow {
        let (outside, inside) = (self.centre(from), self.centre(into));
        let at = self.line.last_crossing(outside, inside).unwrap_or_else(|| self.nearest(inside));
        self.spread(at, amount)
    }

    /// Water at a cell, at the nearest place of the lot line.
    pub(super) fn at_line(&self, cell: usize, amount: f64) -> Inflow {
        self.spread(self.nearest(self.centre(cell)), amount)
    }

    fn centre(&self, cell: usize) -> Coord {
        let (x, y) = self.georef.centre(self.scene.lots.shape().cell(cell));
        Coord { x, y }
    }

    fn nearest(&self, point: Coord) -> LinePosition {
        let nearest = self.line.nearest(point);
        LinePosition { ring: nearest.ring, chainage_m: nearest.chainage_m }
    }

    /// Spread over the width that a cell has along the line there.
    fn spread(&self, at: LinePosition, amount: f64) -> Inflow {
        let tangent = self.line.rings()[at.ring].direction_at(at.chainage_m);
        let half_width_m =
            0.5 * (tangent.x.abs() * self.scene.cell.dx_m + tangent.y.abs() * self.scene.cell.dy_m);
        Inflow { ring: at.ring, chainage_m: at.chainage_m, half_width_m, amount }
    }

    /// Inflow-free gaps longer than this separate crossings; narrower flows are concentrated, m.
    #[must_use]
    pub fn gap_m(&self) -> f64 {
        (3.0 * self.scene.cell.longer_m()).max(3.0)
    }

    /// All crossings, by ring and start.
    #[must_use]
    pub fn crossings(&self, inflows: &[Inflow], arrival: &Arrival) -> Vec<Crossing> {
        let leaving: Vec<Inflow> = self.passing_exits();
        let flows: Vec<Inflow> = self.makers(inflows).into_iter().map(|i| inflows[i]).collect();
        self.wet_stretches(inflows)
            .into_iter()
            .map(|(stretch, members)| self.crossing(&stretch, members, &flows, &leaving, arrival))
            .collect()
    }

    /// The stretches where water enters, by ring and start, each with all inflows that are booked to it.
    ///
    /// Slivers and traces make and join no stretches: they are booked to the one that lies nearest along the line.
    #[must_use]
    pub fn wet_stretches(&self, inflows: &[Inflow]) -> Vec<(Stretch, Vec<usize>)> {
        let lengths = self.line.ring_lengths_m();
        let makes = self.makers(inflows);
        let flows: Vec<Inflow> = makes.iter().map(|&i| inflows[i]).collect();
        let mut found: Vec<(Stretch, Vec<usize>)> = separate(&flows, &lengths, self.gap_m())
            .into_iter()
            .map(|stretch| {
                let members = stretch.members.iter().map(|&i| makes[i]).collect();
                (stretch, members)
            })
            .collect();
        for rest in (0..inflows.len()).filter(|i| makes.binary_search(i).is_err()) {
            let apart = |stretch: &Stretch| self.apart_m(stretch, &inflows[rest], &lengths);
            let nearest = found.iter_mut().min_by(|a, b| apart(&a.0).total_cmp(&apart(&b.0)));
            if let Some((_, members)) = nearest {
                members.push(rest);
            }
        }
        found
    }

    /// The entries that make crossings: all but slivers and traces. If there is nothing else, all of them. In their
    /// order.
    ///
    /// An entry is a trace when it is small beside the others (below a hundredth of their mean, each weighted by its
    /// water, so that a sheet of equal entries has none) and all that are as small carry next to nothing together.
    fn makers(&self, inflows: &[Inflow]) -> Vec<usize> {
        let mut steps: Vec<usize> =
            (0..inflows.len()).filter(|&i| self.entries[i].from != self.entries[i].into).collect();
        steps.sort_by(|&a, &b| inflows[a].amount.total_cmp(&inflows[b].amount).then(a.cmp(&b)));
        let total: f64 = inflows.iter().map(|i| i.amount).sum();
        let weighted_mean = inflows.iter().map(|i| i.amount * i.amount).sum::<f64>() / total;
        let (small, traces) = (TRACE_SIZE * weighted_mean, TRACE_SHARE * total);
        let mut sum = 0.0;
        let mut makers: Vec<usize> = steps
            .into_iter()
            .skip_while(|&i| {
                sum += inflows[i].amount;
                sum <= traces && inflows[i].amount < small
            })
            .collect();
        if makers.is_empty() {
            makers = (0..inflows.len()).collect();
        }
        makers.sort_unstable();
        makers
    }

    fn crossing(
        &self,
        stretch: &Stretch,
        places: Vec<usize>,
        flows: &[Inflow],
        leaving: &[Inflow],
        arrival: &Arrival,
    ) -> Crossing {
        let length_m = self.line.rings()[stretch.ring].length_m();
        let members = || places.iter().map(|&i| &self.entries[i]);
        let area_m2: f64 = members().map(|e| e.area_m2).sum();
        let edge_cells: f64 = members().map(|e| e.edge_cells).sum();
        let beside_m = members().map(|e| e.beside_line_m * e.area_m2).sum::<f64>() / area_m2;
        let passing: f64 = leaving.iter().filter(|l| stretch.holds(l, length_m)).map(|l| l.amount).sum();
        let width_80_m = width_carrying(WIDTH_SHARE, stretch, flows, length_m);
        let manner = if beside_m > ALONG_M && passing > WEAVING_SHARE * area_m2 {
            Manner::Along
        } else if width_80_m <= self.gap_m() {
            Manner::Concentrated
        } else {
            Manner::Sheet
        };
        let origins = self.origins_of(&places, arrival);
        Crossing {
            ring: stretch.ring,
            from_m: stretch.from_m,
            to_m: stretch.to_m,
            area_m2,
            complete: edge_cells < EDGE_FLOOR_CELLS,
            manner,
            width_80_m,
            origins,
            members: places,
        }
    }

    /// How far along the line an inflow lies outside a stretch, m; to one on another ring, the way across.
    fn apart_m(&self, stretch: &Stretch, inflow: &Inflow, lengths: &[f64]) -> f64 {
        if stretch.ring != inflow.ring {
            let from = self.line.rings()[inflow.ring].point_at(inflow.chainage_m);
            let ends =
                [stretch.from_m, stretch.to_m].map(|m| self.line.rings()[stretch.ring].point_at(m) - from);
            let units = ends.map(|way| way.x.hypot(way.y)).into_iter().fold(f64::INFINITY, f64::min);
            return units * self.line.metres_per_unit();
        }
        let length = lengths[stretch.ring];
        let past = (inflow.chainage_m - stretch.from_m).rem_euclid(length);
        let beyond_end = past - stretch.length_m();
        if beyond_end <= 0.0 { 0.0 } else { beyond_end.min(length - past) }
    }

    /// Water from outside that crosses the lot and leaves it again.
    fn passing_exits(&self) -> Vec<Inflow> {
        self.exits
            .iter()
            .filter(|exit| exit.passing_m2 > 0.0)
            .map(|exit| self.at_line(exit.from, exit.passing_m2))
            .collect()
    }

    /// Where the rain that enters by one crossing fell: one more pass upwards that counts its steps only.
    fn origins_of(&self, places: &[usize], whole: &Arrival) -> Vec<(Label, f64)> {
        let part = whole.restricted(self.scene, &whole_steps(self.entries, places));
        let mut found = origins(self.scene, &part);
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        found
    }
}

/// The steps of some entries, each once and as a whole, as [`Arrival::restricted`] takes them.
#[must_use]
pub fn whole_steps(entries: &[Entry], places: &[usize]) -> Vec<(Step, f64)> {
    let mut steps: Vec<(Step, f64)> =
        places.iter().map(|&i| ((entries[i].from, entries[i].into), 1.0)).collect();
    steps.sort_unstable_by_key(|step| step.0);
    steps.dedup_by_key(|step| step.0);
    steps
}

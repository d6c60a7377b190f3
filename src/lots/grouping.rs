//! Which inflows make one crossing, and how its water crosses the lot line.

use super::line_places::LinePlaces;
use super::stretch::{Inflow, Stretch, separate, width_carrying};
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
/// Widths are rounded to a millionth of a metre: one that is three cells wide on paper counts as no wider, m.
const ROUNDING_M: f64 = 1e-5;
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

/// Water that enters at one step, with what tells how it came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Entering {
    /// Where, and the area whose rain it is.
    pub(super) inflow: Inflow,
    /// Whether it is the part of one of the lot's cells that lies across the lot line, not a step.
    pub(super) is_sliver: bool,
    /// Number of cells' worth of water from cells at the edge of the data.
    pub(super) edge_cells: f64,
    /// Mean way that it has run within two cells of the lot line, m.
    pub(super) beside_line_m: f64,
}

/// Inflows that make one crossing.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
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
    /// Which of the list belong to it.
    pub members: Vec<usize>,
}

/// Groups what enters over a lot line into crossings, by ring and start.
///
/// `leaving` is water from outside that crosses the lot and leaves it again.
pub(super) fn group(places: &LinePlaces<'_>, entering: &[Entering], leaving: &[Inflow]) -> Vec<Group> {
    let all = Grouping { places, entering };
    let flows: Vec<Inflow> = all.makers().into_iter().map(|i| entering[i].inflow).collect();
    wet_stretches(places, entering)
        .into_iter()
        .map(|(stretch, members)| all.group(&stretch, members, &flows, leaving))
        .collect()
}

/// The stretches where water enters, by ring and start, each with all that is booked to it.
///
/// Slivers and traces make and join no stretches: they are booked to the one that lies nearest along the line.
pub(super) fn wet_stretches(places: &LinePlaces<'_>, entering: &[Entering]) -> Vec<(Stretch, Vec<usize>)> {
    let all = Grouping { places, entering };
    let lengths = places.line.ring_lengths_m();
    let makes = all.makers();
    let flows: Vec<Inflow> = makes.iter().map(|&i| entering[i].inflow).collect();
    let mut found: Vec<(Stretch, Vec<usize>)> = separate(&flows, &lengths, places.gap_m())
        .into_iter()
        .map(|stretch| {
            let members = stretch.members.iter().map(|&i| makes[i]).collect();
            (stretch, members)
        })
        .collect();
    for rest in (0..entering.len()).filter(|i| makes.binary_search(i).is_err()) {
        let apart = |stretch: &Stretch| all.apart_m(stretch, &entering[rest].inflow, &lengths);
        let nearest = found.iter_mut().min_by(|a, b| apart(&a.0).total_cmp(&apart(&b.0)));
        if let Some((_, members)) = nearest {
            members.push(rest);
        }
    }
    found
}

struct Grouping<'a> {
    places: &'a LinePlaces<'a>,
    entering: &'a [Entering],
}

impl Grouping<'_> {
    /// The entries that make crossings: all but slivers and traces. If there is nothing else, all of them. In their
    /// order.
    ///
    /// An entry is a trace when it is small beside the others (below a hundredth of their mean, each weighted by its
    /// water, so that a sheet of equal entries has none) and all that are as small carry next to nothing together.
    fn makers(&self) -> Vec<usize> {
        let amount = |i: usize| self.entering[i].inflow.amount;
        let mut steps: Vec<usize> =
            (0..self.entering.len()).filter(|&i| !self.entering[i].is_sliver).collect();
        // To a square millimetre, then by place: neither the last digits nor the order of the list decide.
        let rank = |i: usize| ((amount(i) * 1e6).round(), self.entering[i].inflow);
        steps.sort_by(|&a, &b| {
            let ((a_m2, a), (b_m2, b)) = (rank(a), rank(b));
            a_m2.total_cmp(&b_m2).then(a.ring.cmp(&b.ring)).then(a.chainage_m.total_cmp(&b.chainage_m))
        });
        let total: f64 = self.entering.iter().map(|e| e.inflow.amount).sum();
        let weighted_mean = self.entering.iter().map(|e| e.inflow.amount.powi(2)).sum::<f64>() / total;
        let (small, traces) = (TRACE_SIZE * weighted_mean, TRACE_SHARE * total);
        let mut sum = 0.0;
        let mut makers: Vec<usize> = steps
            .into_iter()
            .skip_while(|&i| {
                sum += amount(i);
                sum <= traces && amount(i) < small
            })
            .collect();
        if makers.is_empty() {
            makers = (0..self.entering.len()).collect();
        }
        makers.sort_unstable();
        makers
    }

    fn group(&self, stretch: &Stretch, places: Vec<usize>, flows: &[Inflow], leaving: &[Inflow]) -> Group {
        let length_m = self.places.line.rings()[stretch.ring].length_m();
        let members = || places.iter().map(|&i| &self.entering[i]);
        let area_m2: f64 = members().map(|e| e.inflow.amount).sum();
        let edge_cells: f64 = members().map(|e| e.edge_cells).sum();
        let beside_m = members().map(|e| e.beside_line_m * e.inflow.amount).sum::<f64>() / area_m2;
        let passing: f64 = leaving.iter().filter(|l| stretch.holds(l, length_m)).map(|l| l.amount).sum();
        let width_80_m = width_carrying(WIDTH_SHARE, stretch, flows, length_m);
        let manner = if beside_m > ALONG_M && passing > WEAVING_SHARE * area_m2 {
            Manner::Along
        } else if width_80_m <= self.places.gap_m() + ROUNDING_M {
            Manner::Concentrated
        } else {
            Manner::Sheet
        };
        Group {
            ring: stretch.ring,
            from_m: stretch.from_m,
            to_m: stretch.to_m,
            area_m2,
            complete: edge_cells < EDGE_FLOOR_CELLS,
            manner,
            width_80_m,
            members: places,
        }
    }

    /// How far along the line an inflow lies outside a stretch, m; to one on another ring, the way across.
    fn apart_m(&self, stretch: &Stretch, inflow: &Inflow, lengths: &[f64]) -> f64 {
        let line = self.places.line;
        if stretch.ring != inflow.ring {
            let from = line.rings()[inflow.ring].point_at(inflow.chainage_m);
            let ends = [stretch.from_m, stretch.to_m].map(|m| line.rings()[stretch.ring].point_at(m) - from);
            let units = ends.map(|way| way.x.hypot(way.y)).into_iter().fold(f64::INFINITY, f64::min);
            return units * line.metres_per_unit();
        }
        let length = lengths[stretch.ring];
        let past = (inflow.chainage_m - stretch.from_m).rem_euclid(length);
        let beyond_end = past - stretch.length_m();
        if beyond_end <= 0.0 { 0.0 } else { beyond_end.min(length - past) }
    }
}

//! The ledger of all lots at once, by the forest of boundary crossings.
//!
//! Takes ground routed to one receiver a cell, gives for every pair of lots what the ledger of one lot
//! ([`crate::lots::contributions`]) gives under single routing: ground whose rain comes from the one onto the other, what of it comes
//! straight, and what the one hands over. Water that leaves a lot and comes back counts once.

mod amount;
mod beside;
mod booking;
mod forest;
mod lines;
mod origins;
mod slivers;

pub use amount::Amount;
pub use lines::{LotLines, lot_lines};

use super::handing::Handing;
use super::labels::{CellLots, Label};
use super::sheds::Leaving;
use crate::flow::{FlowField, Reach};
use crate::grid::{CellSize, Georef};
use booking::{Booking, shed};
use forest::Forest;
use geo::Coord;
use origins::origins;
use slivers::{Sliver, slivers};
use std::collections::BTreeMap;

/// Routed ground of a town.
#[derive(Debug, Clone, Copy)]
pub struct Town<'a> {
    /// Where water goes, to one receiver a cell.
    pub field: &'a FlowField,
    /// All cells, donors before receivers.
    pub order: &'a Reach,
    /// Whose cell is whose.
    pub lots: &'a CellLots,
    /// Cells where water goes below ground, into a storm inlet. Rising.
    pub inlets: &'a [usize],
    /// Size of a cell.
    pub cell: CellSize,
    /// Place of the raster.
    pub georef: Georef,
}

impl Town<'_> {
    fn receiver(&self, cell: usize) -> Option<usize> {
        self.field.receivers(cell).main()
    }

    fn leaving_at(&self, cell: usize) -> Leaving {
        self.inlets.binary_search(&cell).map_or(Leaving::OffTheData, Leaving::IntoInlet)
    }

    /// Share of the cell that lies outside a lot.
    fn share_outside(&self, cell: usize, lot: Label) -> f64 {
        self.lots.parts(cell).filter(|&(label, _)| label != lot).map(|(_, share)| share).sum()
    }
}

/// What one lot, or land without a lot, gives to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Pair {
    /// Ground of the source whose rain comes onto the receiver, wherever it enters.
    pub area: Amount,
    /// Of that, what crosses no other lot line before.
    pub straight: Amount,
    /// Ground whose rain crosses from the source onto the receiver, whoever's rain it was.
    pub handed_over: Amount,
}

/// The ledger of all lots.
#[derive(Debug)]
pub struct Ledger {
    /// By receiver, then source.
    pairs: BTreeMap<(Label, Label), Pair>,
    /// By lot, then by where its rain first leaves it.
    shed: BTreeMap<(Label, Leaving), Amount>,
    forest: Forest,
    booking: Booking,
    slivers: Vec<Sliver>,
    /// Who hands water over at each crossing.
    by: Vec<Label>,
}

impl Ledger {
    /// Books the water of all lots.
    ///
    /// `touches_edge` says which cells lie at the edge of the data; `owner` names the lot that covers a point.
    #[must_use]
    pub fn of(
        town: &Town<'_>,
        touches_edge: impl Fn(usize) -> bool,
        owner: impl Fn(Coord) -> Option<Label>,
    ) -> Self {
        let forest = Forest::of(town);
        let slivers = slivers(town, &forest);
        let booking = Booking::of(town, &forest, &slivers, touches_edge);
        let handing = Handing { lots: town.lots, georef: town.georef, owner };
        let by = (0..forest.len()).map(|node| handed_by(town, &forest, &handing, node)).collect();
        let mut ledger = Self {
            pairs: BTreeMap::new(),
            shed: shed(town, &forest, &booking),
            forest,
            booking,
            slivers,
            by,
        };
        for ((lot, source), area) in origins(town, &ledger.forest, &ledger.slivers) {
            ledger.pairs.entry((lot, source)).or_default().area = area;
        }
        ledger.hand_over(town);
        ledger
    }

    /// Books what crosses each line for the first time, at steps and in cells that the line runs through.
    fn hand_over(&mut self, town: &Town<'_>) {
        for node in 0..self.forest.len() {
            let crossing = *self.forest.node(node);
            let fresh = self.booking.fresh[node];
            let Some(lot) = crossing.to.filter(|_| fresh.is_some()) else { continue };
            let by = self.by[node];
            let pair = self.pairs.entry((lot, by)).or_default();
            pair.handed_over += fresh;
            if by == crossing.from {
                pair.straight += self.booking.straight(node);
            }
        }
        for sliver in self.slivers.iter().filter(|sliver| sliver.arriving > 0.0) {
            let lot = town.lots.label(sliver.cell);
            for (source, share) in town.lots.parts(sliver.cell).filter(|&(label, _)| label != lot) {
                let pair = self.pairs.entry((lot, source)).or_default();
                pair.handed_over += Amount::of_share(share * sliver.arriving);
                pair.straight += Amount::of_share(share * sliver.at_once.min(sliver.arriving));
            }
        }
    }

    /// What each lot gives to each other, by receiver, then source.
    pub fn pairs(&self) -> impl Iterator<Item = (Label, Label, Pair)> + '_ {
        self.pairs.iter().map(|(&(lot, source), &pair)| (lot, source, pair))
    }

    /// What others give to one lot, by source.
    pub fn onto(&self, lot: Label) -> impl Iterator<Item = (Label, Pair)> + '_ {
        let rows = self.pairs.range((lot, Label::UNPARCELLED)..);
        rows.take_while(move |row| row.0.0 == lot).map(|(&(_, source), &pair)| (source, pair))
    }

    /// Where the rain of one lot goes when it first leaves it.
    pub fn shed_by(&self, lot: Label) -> impl Iterator<Item = (Leaving, Amount)> + '_ {
        let rows = self.shed.range((lot, Leaving::Onto(Label::UNPARCELLED))..);
        rows.take_while(move |row| row.0.0 == lot).map(|(&(_, to), &amount)| (to, amount))
    }

    /// Ground outside a lot whose rain comes onto it.
    #[must_use]
    pub fn run_on(&self, lot: Label) -> Amount {
        self.onto(lot).map(|(_, pair)| pair.area).sum()
    }
}

/// Who hands water over at a crossing onto a lot; the lot that it leaves, where a line runs through neither cell.
fn handed_by<F: Fn(Coord) -> Option<Label>>(
    town: &Town<'_>,
    forest: &Forest,
    handing: &Handing<'_, F>,
    node: usize,
) -> Label {
    let crossing = forest.node(node);
    let cell = crossing.cell as usize;
    match (crossing.to, town.receiver(cell)) {
        (Some(lot), Some(into)) if town.lots.is_shared(cell) || town.lots.is_shared(into) => {
            handing.over(cell, into, lot)
        }
        _ => crossing.from,
    }
}

#[cfg(test)]
mod tests;

//! What crosses the line of one lot, and where: the crossings that the ledger of one lot finds, without their origins.

use super::beside::beside_lines;
use super::{Amount, Ledger, Town};
use crate::lots::grouping::{Entering, Group, group};
use crate::lots::line_places::LinePlaces;
use crate::lots::lot_line::LotLine;
use crate::lots::stretch::{Inflow, Stretch, separate};
use crate::lots::{Label, LotLineError};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Crossings of one lot.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LotLines {
    /// By ring and start.
    pub crossings: Vec<Group>,
    /// Length of the lot line over which each neighbour hands water over, m.
    pub handed_m: BTreeMap<Label, f64>,
}

/// Crossings of all lots, by place. `outlines` are the lots' outlines by place, in map units.
///
/// # Errors
/// [`LotLineError`] for a lot without a usable outline.
pub fn lot_lines(
    town: &Town<'_>,
    ledger: &Ledger,
    outlines: &[&geo::MultiPolygon<f64>],
    metres_per_unit: f64,
) -> Result<Vec<LotLines>, LotLineError> {
    let beside = beside_lines(town, ledger);
    let steps = ledger.steps_by_lot(town, outlines.len());
    outlines
        .par_iter()
        .zip(&steps)
        .enumerate()
        .map(|(place, (outline, steps))| {
            let lot = Label::of_number(place + 1);
            let line = LotLine::new(outline, metres_per_unit)?;
            let (georef, shape, cell) = (town.georef, town.lots.shape(), town.cell);
            let places = LinePlaces { line: &line, georef, shape, cell };
            Ok(ledger.crossings_of(town, lot, steps, &places, &beside))
        })
        .collect()
}

/// Crossings that the water of one lot takes, and shared cells of it.
#[derive(Debug, Clone, Default)]
struct Steps {
    exits: Vec<u32>,
    slivers: Vec<u32>,
}

impl Ledger {
    #[expect(clippy::cast_possible_truncation, reason = "there are no more of either than cells")]
    fn steps_by_lot(&self, town: &Town<'_>, lots: usize) -> Vec<Steps> {
        let mut steps = vec![Steps::default(); lots];
        for node in (0..self.forest.len()).filter(|&node| self.booking.passing[node].is_some()) {
            if let Some(place) = self.forest.node(node).from.place() {
                steps[place].exits.push(node as u32);
            }
        }
        for (number, sliver) in self.slivers.iter().enumerate().filter(|(_, s)| s.arriving > 0.0) {
            if let Some(place) = town.lots.label(sliver.cell).place() {
                steps[place].slivers.push(number as u32);
            }
        }
        steps
    }

    fn crossings_of(
        &self,
        town: &Town<'_>,
        lot: Label,
        steps: &Steps,
        places: &LinePlaces<'_>,
        beside: &[f64],
    ) -> LotLines {
        let (mut entering, mut by) = (Vec::new(), Vec::new());
        for &node in self.forest.entries_of(lot) {
            let node = node as usize;
            let fresh = self.booking.fresh[node];
            let cell = self.forest.node(node).cell as usize;
            let Some(into) = town.receiver(cell).filter(|_| fresh.is_some()) else { continue };
            entering.push(Entering {
                inflow: places.inflow(cell, into, fresh.m2(town.cell)),
                is_sliver: false,
                edge_cells: f64::from(self.booking.fresh_edge[node]),
                beside_line_m: beside[node] / fresh.cells(),
            });
            by.push(self.by[node]);
        }
        for &number in &steps.slivers {
            let sliver = &self.slivers[number as usize];
            for (source, share) in town.lots.parts(sliver.cell).filter(|&(label, _)| label != lot) {
                let amount = Amount::of_share(share * sliver.arriving);
                entering.push(Entering {
                    inflow: places.inflow(sliver.cell, sliver.cell, amount.m2(town.cell)),
                    is_sliver: true,
                    edge_cells: 0.0,
                    beside_line_m: 0.0,
                });
                by.push(source);
            }
        }
        let leaving: Vec<Inflow> = steps
            .exits
            .iter()
            .map(|&exit| {
                let cell = self.forest.node(exit as usize).cell as usize;
                places.at_line(cell, self.booking.passing[exit as usize].m2(town.cell))
            })
            .collect();
        if entering.is_empty() {
            return LotLines::default();
        }
        LotLines { crossings: group(places, &entering, &leaving), handed_m: handed_m(places, &entering, &by) }
    }
}

/// Length of the line over which each neighbour's water comes, slivers apart.
fn handed_m(places: &LinePlaces<'_>, entering: &[Entering], by: &[Label]) -> BTreeMap<Label, f64> {
    let mut flows: BTreeMap<Label, Vec<Inflow>> = BTreeMap::new();
    for (entry, &label) in entering.iter().zip(by).filter(|(entry, _)| !entry.is_sliver) {
        flows.entry(label).or_default().push(entry.inflow);
    }
    let lengths = places.line.ring_lengths_m();
    flows
        .into_iter()
        .map(|(label, flows)| {
            let stretches = separate(&flows, &lengths, places.gap_m());
            (label, stretches.iter().map(Stretch::length_m).sum())
        })
        .collect()
}

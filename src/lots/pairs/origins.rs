//! Whose rain reaches which lot, for all pairs at once.

use super::Town;
use super::amount::Amount;
use super::forest::Forest;
use super::slivers::Sliver;
use crate::lots::Label;
use std::collections::BTreeMap;

/// Rain by the lot that it fell on.
type ByLot = BTreeMap<Label, Amount>;

/// For each receiving lot and each source, the source's ground whose rain comes onto the lot, wherever it enters.
///
/// # Method
/// From the tops of the forest down each crossing has the ground above it by lot; of two such lists the shorter is put into
/// the longer. All water that ever enters a lot passes exactly one last entry of it, so there each cell counts once.
///
/// # Cost
/// Proportional to the crossings, times the logarithm of their number, and to the pairs found.
pub(super) fn origins(
    town: &Town<'_>,
    forest: &Forest,
    slivers: &[Sliver],
) -> BTreeMap<(Label, Label), Amount> {
    let mut found = BTreeMap::new();
    let mut above = own_ground(town, forest);
    for node in forest.upstream_first() {
        let node = node as usize;
        let here = std::mem::take(&mut above[node]);
        if let Some(lot) = forest.node(node).to.filter(|_| !forest.enters_again(node)) {
            for (&source, &amount) in here.iter().filter(|&(&source, _)| source != lot) {
                *found.entry((lot, source)).or_default() += amount;
            }
        }
        if let Some(next) = forest.next(node) {
            join(&mut above[next], here);
        }
    }
    correct(town, forest, slivers, &mut found);
    found.retain(|_, amount: &mut Amount| amount.is_some());
    found
}

/// The ground whose first crossing is each one.
fn own_ground(town: &Town<'_>, forest: &Forest) -> Vec<ByLot> {
    let mut above: Vec<ByLot> = vec![ByLot::new(); forest.len()];
    for &cell in town.order.cells() {
        let Some(first) = forest.first(cell as usize) else { continue };
        for (label, share) in town.lots.parts(cell as usize) {
            *above[first].entry(label).or_default() += Amount::of_share(share);
        }
    }
    above
}

fn join(into: &mut ByLot, mut other: ByLot) {
    if into.len() < other.len() {
        std::mem::swap(into, &mut other);
    }
    for (label, amount) in other {
        *into.entry(label).or_default() += amount;
    }
}

/// A lot's own cells aren't outside it: of the parts of them that are, as much counts as comes onto it.
fn correct(
    town: &Town<'_>,
    forest: &Forest,
    slivers: &[Sliver],
    found: &mut BTreeMap<(Label, Label), Amount>,
) {
    for sliver in slivers {
        let lot = town.lots.label(sliver.cell);
        let comes_back = forest.first(sliver.cell).and_then(|first| forest.onto(lot, first)).is_some();
        for (source, share) in town.lots.parts(sliver.cell).filter(|&(label, _)| label != lot) {
            let amount = found.entry((lot, source)).or_default();
            *amount += Amount::of_share(share * sliver.arriving);
            if comes_back {
                *amount -= Amount::of_share(share);
            }
        }
    }
}

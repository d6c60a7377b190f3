//! How far water has run beside a lot line before it enters: the same figure as in the ledger of one lot.
//!
//! Each step from a cell within two cells of a lot counts for the water that enters that lot for the first time further down.
//! All that passes the cell is known from the upstream areas; what has been on the lot before, and what fell on it, is taken off by
//! going down its ways.

use super::booking::parts_in_others;
use super::{Amount, Ledger, Town};
use crate::lots::Label;

/// Rows and columns within which a cell lies beside a lot.
const NEAR: usize = 2;

/// For every entry, cells' worth of water times the way that it has run beside the lot that it enters, m.
pub(super) fn beside_lines(town: &Town<'_>, ledger: &Ledger) -> Vec<f64> {
    let forest = &ledger.forest;
    let mut found = vec![0.0; forest.len()];
    let passing = upstream(town);
    for &cell in town.order.cells() {
        let cell = cell as usize;
        let Some(first) = forest.first(cell) else { continue };
        for lot in lots_beside(town, cell) {
            if let Some(entry) = forest.onto(lot, first) {
                found[entry] += passing[cell].cells() * step_m(town, cell);
            }
        }
    }
    for (exit, entry) in ledger.booking.back.iter().enumerate() {
        let crossing = forest.node(exit);
        if let (Some(entry), Some(next)) = (entry, town.receiver(crossing.cell as usize)) {
            let way_m = way_beside(town, crossing.from, next);
            found[*entry as usize] -= ledger.booking.total[exit].cells() * way_m;
        }
    }
    for (cell, entry, amount) in parts_in_others(town, forest, &ledger.slivers) {
        if let Some(lot) = forest.node(entry).to {
            found[entry] -= amount.cells() * way_beside(town, lot, cell);
        }
    }
    found
}

/// Rain that passes each cell.
fn upstream(town: &Town<'_>) -> Vec<Amount> {
    let mut found = vec![Amount::NONE; town.lots.shape().len()];
    for &cell in town.order.cells() {
        let cell = cell as usize;
        let here: Amount = town.lots.parts(cell).map(|(_, share)| Amount::of_share(share)).sum();
        found[cell] += here;
        if let Some(receiver) = town.receiver(cell) {
            let passing = found[cell];
            found[receiver] += passing;
        }
    }
    found
}

/// The way beside a lot from a cell down to where it enters the lot, m.
fn way_beside(town: &Town<'_>, lot: Label, from: usize) -> f64 {
    let mut way_m = 0.0;
    let mut at = Some(from);
    while let Some(cell) = at.filter(|&cell| town.lots.label(cell) != lot) {
        if is_beside(town, cell, lot) {
            way_m += step_m(town, cell);
        }
        at = town.receiver(cell);
    }
    way_m
}

/// Length of a cell's step, m; 0 where water leaves the ground.
fn step_m(town: &Town<'_>, cell: usize) -> f64 {
    town.receiver(cell).map_or(0.0, |to| town.cell.between_m(town.lots.shape(), cell, to))
}

/// Other lots that a cell lies within two cells of.
fn lots_beside(town: &Town<'_>, cell: usize) -> Vec<Label> {
    let own = town.lots.label(cell);
    let mut found = Vec::new();
    for near in around(town, cell) {
        let label = town.lots.label(near);
        if label != own && label != Label::UNPARCELLED && !found.contains(&label) {
            found.push(label);
        }
    }
    found
}

fn is_beside(town: &Town<'_>, cell: usize, lot: Label) -> bool {
    around(town, cell).any(|near| town.lots.label(near) == lot)
}

fn around(town: &Town<'_>, cell: usize) -> impl Iterator<Item = usize> {
    let shape = town.lots.shape();
    let at = shape.cell(cell);
    let (rows, cols) = (
        at.row.saturating_sub(NEAR)..(at.row + NEAR + 1).min(shape.rows),
        at.col.saturating_sub(NEAR)..(at.col + NEAR + 1).min(shape.cols),
    );
    rows.flat_map(move |row| cols.clone().map(move |col| row * shape.cols + col))
}

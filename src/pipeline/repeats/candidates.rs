//! Places where a level may settle what the repeats leave open: where the water forks, and the lowest ways that it may take
//! from there.

use super::super::catchment::facets;
use super::super::ground::Ground;
use super::certainty::Certainty;
use super::passes::{CERTAIN, passes};
use crate::error::Error;
use crate::flow::{Routing, upstream_area};
use crate::grid::{Cell, CellSet, Direction, Grid, GridShape};
use crate::terrain::{Rim, fill};

/// Forks of the water that are looked at, at the most. Ours: the fewer places, the fewer agree by chance.
const FORKS: usize = 16;
/// Steps around a fork in which the bank or the way that decides is looked for. Ours.
const AROUND_FORK: usize = 3;
/// Steps around a pass: what decides is the pass, or where the water first comes down from it.
const AROUND_PASS: usize = 1;

/// Cells to look at.
pub(super) struct Candidates {
    /// Rising.
    pub(super) places: Vec<usize>,
    /// Two of them, by their places in that list, on the two ways that water of one fork may take: which lies lower may
    /// decide.
    pub(super) pairs: Vec<(usize, usize)>,
}

/// Where much water goes either way.
struct Fork {
    cell: usize,
    /// Whether water stands there or goes over level ground: then a rule leads its way, and the fork may lie anywhere.
    is_level: bool,
}

/// Cells at and around forks and passes, without roofs and bridged holes.
///
/// A way over level ground or through standing water follows a rule, so that no place on it is looked at for its own
/// sake; the passes around are the same wherever on it the search begins.
pub(super) fn candidates(ground: &Ground, found: &Certainty, routing: Routing) -> Result<Candidates, Error> {
    let shape = ground.raw.shape();
    let can_be_shot = |cell: usize| {
        !ground.raw.values()[cell].is_nan()
            && !ground.roofs.covers(cell)
            && ground.bridged.binary_search(&cell).is_err()
    };
    let mut near = CellSet::none_of(shape.len());
    let mut add = |middle: usize, steps: usize| {
        for cell in around(shape, middle, steps) {
            near.insert(cell);
        }
    };
    let mut ways: Vec<(usize, usize)> = Vec::new();
    for fork in forks(ground, found, routing)? {
        if !fork.is_level {
            add(fork.cell, AROUND_FORK);
        }
        let [to_lot, away] = passes(ground, &found.map.values, fork.cell);
        for pass in [to_lot, away].into_iter().flatten() {
            add(pass, AROUND_PASS);
        }
        ways.extend(to_lot.zip(away));
    }
    let places: Vec<usize> =
        (0..shape.len()).filter(|&cell| near.contains(cell) && can_be_shot(cell)).collect();
    ways.sort_unstable();
    ways.dedup();
    let place = |cell: usize| places.binary_search(&cell).ok();
    let mut pairs: Vec<(usize, usize)> = ways
        .into_iter()
        .flat_map(|(to_lot, away)| {
            around(shape, to_lot, AROUND_PASS)
                .flat_map(move |a| around(shape, away, AROUND_PASS).map(move |b| (a, b)))
        })
        .filter_map(|(a, b)| place(a).zip(place(b)))
        .filter(|(a, b)| a != b)
        .map(|(a, b)| (a.min(b), a.max(b)))
        .collect();
    pairs.sort_unstable();
    pairs.dedup();
    Ok(Candidates { places, pairs })
}

/// The forks on which most hangs, none near another: upstream area on the given surface times p (1 - p), with p the
/// likelihood that its water reaches the lot.
fn forks(ground: &Ground, found: &Certainty, routing: Routing) -> Result<Vec<Fork>, Error> {
    let (raw, shape) = (&ground.raw, ground.raw.shape());
    let filled = fill(raw, &Rim::OPEN, &ground.inlets.outlets(raw))?;
    let area = upstream_area(&facets(ground, raw, &filled, routing)?, ground.cell)?;
    let [low, high] = CERTAIN;
    let open = found.map.values.values().iter().enumerate().filter(|&(_, &p)| p > low && p < high);
    let weighed = open.map(|(cell, &p)| (cell, area.values()[cell] * f64::from(p * (1.0 - p))));
    let mut weighed: Vec<(usize, f64)> = weighed.collect();
    weighed.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut taken = CellSet::none_of(shape.len());
    let mut forks = Vec::new();
    for (cell, _) in weighed {
        if forks.len() == FORKS {
            break;
        }
        if !taken.contains(cell) {
            forks.push(Fork { cell, is_level: is_level(raw, &filled, cell) });
            for near in around(shape, cell, 2 * AROUND_FORK) {
                taken.insert(near);
            }
        }
    }
    Ok(forks)
}

/// Whether water stands at a cell, or it has no fall to one of its neighbours.
fn is_level(raw: &Grid<f32>, filled: &Grid<f32>, index: usize) -> bool {
    let shape = raw.shape();
    let level = filled.values()[index];
    let same = |cell: Cell| (*filled.at(cell) - level).abs() <= 0.0;
    let mut around = Direction::ALL.into_iter().filter_map(|to| shape.neighbour(shape.cell(index), to));
    level > raw.values()[index] || around.any(same)
}

/// A cell and all within so many steps of it.
fn around(shape: GridShape, cell: usize, steps: usize) -> impl Iterator<Item = usize> {
    let Cell { row, col } = shape.cell(cell);
    let rows = row.saturating_sub(steps)..(row + steps + 1).min(shape.rows);
    let cols = col.saturating_sub(steps)..(col + steps + 1).min(shape.cols);
    rows.flat_map(move |row| cols.clone().map(move |col| shape.index(Cell { row, col })))
}

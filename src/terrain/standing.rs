//! The water that stands at one place of a filled surface.

use crate::grid::{Cell, CellSize, Direction, Grid};
use std::collections::BTreeSet;

/// Water that stands at one level, in cells that touch.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Level when full, m.
    pub level_m: f64,
    /// Depth at the deepest cell, m.
    pub depth_m: f64,
    /// Area, m².
    pub area_m2: f64,
    /// Volume, m³.
    pub volume_m3: f64,
    /// Its cells, rising.
    pub cells: Vec<usize>,
}

impl Standing {
    /// The lowest ground below it, m.
    #[must_use]
    pub fn bottom_m(&self) -> f64 {
        self.level_m - self.depth_m
    }
}

/// The water over a cell, gathered from there; nothing where the ground wasn't raised.
///
/// # Units
/// Metres for both surfaces.
///
/// # Cost
/// Of the cells that it covers.
#[must_use]
pub fn standing_at(raw: &Grid<f32>, filled: &Grid<f32>, size: CellSize, at: Cell) -> Option<Standing> {
    let shape = raw.shape();
    let level = *filled.at(at);
    // Bits, because levels are compared for being the same number; adding 0 makes the two zeros one.
    let bits = |level: f32| (level + 0.0).to_bits();
    let belongs = |cell: Cell| bits(*filled.at(cell)) == bits(level) && *raw.at(cell) < level;
    if !belongs(at) {
        return None;
    }
    let mut seen = BTreeSet::from([shape.index(at)]);
    let mut open = vec![at];
    while let Some(cell) = open.pop() {
        for next in Direction::ALL.into_iter().filter_map(|d| shape.neighbour(cell, d)) {
            if belongs(next) && seen.insert(shape.index(next)) {
                open.push(next);
            }
        }
    }
    let cells: Vec<usize> = seen.into_iter().collect();
    let level_m = f64::from(level);
    let depths = || cells.iter().map(|&cell| level_m - f64::from(raw.values()[cell]));
    #[expect(clippy::cast_precision_loss, reason = "a number of cells")]
    let area_m2 = cells.len() as f64 * size.area_m2();
    Some(Standing {
        level_m,
        depth_m: depths().fold(0.0, f64::max),
        area_m2,
        volume_m3: depths().sum::<f64>() * size.area_m2(),
        cells,
    })
}

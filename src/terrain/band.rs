//! One band of rows: basins, and the cells where basins may touch.

use super::link::{ABOVE, BELOW, GROUPS, MET, way_down};
use super::rows::Window;
use crate::grid::OFFSETS;

/// A cell where water of one basin may pass into another, and its lower neighbours.
#[derive(Debug, Clone, Copy)]
pub(super) struct Saddle {
    /// Place on the grid, row by row.
    pub(super) cell: u32,
    /// Mask of lower neighbours.
    pub(super) lower: u8,
}

/// What a band's scan finds.
///
/// # Invariants
/// Every label of the band is below `basin_of.len()`; every entry of `basin_of` is below `basins`. All cells with
/// one basin reach the basin's lowest cell inside the band without climbing.
#[derive(Debug)]
pub(super) struct Band {
    /// Basin of a label.
    pub(super) basin_of: Vec<u32>,
    /// Number of basins.
    pub(super) basins: u32,
    /// Cells where basins may touch, in the order of cells.
    pub(super) saddles: Vec<Saddle>,
    /// Whether any cell is a hole.
    pub(super) has_holes: bool,
}

/// What to do with a cell of a given mask.
struct Plan {
    /// Step in row-by-row order to the cell below, 0 for none.
    step: [i32; 256],
    /// Whether that cell has a label already.
    met: [bool; 256],
    /// Whether basins may touch here.
    saddle: [bool; 256],
}

impl Plan {
    /// The plan for rows whose way down may lead to the neighbours `allowed` only.
    fn new(cols: usize, allowed: u8) -> Self {
        let mut plan = Self { step: [0; 256], met: [false; 256], saddle: [false; 256] };
        for mask in 0..=u8::MAX {
            let at = usize::from(mask);
            let inside = mask & allowed;
            if let Some(code) = way_down(inside) {
                let (down, right) = OFFSETS[usize::from(code)];
                #[expect(clippy::cast_possible_truncation, clippy::cast_possible_wrap, reason = "below 2^31")]
                let step = (down * cols as isize + right) as i32;
                plan.step[at] = step;
                plan.met[at] = inside & MET != 0;
            }
            // A cell whose only way down leaves the band ends its basin here and passes water on at its own level.
            plan.saddle[at] = GROUPS[at].count_ones() > 1 || (inside == 0 && mask != 0);
        }
        plan
    }
}

/// Scans the rows from `first_row` on, as many as `labels` holds, and labels their cells.
///
/// Each cell takes the label of the cell below it where that one has been met; else it starts a label that remembers
/// the cell below it, and the few labels are joined to basins at the end. Loops over cells are free of branches on
/// elevations: on rough ground nobody can foretell them.
pub(super) fn scan(raw: &[f32], cols: usize, first_row: usize, labels: &mut [u32]) -> Band {
    let rows = labels.len() / cols;
    let offset = first_row * cols;
    let plans: [Plan; 4] = [u8::MAX, !ABOVE, !BELOW, !(ABOVE | BELOW)].map(|allowed| Plan::new(cols, allowed));
    let mut window = Window::new(raw, cols, first_row);
    let mut masks = vec![0_u8; cols];
    // Below each label: the cell that its first cell drains to, or that cell itself.
    let mut below: Vec<u32> = Vec::new();
    let mut saddles: Vec<Saddle> = Vec::new();
    let mut next = 0;
    let mut found = 0;
    let mut has_holes = false;
    for row in 0..rows {
        window.lower_neighbours(&mut masks);
        let plan = &plans[usize::from(row == 0) + 2 * usize::from(row + 1 == rows)];
        below.resize(next + cols + 1, 0);
        saddles.resize(found + cols + 1, Saddle { cell: 0, lower: 0 });
        let mut at = row * cols;
        for (&mask, &z) in masks.iter().zip(window.middle()) {
            let case = usize::from(mask);
            let valid = !z.is_nan();
            let down = at.wrapping_add_signed(plan.step[case] as isize);
            let fresh = valid & !plan.met[case];
            has_holes |= !valid;
            #[expect(clippy::cast_possible_truncation, reason = "cell numbers fit 32 bits: checked by fill")]
            {
                labels[at] = if plan.met[case] { labels[down] } else if valid { next as u32 } else { 0 };
                below[next] = down as u32;
                saddles[found] = Saddle { cell: (offset + at) as u32, lower: mask };
            }
            next += usize::from(fresh);
            found += usize::from(plan.saddle[case]);
            at += 1;
        }
        window.advance();
    }
    below.truncate(next);
    saddles.truncate(found);
    let (basin_of, basins) = join(&below, labels);
    Band { basin_of, basins, saddles, has_holes }
}

/// Follows each label down to its basin. Where a band has no ground, one label without a basin's ground remains.
fn join(below: &[u32], labels: &[u32]) -> (Vec<u32>, u32) {
    const OPEN: u32 = u32::MAX;
    let mut basin_of = vec![OPEN; below.len().max(1)];
    let mut basins = 0;
    let mut way = Vec::new();
    // From the last label on: what lies below is mostly further on, and then known already.
    for label in (0..below.len()).rev() {
        let mut at = label;
        let basin = loop {
            if basin_of[at] != OPEN {
                break basin_of[at];
            }
            let next = labels[below[at] as usize] as usize;
            way.push(at);
            if next == at {
                basins += 1;
                break basins - 1;
            }
            at = next;
        };
        for at in way.drain(..) {
            basin_of[at] = basin;
        }
    }
    if below.is_empty() {
        basin_of[0] = 0;
        basins = 1;
    }
    (basin_of, basins)
}

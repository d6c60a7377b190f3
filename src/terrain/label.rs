//! Labels for the cells of a band of rows: which cell each one drains to.

use super::link::{ABOVE, BELOW, GROUPS, MET, way_down};
use super::rows::Window;
use crate::grid::OFFSETS;

/// A cell where water of one basin may pass into another, and its lower neighbours.
#[derive(Debug, Clone, Copy)]
pub(super) struct Saddle(u64);

impl Saddle {
    // One number, because it is written for every cell and kept for few.
    fn new(at: usize, lower: u8) -> Self {
        Self((at as u64) << 8 | u64::from(lower))
    }

    /// Place in the band, row by row.
    pub(super) fn at(self) -> usize {
        (self.0 >> 8) as usize
    }

    /// One lower neighbour out of each group of them that touch one another, as bits.
    pub(super) fn groups(self) -> u8 {
        GROUPS[(self.0 & 0xFF) as usize]
    }
}

/// What a band's scan finds.
///
/// # Invariants
/// Every label of the band is the number of a basin, below `basins`. All cells with one basin reach the basin's lowest
/// cell inside the band without climbing.
#[derive(Debug)]
pub(super) struct Scan {
    /// Number of basins.
    pub(super) basins: usize,
    /// Cells where basins may touch, in the order of cells.
    pub(super) saddles: Vec<Saddle>,
    /// Of each row, whether it has a hole.
    pub(super) holes: Vec<bool>,
    /// First place of an infinite elevation.
    pub(super) infinite: Option<usize>,
}

/// What to do with cells of one mask.
#[derive(Debug, Clone, Copy)]
struct Case {
    /// Step in row-by-row order to the cell below, 0 for none.
    step: i32,
    /// Negative where that cell has been met and has a label; odd where basins may touch.
    flags: i32,
}

type Cases = [Case; 256];

/// The cases of rows whose way down may lead to the neighbours `allowed` only.
fn cases(cols: usize, allowed: u8) -> Cases {
    std::array::from_fn(|mask| {
        #[expect(clippy::cast_possible_truncation, reason = "below 256")]
        let inside = mask as u8 & allowed;
        let step = way_down(inside).map_or(0, |code| {
            let (down, right) = OFFSETS[usize::from(code)];
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_possible_wrap,
                reason = "cells fit 32 bits"
            )]
            {
                (down * cols as isize + right) as i32
            }
        });
        // A cell whose only way down leaves the band ends its basin here and passes water on at its own level.
        let saddle = GROUPS[mask].count_ones() > 1 || (inside == 0 && mask != 0);
        Case { step, flags: if inside & MET == 0 { 0 } else { i32::MIN } | i32::from(saddle) }
    })
}

/// Lists that grow with the scan. Each holds room for one more row.
#[derive(Default)]
struct Lists {
    /// The cell that each label's first cell drains to, or that cell itself.
    below: Vec<u32>,
    labels: usize,
    saddles: Vec<Saddle>,
    found: usize,
}

/// Scans the rows from `first_row` on, as many as `labels` holds, and labels their cells with their basins.
///
/// Each cell takes the label of the cell below it where that one has been met; else it starts a label that remembers
/// the cell below it, and the few labels are joined to basins at the end.
pub(super) fn scan(raw: &[f32], cols: usize, first_row: usize, labels: &mut [u32]) -> Scan {
    let rows = labels.len() / cols;
    let by_row: [Cases; 4] = [u8::MAX, !ABOVE, !BELOW, !(ABOVE | BELOW)].map(|allowed| cases(cols, allowed));
    let mut window = Window::new(raw, cols, first_row);
    let mut masks = vec![0_u8; cols];
    let mut lists = Lists::default();
    let mut infinite = None;
    let mut holes = vec![false; rows];
    for row in 0..rows {
        let finite = window.lower_neighbours(&mut masks);
        let cases = &by_row[usize::from(row == 0) + 2 * usize::from(row + 1 == rows)];
        lists.below.resize(lists.labels + cols + 1, 0);
        lists.saddles.resize(lists.found + cols + 1, Saddle(0));
        if finite {
            label_row::<false>(row * cols, &masks, window.middle(), cases, labels, &mut lists);
        } else {
            label_row::<true>(row * cols, &masks, window.middle(), cases, labels, &mut lists);
            holes[row] = window.middle().iter().any(|z| z.is_nan());
            let place = window.middle().iter().position(|z| z.is_infinite());
            infinite = infinite.or(place.map(|col| row * cols + col));
        }
        window.advance();
    }
    lists.below.truncate(lists.labels);
    lists.saddles.truncate(lists.found);
    let (basin_of, basins) = join(&lists.below, labels);
    // On ground that falls towards later cells nearly every cell starts a label: the list is too long to be kept.
    for label in labels {
        *label = basin_of[*label as usize];
    }
    Scan { basins, saddles: lists.saddles, holes, infinite }
}

/// Labels one row. Written to need no branches on elevations, which on rough ground no processor can foretell.
fn label_row<const HOLES: bool>(
    start: usize,
    masks: &[u8],
    ground: &[f32],
    cases: &Cases,
    labels: &mut [u32],
    lists: &mut Lists,
) {
    let cols = masks.len();
    let below = &mut lists.below[lists.labels..][..=cols];
    let saddles = &mut lists.saddles[lists.found..][..=cols];
    let ground = &ground[..cols];
    let (mut fresh, mut found) = (0, 0);
    let base = lists.labels;
    for (col, &mask) in masks.iter().enumerate() {
        if HOLES && ground[col].is_nan() {
            continue;
        }
        let at = start + col;
        let case = cases[usize::from(mask)];
        let down = at.wrapping_add_signed(case.step as isize);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "cells fit 32 bits")]
        {
            let keep = (case.flags >> 31) as u32;
            labels[at] = (labels[down] & keep) | ((base + fresh) as u32 & !keep);
            below[fresh] = down as u32;
        }
        saddles[found] = Saddle::new(at, mask);
        fresh += usize::from(case.flags >= 0);
        found += usize::from(case.flags & 1 == 1);
    }
    lists.labels += fresh;
    lists.found += found;
}

/// Follows each label down to its basin. Where a band has no ground, one label without a basin's ground remains.
fn join(below: &[u32], labels: &[u32]) -> (Vec<u32>, usize) {
    let mut next: Vec<u32> = below.iter().map(|&cell| labels[cell as usize]).collect();
    if next.is_empty() {
        next.push(0);
    }
    // Each round takes the next label's next; from the last on, since what lies below is mostly further on.
    loop {
        let mut changed = 0;
        for label in (0..next.len()).rev() {
            let near = next[label];
            let far = next[near as usize];
            changed |= near ^ far;
            next[label] = far;
        }
        if changed == 0 {
            break;
        }
    }
    let mut basins = 0;
    let number: Vec<u32> = (0_u32..)
        .zip(&next)
        .map(|(label, &lowest)| {
            basins += u32::from(label == lowest);
            basins.wrapping_sub(1)
        })
        .collect();
    for lowest in &mut next {
        *lowest = number[*lowest as usize];
    }
    (next, basins as usize)
}

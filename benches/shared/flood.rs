//! The textbook's way to fill sinks, as a yardstick: flood from the rim inward, lowest cell first.
//!
//! Written from the description in Barnes, Lehman and Mulla 2014, "Priority-flood" (from memory): a heap for the
//! shore, and a plain queue for cells found at or below the water. Heap entries are one number each.

use lotshed::grid::Grid;
use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

fn key(z: f32, at: usize) -> u64 {
    let bits = z.to_bits();
    let ordered = if bits >> 31 == 1 { !bits } else { bits | 1 << 31 };
    u64::from(ordered) << 32 | at as u64
}

/// Fills a grid without holes whose four sides are open.
pub(crate) fn flood(raw: &Grid<f32>) -> Grid<f32> {
    let shape = raw.shape();
    let wide = shape.cols + 2;
    // A border of visited cells spares the loop every question about the edge.
    let mut level = vec![0.0_f32; wide * (shape.rows + 2)];
    let mut seen = vec![true; level.len()];
    for (row, values) in raw.values().chunks(shape.cols).enumerate() {
        let at = (row + 1) * wide + 1;
        level[at..at + shape.cols].copy_from_slice(values);
        seen[at..at + shape.cols].fill(false);
    }
    let mut shore = BinaryHeap::new();
    for row in 1..=shape.rows {
        let step = if row == 1 || row == shape.rows { 1 } else { shape.cols - 1 };
        for col in (1..=shape.cols).step_by(step) {
            let at = row * wide + col;
            seen[at] = true;
            shore.push(Reverse(key(level[at], at)));
        }
    }
    let mut pit = VecDeque::new();
    let steps = [
        wide + 1,
        wide,
        wide - 1,
        1,
        1_usize.wrapping_neg(),
        (wide - 1).wrapping_neg(),
        wide.wrapping_neg(),
        (wide + 1).wrapping_neg(),
    ];
    loop {
        let at = if let Some(at) = pit.pop_front() {
            at
        } else if let Some(Reverse(key)) = shore.pop() {
            (key & 0xFFFF_FFFF) as usize
        } else {
            break;
        };
        let water = level[at];
        for step in steps {
            let next = at.wrapping_add(step);
            if seen[next] {
                continue;
            }
            seen[next] = true;
            if level[next] <= water {
                level[next] = water;
                pit.push_back(next);
            } else {
                shore.push(Reverse(key(level[next], next)));
            }
        }
    }
    let values = (1..=shape.rows).flat_map(|row| level[row * wide + 1..=row * wide + shape.cols].to_vec());
    Grid::new(shape, values.collect())
}

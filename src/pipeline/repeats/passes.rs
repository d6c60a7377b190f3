//! The lowest ways from open ground: to ground whose water surely reaches the lot, and to ground whose water surely doesn't.

use super::super::ground::Ground;
use crate::grid::{Direction, Grid};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Ground whose water surely goes past the lot, and surely to it: likelihoods up to the one, and from the other on. Ours.
pub(super) const CERTAIN: [f32; 2] = [0.1, 0.9];

/// A cell that wasn't come to.
const NOWHERE: u32 = u32::MAX;

/// The passes from a cell: the highest place of the lowest way to the lot, and of the lowest way past it. Water that gathers
/// at the cell goes over the lower of the two. Nothing where there is no such way.
pub(super) fn passes(ground: &Ground, likelihood: &Grid<f32>, from: usize) -> [Option<usize>; 2] {
    let [low, high] = CERTAIN;
    let sides = |cell: usize| {
        let p = likelihood.values()[cell];
        [p >= high, p <= low || ground.lets_out(cell)]
    };
    lowest_ways(&ground.raw, sides, from)
}

/// A flood from a cell, always on over the lowest ground beside what is flooded: the first cell of each side that it comes
/// to lies beyond the lowest pass to that side. Of equal levels that which was met first goes first, then the first row by
/// row.
fn lowest_ways(raw: &Grid<f32>, sides: impl Fn(usize) -> [bool; 2], from: usize) -> [Option<usize>; 2] {
    let shape = raw.shape();
    let mut highest = vec![NOWHERE; shape.len()];
    let mut waiting = BinaryHeap::new();
    let mut met = 0_usize;
    let mut found = [None; 2];
    let place = |cell: usize| u32::try_from(cell).unwrap_or(NOWHERE);
    highest[from] = place(from);
    waiting.push(Reverse((rank(raw.values()[from]), met, from)));
    while let Some(Reverse((_, _, cell))) = waiting.pop() {
        let pass = highest[cell];
        for (side, is_there) in sides(cell).into_iter().enumerate() {
            if is_there && found[side].is_none() {
                found[side] = Some(pass as usize);
            }
        }
        if found.iter().all(Option::is_some) {
            break;
        }
        let neighbours = Direction::ALL.into_iter().filter_map(|to| shape.neighbour(shape.cell(cell), to));
        for next in neighbours.map(|next| shape.index(next)) {
            let z = raw.values()[next];
            if highest[next] != NOWHERE || z.is_nan() {
                continue;
            }
            let top = raw.values()[pass as usize];
            highest[next] = if z > top { place(next) } else { pass };
            met += 1;
            waiting.push(Reverse((rank(z.max(top)), met, next)));
        }
    }
    found
}

/// A number that rises with the level.
const fn rank(level: f32) -> u32 {
    let bits = level.to_bits();
    if bits >> 31 == 1 { !bits } else { bits | 1 << 31 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::GridShape;

    /// By hand. From the pool at 1 the lowest way to the left, whose water is the lot's, is over 4, to the right over 5;
    /// the way over 3 leads into a hole.
    #[test]
    fn the_pass_is_the_highest_place_of_the_lowest_way() {
        let shape = GridShape { rows: 3, cols: 7 };
        let hole = f32::NAN;
        #[rustfmt::skip]
        let raw = Grid::new(shape, vec![
            9.0, 9.0, 9.0, 3.0, hole, 9.0, 9.0,
            0.0, 2.0, 4.0, 1.0, 5.0, 3.0, -1.0,
            9.0, 9.0, 6.0, 9.0, 7.0, 9.0, 9.0,
        ]);
        let at = |row: usize, col: usize| row * 7 + col;
        let sides = |cell: usize| [cell == at(1, 0), cell == at(1, 6)];
        assert_eq!(lowest_ways(&raw, sides, at(1, 3)), [Some(at(1, 2)), Some(at(1, 4))]);
        // From beyond one pass it is the way down itself.
        assert_eq!(lowest_ways(&raw, sides, at(1, 1)), [Some(at(1, 1)), Some(at(1, 4))]);
        assert_eq!(lowest_ways(&raw, |cell| [cell == at(1, 0), false], at(1, 3)), [Some(at(1, 2)), None]);
    }

    #[test]
    fn ranks_rise_with_levels() {
        let levels = [-10.0_f32, -1.5, -0.0, 0.0, 1e-3, 2.0, 100.0, f32::INFINITY];
        assert!(levels.windows(2).all(|pair| rank(pair[0]) < rank(pair[1])));
    }
}

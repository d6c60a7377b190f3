//! The lowest ways to a place from the ground around it: over which bank water must get.

use crate::grid::{Cell, Direction, Grid};
use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, BinaryHeap};

/// The lowest way from a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LowestWay {
    /// Highest ground on it, m: how high water must stand to get there.
    pub top_m: f32,
    /// Where that is; of several the nearest to the place in steps along the way.
    pub top: usize,
    /// The next cell on it; nothing at the place itself.
    pub next: Option<usize>,
}

/// The lowest ways from the cells around a place to it.
#[derive(Debug, Clone, PartialEq)]
pub struct LowestWays {
    ways: BTreeMap<usize, LowestWay>,
}

impl LowestWays {
    /// The way from a cell; nothing where none was looked for, or none leads over known ground.
    #[must_use]
    pub fn from(&self, cell: usize) -> Option<&LowestWay> {
        self.ways.get(&cell)
    }

    /// All cells with a way, rising.
    pub fn cells(&self) -> impl Iterator<Item = usize> + '_ {
        self.ways.keys().copied()
    }

    /// The cells of a way, the place last.
    pub fn along(&self, cell: usize) -> impl Iterator<Item = usize> + '_ {
        let start = self.ways.contains_key(&cell).then_some(cell);
        std::iter::successors(start, |cell| self.ways.get(cell).and_then(|way| way.next))
    }
}

/// A cell on the rim of what is reached.
#[derive(PartialEq)]
struct Front {
    top_m: f32,
    steps: u32,
    cell: usize,
}

impl Eq for Front {}

impl Ord for Front {
    fn cmp(&self, other: &Self) -> Ordering {
        self.top_m.total_cmp(&other.top_m).then(self.steps.cmp(&other.steps)).then(self.cell.cmp(&other.cell))
    }
}

impl PartialOrd for Front {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// The lowest ways to a cell over the cells that `within` allows; of equally low ones the shortest in steps.
///
/// # Units
/// Metres.
///
/// # Method
/// From the place outwards, always on from the rim's lowest cell, each cell as high as its own ground or the way so far
/// (Dijkstra's method with the highest ground in place of the length).
///
/// # Cost
/// Of n cells looked at, n log n.
#[must_use]
pub fn lowest_ways(raw: &Grid<f32>, to: Cell, within: impl Fn(Cell) -> bool) -> LowestWays {
    let shape = raw.shape();
    let mut ways: BTreeMap<usize, LowestWay> = BTreeMap::new();
    let mut rim = BinaryHeap::new();
    let start = shape.index(to);
    let here = *raw.at(to);
    if !here.is_nan() {
        ways.insert(start, LowestWay { top_m: here, top: start, next: None });
        rim.push(Reverse(Front { top_m: here, steps: 0, cell: start }));
    }
    while let Some(Reverse(Front { top_m, steps, cell })) = rim.pop() {
        let Some(&way) = ways.get(&cell) else { continue };
        for next in Direction::ALL.into_iter().filter_map(|d| shape.neighbour(shape.cell(cell), d)) {
            let (index, ground) = (shape.index(next), *raw.at(next));
            if ground.is_nan() || ways.contains_key(&index) || !within(next) {
                continue;
            }
            let higher = ground > top_m;
            let (top_m, top) = if higher { (ground, index) } else { (top_m, way.top) };
            ways.insert(index, LowestWay { top_m, top, next: Some(cell) });
            rim.push(Reverse(Front { top_m, steps: steps + 1, cell: index }));
        }
    }
    LowestWays { ways }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::GridShape;
    use crate::terrain::{Outlet, Rim, fill};
    use proptest::prelude::*;

    // A wall of 5 with a notch of 3 between a floor of 1 and the place at 2: by hand.
    #[test]
    fn the_way_leads_through_the_lowest_notch() {
        let shape = GridShape { rows: 5, cols: 5 };
        let z = |i: usize| match (i / 5, i % 5) {
            (3, 2) => 3.0,
            (_, 2) => 5.0,
            (_, 0 | 1) => 1.0,
            _ => 2.0,
        };
        let raw = Grid::new(shape, (0..25).map(z).collect());
        let ways = lowest_ways(&raw, Cell { row: 0, col: 4 }, |_| true);
        assert_eq!(ways.from(0), Some(&LowestWay { top_m: 3.0, top: 17, next: ways.from(0).unwrap().next }));
        let along: Vec<usize> = ways.along(0).collect();
        assert!(along.contains(&17) && along.first() == Some(&0) && along.last() == Some(&4), "{along:?}");
        assert!(lowest_ways(&raw, Cell { row: 0, col: 4 }, |c| c.col > 2).from(0).is_none());
    }

    proptest! {
        // The level at which water finds the way out is that of a filling with this one outlet.
        #[test]
        fn tops_are_the_levels_of_a_filling(z in prop::collection::vec(0_u8..20, 42), at in 0_usize..42) {
            let shape = GridShape { rows: 6, cols: 7 };
            let raw = Grid::new(shape, z.iter().map(|&z| f32::from(z)).collect());
            let cell = shape.cell(at);
            let filled = fill(&raw, &Rim::CLOSED, &[Outlet { cell, level_m: *raw.at(cell) }]).unwrap();
            let ways = lowest_ways(&raw, cell, |_| true);
            for i in 0..42 {
                let way = ways.from(i).unwrap();
                let same = |a: f32, b: f32| a.to_bits() == b.to_bits();
                prop_assert!(same(way.top_m, filled.values()[i]));
                prop_assert!(same(raw.values()[way.top], way.top_m));
                let highest = ways.along(i).map(|c| raw.values()[c]).fold(f32::MIN, f32::max);
                prop_assert!(same(highest, way.top_m));
            }
        }
    }
}

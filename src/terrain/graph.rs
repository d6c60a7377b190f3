//! From passes between basins to the level of each basin.

use rayon::slice::ParallelSliceMut;

/// The world outside, in the place of a basin.
pub(super) const OUTSIDE: u32 = u32::MAX;

/// Water standing at `level` in either basin flows into the other.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pass {
    /// Level in metres.
    pub(super) level: f32,
    /// One basin.
    pub(super) from: u32,
    /// The other, or [`OUTSIDE`].
    pub(super) to: u32,
}

/// Bits whose order as whole numbers is the order of the elevations.
pub(super) fn order_key(value: f32) -> u32 {
    let bits = value.to_bits();
    if bits >> 31 == 1 { !bits } else { bits | 1 << 31 }
}

/// The level of each basin: the highest pass on its lowest way to the outside; NaN without a way.
///
/// # Method
/// Passes are taken from the lowest up and join basins to groups. Passes within a group are no higher than the one
/// that first leads the group outside, so that one sets the level of all its basins (Kruskal 1956, "On the shortest
/// spanning subtree of a graph", from memory; the lowest spanning tree holds the lowest way between any two).
pub(super) fn levels(basins: usize, passes: &[Pass]) -> Vec<f32> {
    let mut order: Vec<u64> = (0_u32..)
        .zip(passes)
        .map(|(number, pass)| u64::from(order_key(pass.level)) << 32 | u64::from(number))
        .collect();
    order.par_sort_unstable();
    let mut groups = Groups::new(basins);
    let mut level = vec![f32::NAN; basins];
    for key in order {
        #[expect(clippy::cast_possible_truncation, reason = "the lower half is the number")]
        let pass = passes[key as u32 as usize];
        let from = groups.head(pass.from);
        let to = if pass.to == OUTSIDE { OUTSIDE } else { groups.head(pass.to) };
        let out = |head: u32| head == OUTSIDE || !level[head as usize].is_nan();
        match (out(from), out(to)) {
            (false, false) => groups.join(from, to),
            (false, true) => level[from as usize] = pass.level,
            (true, false) => level[to as usize] = pass.level,
            (true, true) => {}
        }
    }
    #[expect(clippy::cast_possible_truncation, reason = "basins are fewer than cells")]
    for basin in 0..basins as u32 {
        level[basin as usize] = level[groups.head(basin) as usize];
    }
    level
}

/// Disjoint groups of basins.
struct Groups {
    above: Vec<u32>,
}

impl Groups {
    #[expect(clippy::cast_possible_truncation, reason = "basins are fewer than cells")]
    fn new(basins: usize) -> Self {
        Self { above: (0..basins as u32).collect() }
    }

    fn head(&mut self, mut basin: u32) -> u32 {
        loop {
            let above = self.above[basin as usize];
            if above == basin {
                return basin;
            }
            let higher = self.above[above as usize];
            self.above[basin as usize] = higher;
            basin = higher;
        }
    }

    fn join(&mut self, a: u32, b: u32) {
        self.above[a.max(b) as usize] = a.min(b);
    }
}

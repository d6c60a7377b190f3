//! From passes between basins to the level of each basin.
//!
//! Both functions take the passes from the lowest up and join basins to groups (Kruskal 1956, "On the shortest
//! spanning subtree of a graph", from memory). Passes within a group are never higher than the one that first leads
//! out of it, so that one decides for all its basins.

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

/// Where a basin's level comes from: the higher of `level` and the level at the exit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fate {
    /// Level in metres of the pass towards the exit; NaN if there is none.
    pub(super) level: f32,
    /// Number of the exit, or [`OUTSIDE`].
    pub(super) exit: u32,
}

/// Bits whose order as whole numbers is the order of the elevations.
fn order_key(value: f32) -> u32 {
    let bits = value.to_bits();
    if bits >> 31 == 1 { !bits } else { bits | 1 << 31 }
}

/// The passes from the lowest up, in the order given where level.
fn ascending(passes: &[Pass]) -> impl Iterator<Item = Pass> {
    let mut order: Vec<u64> = (0_u32..)
        .zip(passes)
        .map(|(number, pass)| u64::from(order_key(pass.level)) << 32 | u64::from(number))
        .collect();
    order.sort_unstable();
    #[expect(clippy::cast_possible_truncation, reason = "the lower half is the number")]
    order.into_iter().map(|key| passes[key as u32 as usize])
}

/// The level of each basin: the highest pass on its lowest way to the outside; NaN without a way.
pub(super) fn levels(basins: usize, passes: &[Pass]) -> Vec<f32> {
    let exits = vec![None; basins];
    let (fates, _) = fates(&exits, passes);
    fates.into_iter().map(|fate| fate.level).collect()
}

/// What passes inside a band decide about its basins, and the passes between exits that are left to decide.
///
/// `exits[basin]` numbers the basins that water may enter or leave by other ways than these passes.
pub(super) fn fates(exits: &[Option<u32>], passes: &[Pass]) -> (Vec<Fate>, Vec<Pass>) {
    let basins = exits.len();
    let outside = basins;
    // For each group, an exit in it. The world outside is one more basin.
    let mut exit: Vec<Option<u32>> = exits.iter().copied().chain([Some(OUTSIDE)]).collect();
    let mut all = Groups::new(basins + 1);
    // Groups as they were before they were joined to one with an exit.
    let mut inner = Groups::new(basins + 1);
    let mut fate: Vec<Fate> = exits
        .iter()
        .map(|exit| match exit {
            Some(exit) => Fate { level: f32::NEG_INFINITY, exit: *exit },
            None => Fate { level: f32::NAN, exit: OUTSIDE },
        })
        .collect();
    let mut left = Vec::new();
    for Pass { level, from, to } in ascending(passes) {
        let a = all.head(from as usize);
        let b = all.head(if to == OUTSIDE { outside } else { to as usize });
        if a == b {
            continue;
        }
        let (low, high) = all.join(a, b);
        match (exit[a], exit[b]) {
            (None, None) => {
                inner.join(a, b);
            }
            (None, Some(exit)) => fate[a] = Fate { level, exit },
            (Some(exit), None) => fate[b] = Fate { level, exit },
            (Some(OUTSIDE), Some(exit)) | (Some(exit), Some(OUTSIDE)) => {
                left.push(Pass { level, from: exit, to: OUTSIDE });
            }
            (Some(from), Some(to)) => left.push(Pass { level, from, to }),
        }
        // Any exit in a group will do: between two of them no pass is higher than those taken later.
        exit[low] = exit[low].or(exit[high]);
    }
    for basin in 0..basins {
        fate[basin] = fate[inner.head(basin)];
    }
    (fate, left)
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

    fn head(&mut self, mut basin: usize) -> usize {
        loop {
            let above = self.above[basin] as usize;
            if above == basin {
                return basin;
            }
            self.above[basin] = self.above[above];
            basin = above;
        }
    }

    /// Joins two groups by their heads; gives the new head and the head that is none any more.
    #[expect(clippy::cast_possible_truncation, reason = "basins are fewer than cells")]
    fn join(&mut self, a: usize, b: usize) -> (usize, usize) {
        let (low, high) = (a.min(b), a.max(b));
        self.above[high] = low as u32;
        (low, high)
    }
}

//! Which parts' pipes cross with too little ground between them, or run in one trench.

use super::crossing::clash;
use super::shared::CROSSING_M;
use super::{PartOutlets, Search};

/// How two parts' pipes come too near to each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Conflict {
    /// They cross: down either way, m, and the level at which either passes below the other, m.
    Clash { stations_m: [f64; 2], under_m: [f64; 2] },
    /// They run in one trench over a length, m.
    Trench { shared_m: f64 },
}

impl Search<'_> {
    pub(super) fn conflict(&self, found: &[PartOutlets], [a, b]: [usize; 2]) -> Option<Conflict> {
        let (a, b) = found[a].proposed().zip(found[b].proposed())?;
        if let Some(clash) = clash(a, b) {
            return Some(Conflict::Clash { stations_m: clash.stations_m, under_m: clash.under_m });
        }
        let shared_m = self.shared_m(a, b);
        (shared_m > CROSSING_M).then_some(Conflict::Trench { shared_m })
    }

    /// Pairs in conflict, those that cross first.
    pub(super) fn conflicts(&self, found: &[PartOutlets]) -> Vec<([usize; 2], Conflict)> {
        let pairs = (0..found.len()).flat_map(|a| (a + 1..found.len()).map(move |b| [a, b]));
        let mut all: Vec<_> = pairs.filter_map(|pair| Some((pair, self.conflict(found, pair)?))).collect();
        all.sort_by_key(|(_, conflict)| matches!(conflict, Conflict::Trench { .. }));
        all
    }

    /// Pairs that cross, and all pairs in conflict: the fewer the better, crossings first.
    pub(super) fn how_many(&self, found: &[PartOutlets]) -> [usize; 2] {
        let all = self.conflicts(found);
        let crossing = all.iter().filter(|(_, conflict)| matches!(conflict, Conflict::Clash { .. }));
        [crossing.count(), all.len()]
    }
}

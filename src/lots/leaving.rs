//! Stretches of the lot line where water leaves the lot.

use super::crossings::Boundary;
use super::stretch::{Inflow, separate};

/// A stretch of the lot line where water leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeavingStretch {
    /// Ring of the lot line, outer rings first.
    pub ring: usize,
    /// Start, clockwise along the ring, m.
    pub from_m: f64,
    /// End; past the ring's length when it lies over the start.
    pub to_m: f64,
    /// Area of the lot whose rain leaves here, m².
    pub own_m2: f64,
    /// Area outside the lot whose rain has crossed the lot and leaves it here, m².
    pub passing_m2: f64,
}

/// Stretches that carry less than this share of all that leaves aren't told: traces.
const LEAST_SHARE: f64 = 0.005;

impl Boundary<'_> {
    /// Where water leaves the lot, by ring and start. Traces are left out.
    #[must_use]
    pub fn leaving(&self) -> Vec<LeavingStretch> {
        let places = self.places();
        let flows: Vec<Inflow> =
            self.exits.iter().map(|e| places.at_line(e.from, e.area_m2 + e.passing_m2)).collect();
        let total: f64 = flows.iter().map(|f| f.amount).sum();
        separate(&flows, &self.line.ring_lengths_m(), self.gap_m())
            .into_iter()
            .map(|stretch| {
                let members = || stretch.members.iter().map(|&i| &self.exits[i]);
                LeavingStretch {
                    ring: stretch.ring,
                    from_m: stretch.from_m,
                    to_m: stretch.to_m,
                    own_m2: members().map(|e| e.area_m2).sum(),
                    passing_m2: members().map(|e| e.passing_m2).sum(),
                }
            })
            .filter(|found| found.own_m2 + found.passing_m2 >= LEAST_SHARE * total)
            .collect()
    }
}

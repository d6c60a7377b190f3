//! Inflow along the lot line, and the stretches where it enters.
//!
//! Each inflow is spread evenly over the width that its cell takes up along the line, so that the inflow per metre
//! is constant between the ends of these widths, and lengths and amounts follow from it exactly.

mod profile;
mod shortest;

use profile::{RingProfile, Run};
pub use shortest::{Joining, shortest_catching, widened};

/// Water that enters at a place of the lot line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inflow {
    /// Number of the ring.
    pub ring: usize,
    /// Middle of the width over which it enters, metres clockwise from the ring's start.
    pub chainage_m: f64,
    /// Half of that width, metres; less than 1 mm counts as 1 mm.
    pub half_width_m: f64,
    /// How much: contributing area or flow, in a unit of the caller's. Nothing or less is no inflow.
    pub amount: f64,
}

/// A stretch of a ring of the lot line.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Number of the ring.
    pub ring: usize,
    /// Start, metres clockwise from the ring's start, at least 0 and below the ring's length.
    pub from_m: f64,
    /// End, above `from_m`; past the ring's length when the stretch lies over the ring's start.
    pub to_m: f64,
    /// Inflows whose middle lies on the stretch, by their place in the list, rising.
    pub members: Vec<usize>,
}

impl Stretch {
    /// Length in metres.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.to_m - self.from_m
    }

    /// Whether the middle of an inflow lies on the stretch.
    #[must_use]
    pub fn holds(&self, inflow: &Inflow, ring_length_m: f64) -> bool {
        if inflow.ring != self.ring {
            return false;
        }
        let at_m = inflow.chainage_m.rem_euclid(ring_length_m);
        // Ends are kept to the micrometre.
        let on = |m: f64| m >= self.from_m - 1e-6 && m <= self.to_m + 1e-6;
        on(at_m) || on(at_m + ring_length_m) || on(at_m - ring_length_m)
    }

    /// The stretch in pieces, divided at chainages that rise between its ends.
    #[must_use]
    pub fn divided(self, at_m: &[f64], inflows: &[Inflow], ring_length_m: f64) -> Vec<Self> {
        if at_m.is_empty() {
            return vec![self];
        }
        let ends: Vec<f64> = [&[self.from_m], at_m, &[self.to_m]].concat();
        let piece = |pair: &[f64]| {
            // A start beyond the ring's length is one before.
            let turn_m = if pair[0] >= ring_length_m { ring_length_m } else { 0.0 };
            let run = Run { from_m: pair[0] - turn_m, to_m: pair[1] - turn_m };
            Self::of(self.ring, run, inflows, ring_length_m)
        };
        ends.windows(2).map(piece).collect()
    }

    fn of(ring: usize, run: Run, inflows: &[Inflow], ring_length_m: f64) -> Self {
        let mut stretch = Self { ring, from_m: run.from_m, to_m: run.to_m, members: Vec::new() };
        stretch.members = (0..inflows.len())
            .filter(|&i| inflows[i].amount > 0.0 && stretch.holds(&inflows[i], ring_length_m))
            .collect();
        stretch
    }
}

/// The stretches into which inflow-free gaps longer than `gap_m` part the lot line, by ring and start.
///
/// # Units
/// `ring_lengths_m` and `gap_m` in metres.
///
/// # Method
/// The widths of the inflows are laid over each other on the ring, seen as a circle. Where no gap is long enough to
/// part them, the circle is cut at its longest gap; a ring that is wet all around is one stretch from its start.
#[must_use]
pub fn separate(inflows: &[Inflow], ring_lengths_m: &[f64], gap_m: f64) -> Vec<Stretch> {
    let mut stretches = Vec::new();
    for (ring, &length_m) in ring_lengths_m.iter().enumerate() {
        let wet = RingProfile::new(ring, inflows, length_m).wet_runs();
        for run in profile::join(&wet, length_m, gap_m) {
            stretches.push(Stretch::of(ring, run, inflows, length_m));
        }
    }
    stretches
}

/// Amount that enters between the ends of a stretch, parts of inflows included.
#[must_use]
pub fn amount_within(stretch: &Stretch, inflows: &[Inflow], ring_length_m: f64) -> f64 {
    let profile = RingProfile::new(stretch.ring, inflows, ring_length_m);
    profile.amount(Run { from_m: stretch.from_m, to_m: stretch.to_m })
}

/// Shortest width within a stretch through which a share of its inflow enters, in metres.
///
/// # Units
/// `share` from 0 to 1; metres.
///
/// # Method
/// The amount that has entered from the start of the stretch up to a chainage is a broken line. The width needed from
/// a given start on is then a broken line too, in the start; so the shortest width starts or ends where the inflow
/// per metre changes, and looking at these places is exact.
#[must_use]
pub fn width_carrying(share: f64, stretch: &Stretch, inflows: &[Inflow], ring_length_m: f64) -> f64 {
    let profile = RingProfile::new(stretch.ring, inflows, ring_length_m);
    let run = Run { from_m: stretch.from_m, to_m: stretch.to_m };
    profile.shortest_width(run, share.clamp(0.0, 1.0) * profile.amount(run))
}

#[cfg(test)]
#[path = "stretch/tests.rs"]
mod tests;

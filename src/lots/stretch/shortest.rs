//! The shortest stretches that together catch a share of all inflow, and the shortest that catch more beside
//! them.

use super::profile::{RingProfile, Run, extend, join};
use super::{Inflow, Stretch};

/// Densities that agree to this many parts are one: rounding must not scatter the choice among equal pieces.
const DENSITY_DIGITS: f64 = 1e9;
/// Relative slack of the share, for rounding in sums.
const SLACK: f64 = 1e-12;

/// How stretches found piece by piece become stretches that can be built.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joining {
    /// Gaps up to this length are closed, metres.
    pub gap_m: f64,
    /// A stretch shorter than this takes as much work as one of this length, metres.
    pub dust_m: f64,
}

/// The shortest set of stretches that catches a share of all inflow, by ring and start.
///
/// Their members are the inflows whose middle they hold; [`super::amount_within`] tells what each catches.
///
/// # Units
/// `share` from 0 to 1; metres.
///
/// # Method
/// Inflow per metre is constant on pieces. Taking the pieces in the order of falling density until the share is
/// reached, the last one in part, gives the least length: in any other choice that catches as much, some length
/// left out has a higher density than some length taken (or the same), and exchanging the two at equal length
/// never loses water; so no choice of less length can catch as much.
///
/// Closing gaps then catches more than was asked for. A higher threshold takes a part of what a lower one takes, and
/// the same holds after closing gaps, so the highest threshold whose closed stretches still catch the share is found
/// by halving. The same search that counts no stretch shorter than `dust_m` gives a second set; of the two the
/// one with less work is taken, each stretch counting as at least `dust_m` long.
#[must_use]
pub fn shortest_catching(
    share: f64,
    inflows: &[Inflow],
    ring_lengths_m: &[f64],
    joining: Joining,
) -> Vec<Stretch> {
    let search = Search::new(&[], inflows, ring_lengths_m, joining.gap_m);
    search.stretches(share.clamp(0.0, 1.0) * search.total, inflows, joining)
}

/// Stretches made longer, joined, or more of them, so that an amount of inflow is caught that enters beside
/// them, or as much of it as there is; by ring and start.
///
/// # Units
/// `amount` in that of the inflows; metres.
///
/// # Method
/// As [`shortest_catching`] of what enters beside the stretches, which are kept whole.
#[must_use]
pub fn widened(
    stretches: &[Stretch],
    amount: f64,
    inflows: &[Inflow],
    ring_lengths_m: &[f64],
    joining: Joining,
) -> Vec<Stretch> {
    let search = Search::new(stretches, inflows, ring_lengths_m, joining.gap_m);
    let amount = amount.min(search.total);
    if amount <= 0.0 { stretches.to_vec() } else { search.stretches(amount, inflows, joining) }
}

/// A part of a ring.
#[derive(Debug, Clone, Copy)]
struct Part {
    ring: usize,
    run: Run,
}

impl Part {
    fn length_m(&self) -> f64 {
        self.run.to_m - self.run.from_m
    }
}

/// Place of a piece in the profiles.
#[derive(Debug, Clone, Copy)]
struct Place {
    ring: usize,
    piece: usize,
}

/// What is taken of a piece.
#[derive(Debug, Clone, Copy)]
enum Taken {
    Nothing,
    All,
    /// A share, from the start of the piece.
    First(f64),
    /// A share, up to the end of the piece.
    Last(f64),
}

struct Search<'a> {
    /// By ring what is taken whatever it catches.
    kept: Vec<Vec<Run>>,
    /// Inflow beside that.
    profiles: Vec<RingProfile>,
    lengths_m: &'a [f64],
    gap_m: f64,
    /// Pieces by falling density.
    order: Vec<Place>,
    total: f64,
}

impl<'a> Search<'a> {
    fn new(kept: &[Stretch], inflows: &[Inflow], lengths_m: &'a [f64], gap_m: f64) -> Self {
        let rings = || lengths_m.iter().copied().enumerate();
        let kept: Vec<Vec<Run>> = rings().map(|(ring, length_m)| runs_on(kept, ring, length_m)).collect();
        let profile = |(ring, length_m)| RingProfile::new(ring, inflows, length_m).beside(&kept[ring]);
        let profiles: Vec<RingProfile> = rings().map(profile).collect();
        let pieces = || profiles.iter().flat_map(|p| &p.pieces);
        let total = pieces().map(|p| p.amount()).sum();
        let densest = pieces().map(|p| p.density).fold(0.0, f64::max);
        let class = |p: Place| (profiles[p.ring].pieces[p.piece].density / densest * DENSITY_DIGITS).round();
        let mut order: Vec<Place> = profiles
            .iter()
            .enumerate()
            .flat_map(|(ring, profile)| (0..profile.pieces.len()).map(move |piece| Place { ring, piece }))
            .collect();
        // A stable sort: equal pieces stay in the order of ring and chainage.
        order.sort_by(|a, b| class(*b).total_cmp(&class(*a)));
        Self { kept, profiles, lengths_m, gap_m, order, total }
    }

    /// The stretches with the least work that catch an amount, above nothing.
    fn stretches(&self, amount: f64, inflows: &[Inflow], joining: Joining) -> Vec<Stretch> {
        let wanted = amount * (1.0 - SLACK);
        if wanted <= 0.0 {
            return Vec::new();
        }
        let work_m = |parts: &[Part]| parts.iter().map(|p| p.length_m().max(joining.dust_m)).sum::<f64>();
        let all = self.least(wanted, 0.0);
        let coarse = self.least(wanted, joining.dust_m);
        let kept = match (all, coarse) {
            (Some(all), Some(coarse)) if work_m(&coarse) < work_m(&all) => coarse,
            (Some(all), _) => all,
            (None, coarse) => coarse.unwrap_or_default(),
        };
        kept.iter().map(|p| Stretch::of(p.ring, p.run, inflows, self.lengths_m[p.ring])).collect()
    }

    /// The densest pieces that hold a share of all inflow, gaps closed.
    fn closed(&self, share: f64) -> Vec<Part> {
        let taken = self.densest(share);
        let mut parts = Vec::new();
        for (ring, profile) in self.profiles.iter().enumerate() {
            let mut runs = self.kept[ring].clone();
            for (piece, taken) in profile.pieces.iter().zip(&taken[ring]) {
                let length_m = piece.to_m - piece.from_m;
                let run = match *taken {
                    Taken::Nothing => continue,
                    Taken::All => Run { from_m: piece.from_m, to_m: piece.to_m },
                    Taken::First(part) => Run { from_m: piece.from_m, to_m: piece.from_m + part * length_m },
                    Taken::Last(part) => Run { from_m: piece.to_m - part * length_m, to_m: piece.to_m },
                };
                if run.to_m > run.from_m {
                    runs.push(run);
                }
            }
            let closed = join(&joined(runs), self.lengths_m[ring], self.gap_m);
            parts.extend(closed.into_iter().map(|run| Part { ring, run }));
        }
        parts
    }

    /// What to take of each piece, by ring.
    fn densest(&self, share: f64) -> Vec<Vec<Taken>> {
        let mut taken: Vec<Vec<Taken>> =
            self.profiles.iter().map(|p| vec![Taken::Nothing; p.pieces.len()]).collect();
        let mut missing = share * self.total;
        for &Place { ring, piece } in &self.order {
            if missing <= 0.0 {
                break;
            }
            let pieces = &self.profiles[ring].pieces;
            let amount = pieces[piece].amount();
            taken[ring][piece] = if amount <= missing {
                Taken::All
            } else {
                // The part is taken where it lengthens a stretch rather than starts one.
                let part = missing / amount;
                let before = piece > 0
                    && pieces[piece - 1].to_m >= pieces[piece].from_m
                    && matches!(taken[ring][piece - 1], Taken::All);
                let after = pieces.get(piece + 1).is_some_and(|next| next.from_m <= pieces[piece].to_m)
                    && matches!(taken[ring].get(piece + 1), Some(Taken::All));
                if after && !before { Taken::Last(part) } else { Taken::First(part) }
            };
            missing -= amount;
        }
        taken
    }

    /// Whether a part holds what is taken whatever it catches.
    fn keeps(&self, part: &Part) -> bool {
        let turns_m = [0.0, self.lengths_m[part.ring]];
        let holds = |run: &Run| {
            turns_m.iter().any(|m| run.from_m + m >= part.run.from_m && run.to_m + m <= part.run.to_m)
        };
        self.kept[part.ring].iter().any(holds)
    }

    fn caught(&self, parts: &[Part]) -> f64 {
        parts.iter().map(|p| self.profiles[p.ring].amount(p.run)).sum()
    }

    /// The least closed stretches of at least a length each that catch an amount; `None` when all of them don't.
    fn least(&self, wanted: f64, at_least_m: f64) -> Option<Vec<Part>> {
        let parts = |share: f64| {
            let mut parts = self.closed(share);
            parts.retain(|p| p.length_m() >= at_least_m || self.keeps(p));
            parts
        };
        let holds = |share: f64| self.caught(&parts(share)) >= wanted;
        if !holds(1.0) {
            return None;
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..48 {
            let middle = f64::midpoint(low, high);
            if holds(middle) { high = middle } else { low = middle }
        }
        Some(parts(high))
    }
}

/// The runs of stretches on a ring, from its start to its end, rising.
fn runs_on(stretches: &[Stretch], ring: usize, length_m: f64) -> Vec<Run> {
    let mut runs = Vec::new();
    for stretch in stretches.iter().filter(|stretch| stretch.ring == ring) {
        runs.push(Run { from_m: stretch.from_m, to_m: stretch.to_m.min(length_m) });
        if stretch.to_m > length_m {
            runs.push(Run { from_m: 0.0, to_m: stretch.to_m - length_m });
        }
    }
    joined(runs)
}

/// Runs by their starts, those that meet made one.
fn joined(mut runs: Vec<Run>) -> Vec<Run> {
    runs.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
    let mut found = Vec::with_capacity(runs.len());
    for run in runs {
        extend(&mut found, run);
    }
    found
}

//! Inflow per metre around one ring, constant between breaks.

use super::Inflow;

/// Breaks are rounded to parts of the ring of about this length, metres, so that widths that meet do so exactly.
const TICK_M: f64 = 1e-6;
/// Least half width of an inflow, metres.
const LEAST_HALF_WIDTH_M: f64 = 1e-3;

/// Part of a ring; `to_m` may pass the ring's length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Run {
    pub(super) from_m: f64,
    pub(super) to_m: f64,
}

/// Part of a ring with the same inflow per metre all along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    pub(super) from_m: f64,
    pub(super) to_m: f64,
    /// Inflow per metre.
    pub(super) density: f64,
}

impl Piece {
    pub(super) fn amount(self) -> f64 {
        (self.to_m - self.from_m) * self.density
    }
}

/// # Invariants
/// Pieces rise, don't overlap, lie between 0 and the length, and all have inflow.
#[derive(Debug, Clone)]
pub(super) struct RingProfile {
    length_m: f64,
    pub(super) pieces: Vec<Piece>,
}

/// A place where inflow per metre changes.
struct Break {
    tick: i64,
    per_m: f64,
    widths: i64,
}

impl RingProfile {
    /// Lays the widths of a ring's inflows over each other.
    pub(super) fn new(ring: usize, inflows: &[Inflow], length_m: f64) -> Self {
        let ticks = round_to_i64(length_m / TICK_M).max(1);
        let tick_m = length_m / to_f64(ticks);
        let mut breaks = Vec::new();
        let mut spread = |from: i64, to: i64, per_m: f64| {
            breaks.push(Break { tick: from, per_m, widths: 1 });
            breaks.push(Break { tick: to, per_m: -per_m, widths: -1 });
        };
        for inflow in inflows.iter().filter(|i| i.ring == ring && i.amount > 0.0) {
            let half_m = inflow.half_width_m.max(LEAST_HALF_WIDTH_M);
            let from = round_to_i64((inflow.chainage_m - half_m) / tick_m);
            let width = round_to_i64((inflow.chainage_m + half_m) / tick_m) - from;
            if width >= ticks {
                spread(0, ticks, inflow.amount / length_m);
                continue;
            }
            // By the rounded width, so that no amount is lost.
            let per_m = inflow.amount / (to_f64(width.max(1)) * tick_m);
            let from = from.rem_euclid(ticks);
            let to = from + width.max(1);
            spread(from, to.min(ticks), per_m);
            if to > ticks {
                spread(0, to - ticks, per_m);
            }
        }
        breaks.sort_by_key(|b| b.tick);
        Self {
            length_m,
            pieces: sweep(&breaks, |tick| if tick == ticks { length_m } else { to_f64(tick) * tick_m }),
        }
    }

    /// Parts with inflow, neighbours joined.
    pub(super) fn wet_runs(&self) -> Vec<Run> {
        let mut runs: Vec<Run> = Vec::new();
        for piece in &self.pieces {
            extend(&mut runs, Run { from_m: piece.from_m, to_m: piece.to_m });
        }
        runs
    }

    /// The inflow beside some parts of the ring, which rise and don't meet.
    pub(super) fn beside(mut self, runs: &[Run]) -> Self {
        for run in runs {
            let cut = |piece: &Piece| {
                let before = Piece { to_m: piece.to_m.min(run.from_m), ..*piece };
                let behind = Piece { from_m: piece.from_m.max(run.to_m), ..*piece };
                [before, behind].into_iter().filter(|piece| piece.to_m > piece.from_m)
            };
            self.pieces = self.pieces.iter().flat_map(cut).collect();
        }
        self
    }

    /// Amount that enters within a part of the ring.
    pub(super) fn amount(&self, run: Run) -> f64 {
        self.within(run).iter().map(|p| p.amount()).sum()
    }

    /// The pieces within a part of the ring, cut to it, with chainages that don't wrap.
    fn within(&self, run: Run) -> Vec<Piece> {
        let mut pieces = Vec::new();
        for turn_m in [-self.length_m, 0.0, self.length_m, 2.0 * self.length_m] {
            for piece in &self.pieces {
                let from_m = (piece.from_m + turn_m).max(run.from_m);
                let to_m = (piece.to_m + turn_m).min(run.to_m);
                if to_m > from_m {
                    pieces.push(Piece { from_m, to_m, density: piece.density });
                }
            }
        }
        pieces
    }

    /// Shortest width within a part of the ring through which an amount enters.
    ///
    /// A whole ring has no ends: there the width may lie over the start.
    pub(super) fn shortest_width(&self, run: Run, amount: f64) -> f64 {
        let whole = run.to_m - run.from_m >= self.length_m - TICK_M;
        let reach_m = if whole { run.to_m + self.length_m } else { run.to_m };
        let pieces = self.within(Run { from_m: run.from_m, to_m: reach_m });
        let entered = Entered::new(&pieces);
        let all = entered.breaks.last().map_or(0.0, |b| b.amount);
        let mut shortest_m = f64::INFINITY;
        for here in &entered.breaks {
            // Rounding in the sums must not make the last start or the first end fail.
            let slack = 1e-12 * all;
            if here.amount + amount <= all + slack {
                shortest_m = shortest_m.min(entered.first_with(here.amount + amount) - here.at_m);
            }
            if here.amount - amount >= -slack {
                shortest_m = shortest_m.min(here.at_m - entered.last_with(here.amount - amount));
            }
        }
        if shortest_m.is_finite() { shortest_m.max(0.0) } else { 0.0 }
    }
}

/// Amount entered up to a place.
#[derive(Debug, Clone, Copy)]
struct Mark {
    at_m: f64,
    amount: f64,
}

/// The amount entered from the first piece on, a broken line that never falls.
struct Entered {
    breaks: Vec<Mark>,
}

impl Entered {
    fn new(pieces: &[Piece]) -> Self {
        let mut breaks: Vec<Mark> = Vec::with_capacity(pieces.len() + 1);
        let mut amount = 0.0;
        for piece in pieces {
            if breaks.last().is_none_or(|last| last.at_m < piece.from_m) {
                breaks.push(Mark { at_m: piece.from_m, amount });
            }
            amount += piece.amount();
            breaks.push(Mark { at_m: piece.to_m, amount });
        }
        Self { breaks }
    }

    /// First place up to which an amount has entered.
    fn first_with(&self, amount: f64) -> f64 {
        let i = self.breaks.partition_point(|b| b.amount < amount).min(self.breaks.len() - 1);
        if i == 0 { self.breaks[0].at_m } else { between(self.breaks[i - 1], self.breaks[i], amount) }
    }

    /// Last place up to which no more than an amount has entered.
    fn last_with(&self, amount: f64) -> f64 {
        let i = self.breaks.partition_point(|b| b.amount <= amount);
        match i {
            0 => self.breaks[0].at_m,
            i if i == self.breaks.len() => self.breaks[i - 1].at_m,
            i => between(self.breaks[i - 1], self.breaks[i], amount),
        }
    }
}

fn between(a: Mark, b: Mark, amount: f64) -> f64 {
    let rise = b.amount - a.amount;
    let share = if rise > 0.0 { ((amount - a.amount) / rise).clamp(0.0, 1.0) } else { 1.0 };
    a.at_m + share * (b.at_m - a.at_m)
}

/// Adds a part behind the last, joined to it where they meet.
pub(super) fn extend(runs: &mut Vec<Run>, next: Run) {
    match runs.last_mut() {
        Some(last) if last.to_m >= next.from_m => last.to_m = last.to_m.max(next.to_m),
        _ => runs.push(next),
    }
}

/// Joins the parts of a ring across gaps up to `gap_m`, the ring's start included; see [`super::separate`].
pub(super) fn join(runs: &[Run], length_m: f64, gap_m: f64) -> Vec<Run> {
    let count = runs.len();
    if count == 0 {
        return Vec::new();
    }
    // Gap behind each part.
    let gap_behind = |i: usize| {
        if i + 1 < count {
            runs[i + 1].from_m - runs[i].to_m
        } else {
            runs[0].from_m + length_m - runs[i].to_m
        }
    };
    let mut cuts: Vec<usize> = (0..count).filter(|&i| gap_behind(i) > gap_m).collect();
    if cuts.is_empty() {
        let longest = (1..count).fold(0, |best, i| if gap_behind(i) > gap_behind(best) { i } else { best });
        if gap_behind(longest) <= 0.0 {
            return vec![Run { from_m: 0.0, to_m: length_m }];
        }
        cuts.push(longest);
    }
    let mut joined: Vec<Run> = (0..cuts.len())
        .map(|k| {
            let first = (cuts[k] + 1) % count;
            let last = cuts[(k + 1) % cuts.len()];
            let turn_m = if last < first { length_m } else { 0.0 };
            Run { from_m: runs[first].from_m, to_m: runs[last].to_m + turn_m }
        })
        .collect();
    joined.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
    joined
}

/// Pieces between breaks, dry ones left out.
fn sweep(breaks: &[Break], place_m: impl Fn(i64) -> f64) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let (mut per_m, mut widths) = (0.0, 0);
    for (i, here) in breaks.iter().enumerate() {
        per_m += here.per_m;
        widths += here.widths;
        if widths == 0 {
            // What rounding left over must not pass for inflow.
            per_m = 0.0;
        }
        let Some(next) = breaks.get(i + 1) else { break };
        if widths > 0 && next.tick > here.tick && per_m > 0.0 {
            pieces.push(Piece { from_m: place_m(here.tick), to_m: place_m(next.tick), density: per_m });
        }
    }
    pieces
}

#[expect(clippy::cast_possible_truncation, reason = "chainages in micrometres stay far below 2^63")]
fn round_to_i64(number: f64) -> i64 {
    number.round() as i64
}

#[expect(clippy::cast_precision_loss, reason = "chainages in micrometres stay far below 2^53")]
fn to_f64(number: i64) -> f64 {
    number as f64
}

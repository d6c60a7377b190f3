//! Which pipe of the catalogue each reach has.

use super::super::catalogue::{Catalogue, PipeSize, PipeWall};
use super::reach::{Reach, ReachPlace};
use super::sizes::{LinePipe, ReachVerdict, SizedReach, VelocityLimits, capacity, rate};

/// Shares nearer than this are one.
const SAME: f64 = 1e-9;
/// Diameters nearer than this are one, mm.
const SAME_MM: f64 = 1e-6;

/// The pipes of a drain.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizes {
    /// The reaches with their pipes, from the head.
    pub reaches: Vec<SizedReach>,
    /// Share of the water that is kept: the lesser of what every reach carries and of what the pipes along
    /// the part let in, with what is kept beside them.
    pub kept: f64,
    /// Share that every reach carries.
    pub carried: f64,
}

impl Sizes {
    /// Whether every pipe carries its flow and keeps its velocities.
    #[must_use]
    pub fn serves(&self) -> bool {
        self.reaches.iter().all(|sized| sized.verdict == ReachVerdict::Carries)
    }

    fn last_mm(&self) -> f64 {
        self.reaches.last().map_or(0.0, |sized| sized.pipe.nominal_mm)
    }

    /// Inside diameters by length, mm m.
    fn along(&self) -> f64 {
        self.reaches.iter().map(|sized| sized.pipe.inside_mm * (sized.reach.to_m - sized.reach.from_m)).sum()
    }

    /// Whether these are taken before others of the same wall or another: they keep more, else carry more,
    /// else serve and the others don't, else end in a smaller pipe.
    pub(super) fn is_better_than(&self, other: &Self) -> bool {
        for (one, two) in [(self.kept, other.kept), (self.carried, other.carried)] {
            if (one - two).abs() > SAME {
                return one > two;
            }
        }
        match (self.serves(), other.serves()) {
            (true, false) => true,
            (false, true) => false,
            _ => self.last_mm() < other.last_mm(),
        }
    }

    /// The same of two rows of pipes that were found under different bounds: of equal ends the smaller
    /// pipes.
    pub(super) fn is_smaller_or_better_than(&self, other: &Self) -> bool {
        self.is_better_than(other)
            || !other.is_better_than(self) && self.along() < other.along() * (1.0 - SAME)
    }
}

/// What is kept beside and along the pipes.
pub struct LetIn<'a> {
    /// Share of the part's water that a pipe lets in along a reach, by its place in the list; nothing where
    /// it may not lie there.
    pub along: &'a dyn Fn(usize, &PipeSize) -> Option<f64>,
    /// Share that is kept whatever the pipes along the part let in.
    pub beside: f64,
}

impl LetIn<'_> {
    /// Pipes into which water doesn't come by holes.
    pub const SOLID: LetIn<'static> = LetIn { along: &|_, _| Some(0.0), beside: 1.0 };
}

/// Sizes the reaches of a drain from its head down; `None` where the catalogue has no pipe of the kind.
///
/// # Method
/// No pipe is smaller, by inside diameter, than the one above or the reach's least, none is called less than
/// one that has come in, and all pipe of a drain has one kind of
/// wall, so that only sizes must be joined. Of all such rows of pipes those count that keep most, by what
/// they let in and what they carry just full at each reach's own grade (of two pipes at one level each
/// carries half); of these, those that carry most. Among them each reach has the smallest pipe that carries
/// its flow and keeps both velocities, else the smallest that carries its flow, else the one that carries
/// most; the verdict says what fails. Of the two kinds of wall by the same order: what is kept, what is
/// carried, velocities, then the smaller last pipe; of equal ones the smooth one.
///
/// # Valid range
/// A pipe more in the catalogue never lowers what is kept.
#[must_use]
pub fn size(
    reaches: &[Reach],
    catalogue: &Catalogue,
    limits: &VelocityLimits,
    line: LinePipe,
    let_in: &LetIn<'_>,
) -> Option<Sizes> {
    let of_wall = |wall| {
        let pipes = catalogue.pipes().iter().filter(|pipe| pipe.wall == wall).collect();
        Choice::of(reaches, pipes, (limits, line), let_in).sizes()
    };
    let rows = [PipeWall::Smooth, PipeWall::Corrugated].into_iter().filter_map(of_wall);
    rows.reduce(|best, next| if next.is_better_than(&best) { next } else { best })
}

/// A pipe in a reach.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    /// Part of the reach's flow that it carries.
    carries: f64,
    /// Share of the part's water that it lets in there.
    lets_in: f64,
}

/// Pipes of one wall, and what each does in each reach.
struct Choice<'a> {
    reaches: &'a [Reach],
    /// By inside diameter.
    pipes: Vec<&'a PipeSize>,
    limits: &'a VelocityLimits,
    line: LinePipe,
    beside: f64,
    /// By reach and pipe; nothing where it may not lie there.
    candidates: Vec<Vec<Option<Candidate>>>,
}

impl<'a> Choice<'a> {
    fn of(
        reaches: &'a [Reach],
        pipes: Vec<&'a PipeSize>,
        (limits, line): (&'a VelocityLimits, LinePipe),
        let_in: &LetIn<'_>,
    ) -> Self {
        let candidate = |(at, reach): (usize, &Reach), pipe: &PipeSize| {
            let is_called_less = pipe.nominal_mm < reach.least_size.as_mm() - SAME_MM;
            if is_called_less || pipe.inside_mm < reach.least_inside.as_mm() - SAME_MM {
                return None;
            }
            let lets_in = if reach.place == ReachPlace::Lead { 0.0 } else { (let_in.along)(at, pipe)? };
            let full = capacity(reach, pipe, line);
            let carries = if full >= reach.flow { 1.0 } else { full / reach.flow };
            Some(Candidate { carries, lets_in })
        };
        let candidates = reaches
            .iter()
            .enumerate()
            .map(|reach| pipes.iter().map(|pipe| candidate(reach, pipe)).collect())
            .collect();
        Self { reaches, pipes, limits, line, beside: let_in.beside, candidates }
    }

    fn sizes(self) -> Option<Sizes> {
        let shares = self.shares();
        let kept_at = |&carried: &f64| Some(self.lets_in(&self.left_below(carried))?.min(carried));
        let mut kept: Option<f64> = None;
        // Less that is carried never keeps more than that.
        for carried in &shares {
            if kept.is_some_and(|kept| kept >= *carried) {
                break;
            }
            kept = kept_at(carried).into_iter().chain(kept).reduce(f64::max);
        }
        let kept = kept?;
        let carried = *shares.iter().find(|carried| kept_at(carried).is_some_and(|at| at >= kept - SAME))?;
        let reaches = self.down_from_head(&self.left_below(carried), (carried, kept))?;
        Some(Sizes { reaches, kept, carried })
    }

    /// Shares that pipes carry, the greatest first.
    fn shares(&self) -> Vec<f64> {
        let all = self.candidates.iter().flatten().flatten().map(|candidate| candidate.carries);
        let mut all: Vec<f64> = all.chain([1.0]).collect();
        all.sort_by(|a, b| b.total_cmp(a));
        all.dedup();
        all
    }

    /// By reach and pipe the share that it and the best pipes below it let in, of those that carry a share;
    /// nothing where none can lie there.
    fn left_below(&self, carried: f64) -> Vec<Vec<Option<f64>>> {
        let mut below: Vec<Option<f64>> = vec![Some(0.0); self.pipes.len()];
        let mut found = Vec::with_capacity(self.reaches.len());
        for reach in self.candidates.iter().rev() {
            let of = |(place, candidate): (usize, &Option<Candidate>)| {
                let candidate = candidate.filter(|candidate| candidate.carries >= carried)?;
                let fits = |other: &usize| self.pipes[*other].inside_mm >= self.pipes[place].inside_mm;
                let best = (0..below.len()).filter(fits).filter_map(|other| below[other]).reduce(f64::max)?;
                Some(candidate.lets_in + best)
            };
            let row: Vec<Option<f64>> = reach.iter().enumerate().map(of).collect();
            below.clone_from(&row);
            found.push(row);
        }
        found.reverse();
        found
    }

    /// Share that is kept of what comes to the pipes along the part, with what is kept beside them.
    fn lets_in(&self, left_below: &[Vec<Option<f64>>]) -> Option<f64> {
        let along = match left_below.first() {
            Some(first) => first.iter().copied().flatten().reduce(f64::max)?,
            None => 0.0,
        };
        Some((along + self.beside).min(1.0))
    }

    /// The smallest pipes from the head down with which so much can be carried and kept.
    fn down_from_head(
        &self,
        left_below: &[Vec<Option<f64>>],
        (carried, kept): (f64, f64),
    ) -> Option<Vec<SizedReach>> {
        let mut found: Vec<SizedReach> = Vec::with_capacity(self.reaches.len());
        let mut above = self.beside;
        for (at, candidates) in self.candidates.iter().enumerate() {
            let least_mm = found.last().map_or(0.0, |sized| sized.pipe.inside_mm);
            let free = |(place, candidate): (usize, &Option<Candidate>)| {
                let candidate = candidate.filter(|candidate| candidate.carries >= carried)?;
                let is_kept = above + left_below[at][place]? >= kept - SAME;
                (is_kept && self.pipes[place].inside_mm >= least_mm).then_some((place, candidate))
            };
            let free = candidates.iter().enumerate().filter_map(free);
            let (sized, lets_in) = self.pipe_of(&self.reaches[at], free)?;
            above += lets_in;
            found.push(sized);
        }
        Some(found)
    }

    /// The first that serves, else the smallest that carries the flow, else the one that carries most; and
    /// what it lets in.
    fn pipe_of(
        &self,
        reach: &Reach,
        free: impl Iterator<Item = (usize, Candidate)>,
    ) -> Option<(SizedReach, f64)> {
        let rate = |place: usize| rate(reach, self.pipes[place], self.limits, self.line);
        let mut first: Option<(SizedReach, f64)> = None;
        let mut most: Option<(usize, Candidate)> = None;
        for (place, candidate) in free {
            if candidate.carries < 1.0 {
                most = most.filter(|most| most.1.carries >= candidate.carries).or(Some((place, candidate)));
                continue;
            }
            let rated = (rate(place), candidate.lets_in);
            if rated.0.verdict == ReachVerdict::Carries {
                return Some(rated);
            }
            first = first.or(Some(rated));
        }
        first.or_else(|| most.map(|(place, candidate)| (rate(place), candidate.lets_in)))
    }
}

//! Which pipe of the catalogue each reach has.

use super::super::catalogue::{Catalogue, PipeSize, PipeWall};
use super::part::{Joined, brought};
use super::reach::{Reach, ReachPlace};
use super::room::{room_for, share_of};
use super::sizes::{LinePipe, ReachVerdict, SizedReach, VelocityLimits, capacity, rate};
use crate::units::Flow;

/// Shares nearer than this are one.
const SAME: f64 = 1e-9;
/// Diameters nearer than this are one, mm.
const SAME_MM: f64 = 1e-6;

/// The pipes of a drain.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizes {
    /// The reaches with their pipes, from the head.
    pub reaches: Vec<SizedReach>,
    /// Share of the water that is kept: what gets in as long as the pipe there and those below have room,
    /// with what is kept beside them.
    pub kept: f64,
    /// The same where each reach lets in what its own trench takes, be that wider than the narrowest.
    pub gets_in: f64,
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

    /// Whether all are called the same and only their walls are others.
    fn differ_by_wall(&self, other: &Self) -> bool {
        let pairs = || self.reaches.iter().zip(&other.reaches).map(|(one, two)| (&one.pipe, &two.pipe));
        pairs().all(|(one, two)| (one.nominal_mm - two.nominal_mm).abs() <= SAME_MM)
            && pairs().any(|(one, two)| one.wall != two.wall)
    }

    /// Whether these are taken before others of the same wall or another: they keep more, else carry more,
    /// else serve and the others don't, else end in a smaller pipe, else are called the same and, by another
    /// wall, let more in by their own trenches.
    pub(super) fn is_better_than(&self, other: &Self) -> bool {
        for (one, two) in [(self.kept, other.kept), (self.carried, other.carried)] {
            if (one - two).abs() > SAME {
                return one > two;
            }
        }
        match (self.serves(), other.serves()) {
            (true, false) => true,
            (false, true) => false,
            _ if self.differ_by_wall(other) => self.gets_in > other.gets_in + SAME,
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

/// What a pipe lets in along a reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lets {
    /// What comes to it: water is led in, not through holes.
    All,
    /// A share of the part's water.
    Share {
        /// Of what the narrowest trench of the catalogue takes, so that no pipe is larger for its trench being wider.
        of_narrowest: f64,
        /// Of what its own trench takes.
        of_own: f64,
    },
}

impl Lets {
    /// The same share in any trench.
    #[must_use]
    pub const fn share(share: f64) -> Self {
        Self::Share { of_narrowest: share, of_own: share }
    }
}

/// Water that comes, and what is kept of it beside and along the pipes.
pub struct LetIn<'a> {
    /// The part's flow.
    pub flow: Flow,
    /// What other parts bring, which is in the flow of the reaches.
    pub joined: &'a [Joined],
    /// What a pipe lets in along a reach, by its place in the list; nothing where it may not lie there.
    pub along: &'a dyn Fn(usize, &PipeSize) -> Option<Lets>,
    /// Share that is kept whatever the pipes along the part let in, as long as those of the lead have room.
    pub beside: f64,
}

impl<'a> LetIn<'a> {
    /// Pipes into which water doesn't come by holes.
    #[must_use]
    pub const fn solid(flow: Flow, joined: &'a [Joined]) -> Self {
        Self { flow, joined, along: &|_, _| Some(Lets::All), beside: 0.0 }
    }

    /// The part's own water at the lower end of a reach.
    fn own(&self, reach: &Reach) -> Flow {
        reach.flow - brought(self.joined, reach.to_m)
    }

    /// Share of the part's water that a pipe with so much room for all takes of what comes to it.
    fn room(&self, reach: &Reach, full: Flow) -> f64 {
        room_for(full, [self.own(reach), brought(self.joined, reach.to_m)], self.flow)
    }

    /// Share of the part's water that comes to a reach.
    fn comes(&self, reaches: &[Reach], at: usize) -> f64 {
        let above = at.checked_sub(1).map_or(Flow::ZERO, |above| self.own(&reaches[above]));
        share_of(self.own(&reaches[at]) - above, self.flow).max(0.0)
    }
}

/// Sizes the reaches of a drain from its head down; `None` where the catalogue has no pipe of the kind.
///
/// # Method
/// No pipe is smaller, by inside diameter, than the one above or the reach's least, none is called less than
/// one that has come in, and all pipe of a drain has one kind of wall, so that only sizes must be joined. Of
/// all such rows of pipes those count that keep most: down the way,
/// what they let in as long as they have room for it, just full at each reach's own grade (of two pipes at
/// one level each carries half), as in [`super::Kept`]; of these, those that carry most. Among them each reach has the smallest pipe that carries
/// its flow and keeps both velocities, else the smallest that carries its flow, else the one that carries
/// most; the verdict says what fails. Of the two kinds of wall by the same order: what is kept, what is
/// carried, velocities, then the smaller last pipe; of pipes that are called the same throughout those whose
/// own trenches let more in, else the smooth ones.
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
    /// Share of the part's water that it lets in there, of what the narrowest trench takes.
    lets_in: f64,
    /// The same of what its own takes.
    gets_in: f64,
    /// Share for which it has room, with what was let in above.
    room: f64,
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
            let [lets_in, gets_in] = match ((let_in.along)(at, pipe), reach.place) {
                (Some(Lets::All), _) => [let_in.comes(reaches, at); 2],
                (Some(Lets::Share { of_narrowest, of_own }), ReachPlace::Line) => [of_narrowest, of_own],
                (None, ReachPlace::Line) => return None,
                (_, ReachPlace::Lead) => [0.0; 2],
            };
            let full = capacity(reach, pipe, line);
            let carries = if full >= reach.flow { 1.0 } else { full / reach.flow };
            Some(Candidate { carries, lets_in, gets_in, room: let_in.room(reach, full) })
        };
        let candidates = reaches
            .iter()
            .enumerate()
            .map(|reach| pipes.iter().map(|pipe| candidate(reach, pipe)).collect())
            .collect();
        Self { reaches, pipes, limits, line, beside: let_in.beside, candidates }
    }

    fn sizes(self) -> Option<Sizes> {
        let kept = self.most_kept(0.0, &[])?;
        let keeps_less = |carried: &f64| self.most_kept(*carried, &[]).is_none_or(|most| most < kept - SAME);
        let shares = self.shares();
        // The more each must carry, the fewer rows are left.
        let carried = *shares.get(shares.partition_point(keeps_less))?;
        let (reaches, places) = self.down_from_head(carried, kept)?;
        Some(Sizes { reaches, kept, gets_in: self.gets_in(&places), carried })
    }

    /// Share that a row of pipes keeps with what the trench of each takes.
    fn gets_in(&self, places: &[usize]) -> f64 {
        let (mut kept, mut beside) = (0.0, self.beside);
        for ((candidates, reach), place) in self.candidates.iter().zip(self.reaches).zip(places) {
            let Some(pipe) = candidates[*place] else { continue };
            if reach.place == ReachPlace::Lead {
                kept = (kept + std::mem::take(&mut beside)).min(1.0);
            }
            kept = (kept + pipe.gets_in).min(pipe.room);
        }
        (kept + beside).min(1.0)
    }

    /// Shares that pipes carry, the greatest first.
    fn shares(&self) -> Vec<f64> {
        let all = self.candidates.iter().flatten().flatten().map(|candidate| candidate.carries);
        let mut all: Vec<f64> = all.chain([1.0]).collect();
        all.sort_by(|a, b| b.total_cmp(a));
        all.dedup();
        all
    }

    /// Share that rows keep at the most of which every pipe carries a share, and that begin with these pipes;
    /// nothing where there is no such row.
    ///
    /// # Method
    /// Down the way: of what was kept above and what gets in, that for which the pipe has room. More from
    /// above never keeps less, so that of the rows above a pipe the one that keeps most is enough.
    fn most_kept(&self, carried: f64, first: &[usize]) -> Option<f64> {
        let with_beside = |kept: f64| (kept + self.beside).min(1.0);
        let lead = self.reaches.iter().position(|reach| reach.place == ReachPlace::Lead);
        // By the pipe above.
        let mut above: Vec<Option<f64>> = vec![Some(0.0); self.pipes.len()];
        for (at, candidates) in self.candidates.iter().enumerate() {
            let mut most: Option<f64> = None;
            let mut here = vec![None; self.pipes.len()];
            for (place, candidate) in candidates.iter().enumerate() {
                most = above[place].into_iter().chain(most).reduce(f64::max);
                let is_asked_for = first.get(at).is_none_or(|asked| *asked == place);
                let candidate = candidate.filter(|candidate| is_asked_for && candidate.carries >= carried);
                let kept = if lead == Some(at) { most.map(with_beside) } else { most };
                here[place] = candidate.zip(kept).map(|(pipe, kept)| (kept + pipe.lets_in).min(pipe.room));
            }
            above = here;
        }
        let kept = above.into_iter().flatten().reduce(f64::max)?;
        Some(if lead.is_some() { kept.min(1.0) } else { with_beside(kept) })
    }

    /// The smallest pipes from the head down with which so much can be carried and kept, and their places in
    /// the list.
    fn down_from_head(&self, carried: f64, kept: f64) -> Option<(Vec<SizedReach>, Vec<usize>)> {
        let mut found: Vec<SizedReach> = Vec::with_capacity(self.reaches.len());
        let mut places: Vec<usize> = Vec::with_capacity(self.reaches.len());
        for (at, candidates) in self.candidates.iter().enumerate() {
            let free = |(place, candidate): (usize, &Option<Candidate>)| {
                let candidate = candidate.filter(|candidate| candidate.carries >= carried)?;
                let row = [places.as_slice(), &[place]].concat();
                let is_kept = self.most_kept(carried, &row).is_some_and(|most| most >= kept - SAME);
                is_kept.then_some((place, candidate))
            };
            let free = candidates.iter().enumerate().filter_map(free);
            let (place, sized) = self.pipe_of(&self.reaches[at], free)?;
            places.push(place);
            found.push(sized);
        }
        Some((found, places))
    }

    /// The first that serves, else the smallest that carries the flow, else the one that carries most.
    fn pipe_of(
        &self,
        reach: &Reach,
        free: impl Iterator<Item = (usize, Candidate)>,
    ) -> Option<(usize, SizedReach)> {
        let rated = |place: usize| (place, rate(reach, self.pipes[place], self.limits, self.line));
        let mut first: Option<(usize, SizedReach)> = None;
        let mut most: Option<(usize, Candidate)> = None;
        for (place, candidate) in free {
            if candidate.carries < 1.0 {
                most = most.filter(|most| most.1.carries >= candidate.carries).or(Some((place, candidate)));
                continue;
            }
            let rated = rated(place);
            if rated.1.verdict == ReachVerdict::Carries {
                return Some(rated);
            }
            first = first.or(Some(rated));
        }
        first.or_else(|| most.map(|(place, _)| rated(place)))
    }
}

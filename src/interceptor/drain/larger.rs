//! Pipes that are larger than their flow asks for, since standing water at the outlet would drive water out of
//! smaller ones.

use super::super::catalogue::{Catalogue, PipeSize};
use super::arrangement::Arrangement;
use super::option::DrainOption;
use super::reach::ReachPlace;
use super::sizes::{LinePipe, SizedReach, capacity, rate};
use crate::units::{Flow, Length};

/// Multiples nearer than this, relatively, are one.
const SAME: f64 = 1e-9;
/// Pipes are made no larger than for so many times their flow. Ours: by Manning's equation a pipe of twice the
/// size carries 2^(8/3) times as much, and uses up a fortieth of the level (2^(16/3)), so that what still drives
/// water out is the standing water itself.
const MOST_TIMES: f64 = 6.349_604_207_872_798;

/// How much larger a drain's pipes are than their flow asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Larger {
    /// They are sized for so many times their flow, 1 or more.
    pub times: f64,
    /// Those of the lead are no smaller inside.
    pub lead_inside: Length,
}

impl Larger {
    /// No larger.
    pub const NONE: Self = Self { times: 1.0, lead_inside: Length::ZERO };

    /// What both ask for.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        let lead_inside =
            if other.lead_inside > self.lead_inside { other.lead_inside } else { self.lead_inside };
        Self { times: self.times.max(other.times), lead_inside }
    }

    /// Whether it is none.
    #[must_use]
    pub fn is_none(self) -> bool {
        self == Self::NONE
    }
}

impl DrainOption {
    /// Multiples of the flow, above 1 and up to [`MOST_TIMES`], at which a pipe of the catalogue is just full in
    /// one of its reaches, and that one: between two of them, the upper one with it, the sizes are the same.
    #[must_use]
    pub fn multiples(&self, catalogue: &Catalogue) -> Vec<f64> {
        let times = |sized: &SizedReach, pipe: &PipeSize| {
            let full = capacity(&sized.reach, pipe, self.line_pipe(sized));
            if sized.reach.flow > Flow::ZERO { full / sized.reach.flow } else { f64::INFINITY }
        };
        let of_reach = |sized: &SizedReach| -> Vec<f64> {
            self.may_lie(sized, catalogue).map(|pipe| times(sized, pipe)).collect()
        };
        let mut all: Vec<f64> = self.reaches.iter().flat_map(of_reach).collect();
        all.retain(|times| *times > 1.0 && *times < MOST_TIMES);
        all.push(MOST_TIMES);
        all
    }

    /// Inside diameter of the first pipe of its lead, sized for so many times the flow; 0 without a lead.
    #[must_use]
    pub fn lead_inside_for(&self, times: f64, catalogue: &Catalogue) -> Length {
        let all = self.sized_for(Larger { times, ..Larger::NONE }, catalogue);
        let lead = all.iter().find(|sized| sized.reach.place == ReachPlace::Lead);
        lead.map_or(Length::ZERO, |sized| sized.pipe.inside())
    }

    /// Its reaches with the smallest pipes that are as large as asked for, none smaller than the one above.
    #[must_use]
    pub fn sized_for(&self, larger: Larger, catalogue: &Catalogue) -> Vec<SizedReach> {
        let mut found: Vec<SizedReach> = Vec::with_capacity(self.reaches.len());
        let mut above_mm = 0.0_f64;
        for sized in &self.reaches {
            let line = self.line_pipe(sized);
            let full = |pipe: &PipeSize| capacity(&sized.reach, pipe, line);
            let least = sized.reach.flow * (larger.times * (1.0 - SAME));
            let least_mm = match sized.reach.place {
                ReachPlace::Lead => above_mm.max(larger.lead_inside.as_mm()),
                ReachPlace::Line => above_mm,
            };
            let is_enough =
                |pipe: &&PipeSize| full(pipe) >= least && pipe.inside_mm >= least_mm * (1.0 - SAME);
            let smallest = self
                .may_lie(sized, catalogue)
                .filter(is_enough)
                .min_by(|a, b| a.inside_mm.total_cmp(&b.inside_mm));
            let largest =
                || self.may_lie(sized, catalogue).max_by(|a, b| a.inside_mm.total_cmp(&b.inside_mm));
            let pipe = smallest.or_else(largest).unwrap_or(&sized.pipe);
            above_mm = pipe.inside_mm;
            found.push(rate(&sized.reach, pipe, &self.limits, line));
        }
        found
    }

    /// Pipes of the wall that it has that may lie in a reach.
    fn may_lie<'a>(
        &'a self,
        sized: &'a SizedReach,
        catalogue: &'a Catalogue,
    ) -> impl Iterator<Item = &'a PipeSize> {
        let needs_holes = matches!(self.line_pipe(sized), LinePipe::Perforated(_));
        let is_called_less = |pipe: &PipeSize| pipe.nominal_mm < sized.reach.least_size.as_mm() - SAME;
        catalogue.pipes().iter().filter(move |pipe| {
            pipe.wall == sized.pipe.wall
                && (!needs_holes || pipe.inlet_cm2_per_m > 0.0)
                && !is_called_less(pipe)
        })
    }

    const fn line_pipe(&self, sized: &SizedReach) -> LinePipe {
        match (sized.reach.place, self.arrangement) {
            (ReachPlace::Line, Arrangement::Basins) | (ReachPlace::Lead, _) => LinePipe::Solid,
            (ReachPlace::Line, _) => LinePipe::Perforated(sized.pipes),
        }
    }
}

//! The pipe of each reach.

use super::super::catalogue::{Catalogue, PipeSize, PipeWall};
use super::super::trench::PipeCount;
use super::reach::{Reach, ReachPlace};
use crate::formula::circular_pipe::{full_flow, full_velocity};
use crate::formula::part_full_pipe::greatest_velocity_up_to;
use crate::units::{Flow, ManningN, Velocity};

/// Inside diameters that differ by less are one, mm.
const SAME_MM: f64 = 1e-6;

/// Velocities that a pipe must keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VelocityLimits {
    /// At the least when just full, so that it keeps clean.
    pub least: Velocity,
    /// At the most along the part.
    pub most_line: Velocity,
    /// At the most in the solid pipe of the lead.
    pub most_lead: Velocity,
}

/// Pipe along the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LinePipe {
    /// With holes, one or two at one level.
    Perforated(PipeCount),
    /// Without holes.
    Solid,
}

/// Whether a reach's pipe serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReachVerdict {
    /// It carries the flow and keeps both velocities.
    Carries,
    /// It is full before.
    TooSmall,
    /// Even full it runs too slowly to keep clean.
    TooSlow,
    /// It runs too fast.
    TooFast,
}

/// A reach with its pipe.
#[derive(Debug, Clone, PartialEq)]
pub struct SizedReach {
    /// The reach.
    pub reach: Reach,
    /// The pipe, or each of two.
    pub pipe: PipeSize,
    /// How many there are.
    pub pipes: PipeCount,
    /// Flow of all of them when just full.
    pub capacity: Flow,
    /// Velocity when just full.
    pub full_velocity: Velocity,
    /// Greatest velocity in the storm.
    pub velocity: Velocity,
    /// Whether it serves.
    pub verdict: ReachVerdict,
}

impl SizedReach {
    /// Part of the flow that the pipe carries; 1 where it carries all.
    #[must_use]
    pub fn share(&self) -> f64 {
        if self.capacity >= self.reach.flow { 1.0 } else { self.capacity / self.reach.flow }
    }
}

/// Sizes the reaches of a drain from its head down; `None` where the catalogue has no pipe of the kind.
///
/// # Method
/// Each reach has the smallest pipe of the catalogue, by inside diameter, that carries the reach's flow just full at the
/// reach's own grade, keeps both velocities, and is no smaller than the pipe above nor than the reach's
/// least. Of two pipes at one level each carries
/// half. Where none does, the one that carries most is taken, or of those that carry the flow the smallest, and the
/// verdict says what fails. All pipe of a drain has one kind of wall, so that only sizes must be joined: of the kinds
/// that serve, the one whose last pipe is the smallest; of equal ones the smooth one.
#[must_use]
pub fn size(
    reaches: &[Reach],
    catalogue: &Catalogue,
    limits: &VelocityLimits,
    line: LinePipe,
) -> Option<Vec<SizedReach>> {
    let chains = [PipeWall::Smooth, PipeWall::Corrugated]
        .into_iter()
        .filter_map(|wall| chain(reaches, catalogue, limits, line, wall));
    chains.reduce(|best, next| if is_better(&next, &best) { next } else { best })
}

/// Part of the flow that every reach carries.
#[must_use]
pub fn carried_share(reaches: &[SizedReach]) -> f64 {
    reaches.iter().map(SizedReach::share).fold(1.0, f64::min)
}

fn is_better(next: &[SizedReach], best: &[SizedReach]) -> bool {
    let serves = |chain: &[SizedReach]| chain.iter().all(|sized| sized.verdict == ReachVerdict::Carries);
    let last_mm = |chain: &[SizedReach]| chain.last().map_or(0.0, |sized| sized.pipe.nominal_mm);
    match (serves(next), serves(best)) {
        (true, false) => true,
        (false, true) => false,
        (true, true) => last_mm(next) < last_mm(best),
        (false, false) => carried_share(next) > carried_share(best),
    }
}

fn chain(
    reaches: &[Reach],
    catalogue: &Catalogue,
    limits: &VelocityLimits,
    line: LinePipe,
    wall: PipeWall,
) -> Option<Vec<SizedReach>> {
    let mut found: Vec<SizedReach> = Vec::with_capacity(reaches.len());
    for reach in reaches {
        let above_mm = found.last().map_or(0.0, |sized| sized.pipe.inside_mm);
        let least_mm = above_mm.max(reach.least_inside.as_mm() - SAME_MM);
        let sizes = catalogue.pipes().iter().filter(|pipe| {
            pipe.wall == wall && pipe.inside_mm >= least_mm && fits_place(pipe, reach.place, line)
        });
        let rated: Vec<SizedReach> = sizes.map(|pipe| rate(reach, pipe, limits, line)).collect();
        found.push(choose(rated)?);
    }
    Some(found)
}

fn fits_place(pipe: &PipeSize, place: ReachPlace, line: LinePipe) -> bool {
    place == ReachPlace::Lead || line == LinePipe::Solid || pipe.inlet_cm2_per_m > 0.0
}

/// The first that serves, else the smallest that carries the flow, else the one that carries most.
fn choose(rated: Vec<SizedReach>) -> Option<SizedReach> {
    let serving = rated.iter().position(|sized| sized.verdict == ReachVerdict::Carries);
    let carrying = || rated.iter().position(|sized| sized.verdict != ReachVerdict::TooSmall);
    let largest = || {
        let more = |a: usize, b: usize| if rated[b].capacity > rated[a].capacity { b } else { a };
        (0..rated.len()).reduce(more)
    };
    let place = serving.or_else(carrying).or_else(largest)?;
    rated.into_iter().nth(place)
}

fn rate(reach: &Reach, pipe: &PipeSize, limits: &VelocityLimits, line: LinePipe) -> SizedReach {
    let (pipes, n, most) = match (reach.place, line) {
        (ReachPlace::Line, LinePipe::Perforated(pipes)) => (pipes, pipe.manning_n, limits.most_line),
        (ReachPlace::Line, LinePipe::Solid) | (ReachPlace::Lead, _) => {
            (PipeCount::One, pipe.solid_n, limits.most_lead)
        }
    };
    let (count, inside) = (f64::from(pipes.count()), pipe.inside());
    let capacity = full_flow(inside, n, reach.grade) * count;
    let full = full_velocity(inside, n, reach.grade);
    let velocity = velocity_in(reach, pipe, n, count);
    let verdict = if capacity < reach.flow {
        ReachVerdict::TooSmall
    } else if full < limits.least {
        ReachVerdict::TooSlow
    } else if velocity > most {
        ReachVerdict::TooFast
    } else {
        ReachVerdict::Carries
    };
    SizedReach { reach: *reach, pipe: pipe.clone(), pipes, capacity, full_velocity: full, velocity, verdict }
}

fn velocity_in(reach: &Reach, pipe: &PipeSize, n: ManningN, count: f64) -> Velocity {
    greatest_velocity_up_to(reach.flow * (1.0 / count), pipe.inside(), n, reach.grade)
}

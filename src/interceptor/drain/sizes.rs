//! The pipe of each reach: the way from a reach and a pipe to a verdict. Which pipe is taken is in
//! [`super::choice`].

use super::super::catalogue::PipeSize;
use super::super::trench::PipeCount;
use super::reach::{Reach, ReachPlace};
use crate::formula::circular_pipe::{full_flow, full_velocity};
use crate::formula::part_full_pipe::greatest_velocity_up_to;
use crate::units::{Flow, ManningN, Velocity};

/// Velocities that a pipe must keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VelocityLimits {
    /// At the least when just full, so that it keeps clean.
    pub least: Velocity,
    /// At the most in the storm.
    pub most: Velocity,
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
    /// Roughness that it is reckoned with: the catalogue's of perforated or of solid pipe.
    pub n: ManningN,
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

/// Part of the flow that every reach carries.
#[must_use]
pub fn carried_share(reaches: &[SizedReach]) -> f64 {
    reaches.iter().map(SizedReach::share).fold(1.0, f64::min)
}

/// How many pipes lie in a reach, and how rough they are.
const fn laid(place: ReachPlace, pipe: &PipeSize, line: LinePipe) -> (PipeCount, ManningN) {
    match (place, line) {
        (ReachPlace::Line, LinePipe::Perforated(pipes)) => (pipes, pipe.manning_n),
        (ReachPlace::Line, LinePipe::Solid) | (ReachPlace::Lead, _) => (PipeCount::One, pipe.solid_n),
    }
}

/// Flow of a pipe, or of two, when just full in a reach.
pub(super) fn capacity(reach: &Reach, pipe: &PipeSize, line: LinePipe) -> Flow {
    let (pipes, n) = laid(reach.place, pipe, line);
    full_flow(pipe.inside(), n, reach.grade) * f64::from(pipes.count())
}

/// A reach with a pipe, and the verdict on it.
pub(super) fn rate(reach: &Reach, pipe: &PipeSize, limits: &VelocityLimits, line: LinePipe) -> SizedReach {
    let (pipes, n) = laid(reach.place, pipe, line);
    let (count, inside) = (f64::from(pipes.count()), pipe.inside());
    let capacity = full_flow(inside, n, reach.grade) * count;
    let full = full_velocity(inside, n, reach.grade);
    let velocity = greatest_velocity_up_to(reach.flow * (1.0 / count), inside, n, reach.grade);
    let verdict = if capacity < reach.flow {
        ReachVerdict::TooSmall
    } else if full < limits.least {
        ReachVerdict::TooSlow
    } else if velocity > limits.most {
        ReachVerdict::TooFast
    } else {
        ReachVerdict::Carries
    };
    SizedReach {
        reach: *reach,
        pipe: pipe.clone(),
        pipes,
        n,
        capacity,
        full_velocity: full,
        velocity,
        verdict,
    }
}

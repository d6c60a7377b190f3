//! From stretches to parts of the line.

use super::alignment::{Aligner, Alignment};
use super::catalogue::{Catalogue, PipeWall};
use super::crests::past_inflow;
use super::drain::DrainError;
use super::findings::findings;
use super::materials::MaterialError;
use super::obstacles::Obstacles;
use super::part::{InterceptionLine, LinePart, Sizing};
use super::pipe::{smallest_pipe, smallest_pipe_of};
use super::profile::LimitsError;
use super::stations::stations_along;
use super::swale::{SwaleRules, size_swale};
use crate::lots::{LotLine, Stretch};
use crate::runoff::{JoinedPeak, Rain, Stream, joined_peak};
use crate::units::{Area, Grade, Length, OutOfRange, RunoffCoefficient, Time};
use crate::warning::Warned;
use geo::{Area as _, Coord, LineString, Polygon};

/// Stations are at least this far apart, metres.
const LEAST_STATION_M: f64 = 1.0;

/// A line that can't be proposed.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum InterceptorError {
    /// A stretch of a ring that the lot line doesn't have.
    #[error("a stretch lies on ring {ring}, but the lot line has {rings} rings")]
    NoSuchRing {
        /// The stretch's ring.
        ring: usize,
        /// Number of rings.
        rings: usize,
    },
    /// A setback or cell size that is none.
    #[error("the {what} is {found_m} m, which is not a finite number of 0 or more")]
    Setting {
        /// Which setting.
        what: &'static str,
        /// The number found.
        found_m: f64,
    },
    /// A number outside what a formula takes.
    #[error("{0}")]
    OutOfRange(#[from] OutOfRange),
    /// Limits of the pipe that make no sense.
    #[error("{0}")]
    Limits(#[from] LimitsError),
    /// An outlet that has no place in the working system.
    #[error("--outlet: {reason}")]
    Outlet {
        /// Why not.
        reason: String,
    },
    /// A drain that can't be designed.
    #[error("{0}")]
    Drain(#[from] DrainError),
    /// A material that there is not.
    #[error("{0}")]
    Material(#[from] MaterialError),
}

/// What the line must keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineSettings<'a> {
    /// Distance from the lot line.
    pub setback: Length,
    /// Longer side of a cell of the elevation raster.
    pub cell: Length,
    /// Grade at which pipes are laid and rated.
    pub min_grade: Grade,
    /// What a swale must keep to.
    pub swale: SwaleRules,
    /// What the line is kept clear of.
    pub obstacles: &'a Obstacles,
    /// How far the line goes on past the last inflow.
    pub past_inflow: Length,
}

#[cfg(test)]
impl<'a> LineSettings<'a> {
    /// A setback of 0.6 m on cells of 1 m at 1 % and no further than the inflow, for tests.
    pub(super) fn plain(obstacles: &'a Obstacles) -> Self {
        Self {
            setback: Length::from_m(0.6),
            cell: Length::from_m(1.0),
            min_grade: Grade::new(0.01).unwrap(),
            swale: SwaleRules::usual().unwrap(),
            obstacles,
            past_inflow: Length::ZERO,
        }
    }
}

/// A stretch to be intercepted.
#[derive(Debug, Clone, PartialEq)]
pub struct CaughtStretch {
    /// The stretch of the lot line.
    pub stretch: Stretch,
    /// Area outside the lot whose water enters over it.
    pub contributing_area: Area,
}

/// The water that a part is sized for, beside that of its strip.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PartWater {
    /// Area outside the lot whose water enters over other places of the lot line and comes to the part.
    pub other_run_on: Area,
    /// Ground of the lot outside the strip whose water comes to the part.
    pub own_ground: Area,
    /// All of it, and what enters over the part's stretch, in the design storm; empty without one.
    pub streams: Vec<Stream>,
}

/// The design storm as the line needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineStorm<'a> {
    /// The rain.
    pub rain: &'a Rain,
    /// Coefficient of the strip between lot line and line.
    pub strip_coefficient: RunoffCoefficient,
    /// Time that the strip's water takes.
    pub strip_time: Time,
}

/// Proposes a line inside the lot beside each stretch, not yet sized.
///
/// # Units
/// `ground` gives the elevation in metres at a point of the working coordinate system, `None` where unknown.
///
/// # Method
/// The lot is shrunk by the setback; each part is the piece of the shrunk outline beside its stretch, and a little past it, led around
/// obstacles, directed to its lower end (clockwise where the ends are level or the ground is unknown).
///
/// # Errors
/// [`InterceptorError`] for a ring that isn't there, or a setback or cell size that is none.
pub fn propose(
    line: &LotLine,
    caught: &[CaughtStretch],
    ground: &dyn Fn(Coord) -> Option<f64>,
    settings: &LineSettings<'_>,
) -> Result<Warned<InterceptionLine>, InterceptorError> {
    for (what, length) in [
        ("setback", settings.setback),
        ("cell size", settings.cell),
        ("length past the inflow", settings.past_inflow),
    ] {
        if !(length.as_m().is_finite() && length.as_m() >= 0.0) {
            return Err(InterceptorError::Setting { what, found_m: length.as_m() });
        }
    }
    let aligner = Aligner::new(line, settings.setback.as_m());
    let mut warnings = Vec::new();
    let mut parts = Vec::new();
    let all: Vec<&Stretch> = caught.iter().map(|item| &item.stretch).collect();
    for (i, item) in caught.iter().enumerate() {
        let stretch = &item.stretch;
        let ring = line
            .ring(stretch.ring)
            .ok_or(InterceptorError::NoSuchRing { ring: stretch.ring, rings: line.rings().len() })?;
        let beside = past_inflow(stretch, &all, line, settings.past_inflow.as_m());
        let mut alignment = aligner.along(&beside, ring);
        // A millimetre for rounding.
        let past = (settings.past_inflow.as_m() + 1e-3) / line.metres_per_unit();
        alignment.path = settings.obstacles.clear_of(&alignment.path, past);
        let strip = strip(line, &beside, &alignment);
        let mut part = lay_out(i + 1, item, alignment, line.metres_per_unit(), ground, settings);
        part.strip_area = area(&strip, line.metres_per_unit());
        part.strip = strip;
        warnings.extend(findings(&part, settings));
        parts.push(part);
    }
    Ok(Warned::new(InterceptionLine { parts }, warnings))
}

/// Sizes a line for its water, by part.
///
/// # Method
/// The flow of a part is the joined peak of its water and of the strip between lot line and line; the pipe is the smallest that
/// carries it just full at the least grade asked for; the swale is sized at the ground's own fall where that is less.
///
/// # Errors
/// [`InterceptorError::OutOfRange`] for a flow that is none.
pub fn size_line(
    line: &mut InterceptionLine,
    waters: &[PartWater],
    storm: Option<LineStorm<'_>>,
    catalogue: &Catalogue,
    settings: &LineSettings<'_>,
) -> Result<Warned<()>, InterceptorError> {
    let mut warnings = Vec::new();
    for (part, water) in line.parts.iter_mut().zip(waters) {
        part.other_run_on = water.other_run_on;
        part.own_ground = water.own_ground;
        part.peak = storm
            .and_then(|storm| part_peak(&water.streams, part.strip_area, storm))
            .map(|found| found.unload(&mut warnings));
        part.sizing = size(part, catalogue, settings)?;
    }
    Ok(Warned::new((), warnings))
}

/// Path, direction and profile of a part, still without flow.
fn lay_out(
    id: usize,
    item: &CaughtStretch,
    alignment: Alignment,
    metres_per_unit: f64,
    ground: &dyn Fn(Coord) -> Option<f64>,
    settings: &LineSettings<'_>,
) -> LinePart {
    let mut path = alignment.path;
    let ends = (ground(path.0[0]), ground(path.0[path.0.len() - 1]));
    if let (Some(first_m), Some(last_m)) = ends
        && first_m < last_m
    {
        path.0.reverse();
    }
    let step_m = settings.cell.as_m().max(LEAST_STATION_M);
    let stations = stations_along(&path, metres_per_unit, step_m, ground);
    let known = || stations.iter().enumerate().filter_map(|(i, s)| Some((i, s.ground_m?)));
    let highest = known().reduce(|a, b| if b.1 > a.1 { b } else { a }).map(|(i, _)| i);
    let lowest = known().reduce(|a, b| if b.1 < a.1 { b } else { a }).map(|(i, _)| i);
    LinePart {
        id,
        ring: item.stretch.ring,
        from_m: item.stretch.from_m,
        to_m: item.stretch.to_m,
        setback: Length::from_m(alignment.setback_m),
        length: Length::from_m(stations.last().map_or(0.0, |s| s.station_m)),
        path,
        stations,
        station_step: Length::from_m(step_m),
        highest,
        lowest,
        contributing_area: item.contributing_area,
        strip: Polygon::new(LineString::new(vec![]), vec![]),
        strip_area: Area::ZERO,
        other_run_on: Area::ZERO,
        own_ground: Area::ZERO,
        peak: None,
        sizing: None,
        drain_pipe: None,
    }
}

/// The ground between the stretch and the line.
fn strip(line: &LotLine, stretch: &Stretch, alignment: &Alignment) -> Polygon {
    let edge = line.ring(stretch.ring).map(|ring| ring.substring(stretch.from_m, stretch.to_m).0);
    let mut between = edge.unwrap_or_default();
    between.extend(alignment.path.0.iter().rev());
    Polygon::new(LineString::new(between), vec![])
}

/// Area of a polygon. Relative to its first point: areas of large coordinates lose their digits.
fn area(polygon: &Polygon, metres_per_unit: f64) -> Area {
    let Some(&origin) = polygon.exterior().0.first() else { return Area::ZERO };
    let local: Vec<Coord> = polygon.exterior().0.iter().map(|&p| p - origin).collect();
    let units = Polygon::new(LineString::new(local), vec![]).unsigned_area();
    Area::from_m2(units * metres_per_unit * metres_per_unit)
}

/// Peak of a part: of the streams that come to it, and of the strip between lot line and line.
#[must_use]
pub fn part_peak(streams: &[Stream], strip_area: Area, storm: LineStorm<'_>) -> Option<Warned<JoinedPeak>> {
    let strip = Stream { shedding: strip_area * storm.strip_coefficient.get(), time: storm.strip_time };
    joined_peak(&[streams, &[strip]].concat(), storm.rain)
}

fn size(
    part: &LinePart,
    catalogue: &Catalogue,
    settings: &LineSettings<'_>,
) -> Result<Option<Sizing>, InterceptorError> {
    let Some(flow) = part.flow() else { return Ok(None) };
    let grade = settings.min_grade;
    Ok(Some(Sizing {
        grade,
        pipe: smallest_pipe(flow, grade, catalogue),
        smooth_pipe: smallest_pipe_of(PipeWall::Smooth, flow, grade, catalogue),
        corrugated_pipe: smallest_pipe_of(PipeWall::Corrugated, flow, grade, catalogue),
        swale: size_swale(flow, grade, part.ground_grade(), &settings.swale)?,
        swale_rules: settings.swale,
    }))
}

#[cfg(test)]
#[path = "propose_tests.rs"]
mod tests;

//! Places where the ground falls below the pipe.

use super::bore::Bore;
use super::outlet::DrainedEnd;
use super::part::LinePart;
use super::profile::{GroundPoint, LimitsError, Outfall, fits};
use super::ways::{Land, ground_points, limits_of, towards};
use crate::units::Length;
use geo::Coord;

/// Directions that are looked into from a part's end. Ours.
const DIRECTIONS: u8 = 36;

/// A place at which a part's pipe comes out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DaylightPlace {
    /// From the part's end to it, m.
    pub away_m: f64,
    /// That end.
    pub from: Coord,
    /// The place, in the working coordinate system.
    pub at: Coord,
    /// Its ground, m.
    pub ground_m: f64,
}

/// The places at which a part's pipe comes out, the nearest first.
///
/// # Method
/// From either end of the part straight leads in 36 directions; in each all places, step by step, at which a
/// pipe that ends at the ground keeps all limits. What stands in the way of a lead isn't looked at.
///
/// # Errors
/// [`LimitsError`] for limits that make no sense.
pub fn daylight_places(
    part: &LinePart,
    reach: Length,
    land: &Land<'_>,
) -> Result<Vec<DaylightPlace>, LimitsError> {
    let mut found: Vec<DaylightPlace> = Vec::new();
    for end in [DrainedEnd::Lower, DrainedEnd::Upper] {
        for direction in 0..DIRECTIONS {
            let angle = std::f64::consts::TAU * f64::from(direction) / f64::from(DIRECTIONS);
            found.extend(along(part, end, angle, reach, land)?);
        }
    }
    found.sort_by(|a, b| a.away_m.total_cmp(&b.away_m));
    Ok(found)
}

/// The places in one direction.
fn along(
    part: &LinePart,
    end: DrainedEnd,
    angle: f64,
    reach: Length,
    land: &Land<'_>,
) -> Result<Vec<DaylightPlace>, LimitsError> {
    let bore = Bore::of_part(part);
    let path = towards(part, end);
    let from = path.0[path.0.len() - 1];
    let mut found = Vec::new();
    let Some(mut points) = ground_points(&down(part, end)) else { return Ok(found) };
    let ends_m = part.length.as_m();
    let (sin, cos) = angle.sin_cos();
    let step_m = land.limits.step.as_m();
    let mut away_m = step_m;
    while away_m <= reach.as_m() {
        let units = away_m / land.limits.metres_per_unit;
        let at = Coord { x: from.x + units * cos, y: from.y + units * sin };
        let Some(ground_m) = (land.height)(at) else { break };
        points.push(GroundPoint { station_m: ends_m + away_m, ground_m });
        let limits = limits_of(bore, Outfall::Open(ground_m), &land.limits)?;
        if fits(&points, &limits)? {
            found.push(DaylightPlace { away_m, from, at, ground_m });
        }
        away_m += step_m;
    }
    Ok(found)
}

/// Stations of a part down its water's way.
fn down(part: &LinePart, end: DrainedEnd) -> Vec<super::part::Station> {
    let mut stations = part.stations.clone();
    if end == DrainedEnd::Upper {
        stations.reverse();
        for station in &mut stations {
            station.station_m = part.length.as_m() - station.station_m;
        }
    }
    stations
}

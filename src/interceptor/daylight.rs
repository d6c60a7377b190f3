//! Places where the ground falls below the pipe.

use super::bore::Bore;
use super::outlet::{DrainedEnd, OutletKind, OutletPlace};
use super::part::LinePart;
use super::profile::{GroundPoint, LimitsError, Outfall, fits};
use super::ways::{Land, ground_points, limits_of, towards};
use crate::units::Length;
use geo::{Contains, Coord, MultiPolygon};

/// Directions that are looked into from a part's end. Ours.
const DIRECTIONS: u8 = 36;

/// The nearest places at which a part's pipe comes out: one on the lot and one anywhere; none, one or two.
///
/// # Method
/// From either end of the part straight leads in 36 directions; in each the nearest place, step by step, at which a pipe that ends at the
/// ground keeps all limits. A lead that something stands in the way of doesn't count.
///
/// # Errors
/// [`LimitsError`] for limits that make no sense.
pub fn daylight_places(
    part: &LinePart,
    lot: &MultiPolygon,
    reach: Length,
    land: &Land<'_>,
) -> Result<Vec<OutletPlace>, LimitsError> {
    let mut found: Vec<(f64, Coord, f64)> = Vec::new();
    for end in [DrainedEnd::Lower, DrainedEnd::Upper] {
        for direction in 0..DIRECTIONS {
            let angle = std::f64::consts::TAU * f64::from(direction) / f64::from(DIRECTIONS);
            found.extend(first_along(part, end, angle, reach, land)?);
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let own = found.iter().position(|(_, at, _)| lot.contains(at));
    let mut chosen: Vec<usize> = own.into_iter().chain((!found.is_empty()).then_some(0)).collect();
    chosen.dedup();
    let place = |&index: &usize| {
        let (_, at, invert_m) = found[index];
        let where_to = if lot.contains(&at) { "on the lot" } else { "beyond the lot" };
        OutletPlace {
            kind: OutletKind::Daylight,
            id: where_to.to_owned(),
            at,
            invert_m,
            rim_m: None,
            tailwater_m: None,
        }
    };
    Ok(chosen.iter().map(place).collect())
}

/// The nearest place in one direction: how far off, m, where, and its ground.
fn first_along(
    part: &LinePart,
    end: DrainedEnd,
    angle: f64,
    reach: Length,
    land: &Land<'_>,
) -> Result<Option<(f64, Coord, f64)>, LimitsError> {
    let bore = Bore::of_part(part);
    let path = towards(part, end);
    let from = path.0[path.0.len() - 1];
    let Some(mut points) = ground_points(&down(part, end)) else { return Ok(None) };
    let ends_m = part.length.as_m();
    let (sin, cos) = angle.sin_cos();
    let step_m = land.limits.step.as_m();
    let mut away_m = step_m;
    while away_m <= reach.as_m() {
        let units = away_m / land.limits.metres_per_unit;
        let at = Coord { x: from.x + units * cos, y: from.y + units * sin };
        let Some(ground_m) = (land.height)(at) else { return Ok(None) };
        points.push(GroundPoint { station_m: ends_m + away_m, ground_m });
        let limits = limits_of(bore, Outfall::Open(ground_m), &land.limits)?;
        if fits(&points, &limits)? {
            let clear = land.obstacles.lead(from, at).is_some_and(|lead| lead.0.len() == 2);
            return Ok(clear.then_some((away_m, at, ground_m)));
        }
        away_m += step_m;
    }
    Ok(None)
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

//! Places where the ground falls below the pipe.

use super::bore::Bore;
use super::outlet::DrainedEnd;
use super::part::LinePart;
use super::profile::{GroundPoint, LimitsError, OPEN_M, Outfall, RunOut, fits, with_run_out};
use super::stations::stations_along;
use super::ways::{Land, ground_points, limits_of, towards};
use crate::units::Length;
use geo::Coord;

/// Directions that are looked into from a part's end. Ours.
const DIRECTIONS: u8 = 36;
/// Halvings of a step in which the first place lies: a metre to a millimetre.
const HALVINGS: usize = 10;

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
    /// Whether the cover runs out there over no more than the usual length.
    pub is_covered: bool,
}

/// The places at which a part's pipe comes out, the nearest first.
///
/// # Method
/// From either end of the part straight leads in 36 directions; in each all places, step by step, at which a
/// pipe that ends at the ground keeps all limits, and between two steps the first, but within the length
/// over which cover runs out: a shorter lead lets it run out along the part. Where it doesn't keep its
/// cover up to the usual length before its mouth, the cover may run out over the whole lead. What stands in
/// the way of a lead isn't looked at.
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

/// Whether the pipe of a part comes out at a place by the way that is laid there: with its own stations,
/// which are others than those by which the place was found.
///
/// # Errors
/// [`LimitsError`] for limits that make no sense.
pub fn comes_out(part: &LinePart, place: &DaylightPlace, land: &Land<'_>) -> Result<bool, LimitsError> {
    let is_upper = place.from == part.path.0[0];
    let mut path = towards(part, if is_upper { DrainedEnd::Upper } else { DrainedEnd::Lower });
    path.0.push(place.at);
    let scale = land.limits.metres_per_unit;
    let stations = stations_along(&path, scale, land.limits.step.as_m(), land.height);
    let Some(points) = ground_points(&stations) else { return Ok(false) };
    let limits = limits_of(Bore::of_part(part), Outfall::Open(place.ground_m), &land.limits)?;
    let lead_m = (points[points.len() - 1].station_m - part.length.as_m()).max(0.0);
    fits(&points, &with_run_out(&points, &limits, lead_m)?)
}

/// A straight lead in one direction.
struct Ray<'a> {
    from: Coord,
    direction: [f64; 2],
    bore: Bore,
    /// Length of the part above it, m.
    ends_m: f64,
    land: &'a Land<'a>,
}

impl Ray<'_> {
    /// The place so far along; nothing where its ground isn't known.
    fn place(&self, away_m: f64) -> Option<DaylightPlace> {
        let units = away_m / self.land.limits.metres_per_unit;
        let [x, y] = self.direction;
        let at = Coord { x: self.from.x + units * x, y: self.from.y + units * y };
        let ground_m = (self.land.height)(at)?;
        Some(DaylightPlace { away_m, from: self.from, at, ground_m, is_covered: false })
    }

    fn point(&self, place: &DaylightPlace) -> GroundPoint {
        GroundPoint { station_m: self.ends_m + place.away_m, ground_m: place.ground_m }
    }

    /// The place where a pipe may come out that has its mouth at the last point; nothing where none does.
    fn out(
        &self,
        points: &[GroundPoint],
        place: DaylightPlace,
    ) -> Result<Option<DaylightPlace>, LimitsError> {
        let limits = limits_of(self.bore, Outfall::Open(place.ground_m), &self.land.limits)?;
        if fits(points, &limits)? {
            return Ok(Some(DaylightPlace { is_covered: true, ..place }));
        }
        let over_m = limits.longest_run_out_m(place.away_m);
        let long = limits.with_run_out(RunOut::Long(over_m));
        Ok((over_m > OPEN_M && fits(points, &long)?).then_some(place))
    }

    /// The first place between two steps, of which a pipe comes out at the further one only; the points are
    /// those up to the nearer one.
    fn first(
        &self,
        points: &mut Vec<GroundPoint>,
        mut not_m: f64,
        mut found: DaylightPlace,
    ) -> Result<DaylightPlace, LimitsError> {
        for _ in 0..HALVINGS {
            let Some(middle) = self.place(f64::midpoint(not_m, found.away_m)) else { break };
            points.push(self.point(&middle));
            let out = self.out(points, middle)?;
            points.pop();
            match out {
                Some(place) => found = place,
                None => not_m = middle.away_m,
            }
        }
        Ok(found)
    }
}

/// The places in one direction.
fn along(
    part: &LinePart,
    end: DrainedEnd,
    angle: f64,
    reach: Length,
    land: &Land<'_>,
) -> Result<Vec<DaylightPlace>, LimitsError> {
    let path = towards(part, end);
    let (sin, cos) = angle.sin_cos();
    let ray = Ray {
        from: path.0[path.0.len() - 1],
        direction: [cos, sin],
        bore: Bore::of_part(part),
        ends_m: part.length.as_m(),
        land,
    };
    let mut found = Vec::new();
    let Some(mut points) = ground_points(&down(part, end)) else { return Ok(found) };
    let step_m = land.limits.step.as_m();
    let (mut away_m, mut came_out) = (step_m, true);
    while away_m <= reach.as_m() {
        let Some(place) = ray.place(away_m) else { break };
        let before = points.len();
        points.push(ray.point(&place));
        let out = ray.out(&points, place)?;
        if let Some(place) = out {
            if !came_out && away_m - step_m >= OPEN_M {
                points.truncate(before);
                found.push(ray.first(&mut points, away_m - step_m, place)?);
                points.push(ray.point(&place));
            }
            found.push(place);
        }
        came_out = out.is_some();
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

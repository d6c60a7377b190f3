//! Ways of a part's water to an outlet: either way round, with the pipe that they take.

use super::bore::Bore;
use super::obstacles::Obstacles;
use super::outlet::{DrainedEnd, LaidWay, OutletLimits, OutletPlace, OutletWay};
use super::part::{LinePart, Station};
use super::profile::{GroundPoint, LimitsError, Outfall, ProfileLimits, lay, with_run_out};
use super::stations::stations_along;
use crate::units::{Grade, Length};
use geo::{Coord, LineString};

/// Dug below the pipe for a bed of stone. Common practice, no source.
pub const BED: Length = Length::from_in(4.0);
/// Sod over a pipe up to its end piece, as thick as that of the built-in finishes.
const SOD: Length = Length::from_mm(25.0);
/// Steeper than this no drain is laid. Common practice, no source.
const STEEPEST: f64 = 0.2;

/// What ways lead over.
#[derive(Clone, Copy)]
pub struct Land<'a> {
    /// Level of the ground at a place, m; nothing where it isn't known.
    pub height: &'a dyn Fn(Coord) -> Option<f64>,
    /// What leads go around.
    pub obstacles: &'a Obstacles,
    /// What pipes must keep to.
    pub limits: OutletLimits,
}

/// Ways of a part to each outlet, by either end, with the pipe that the part is sized for.
///
/// # Method
/// From the end of the part the shortest lead among the obstacles to the outlet; along part and lead the pipe of [`lay`], which ends
/// at or above the outlet's invert. Its depth is the least cover over the pipe's top, and the trench goes
/// 0.1 m below it. Before a mouth in the open the cover runs out, in the lead and over no more of it than
/// it must, see [`with_run_out`].
///
/// # Errors
/// [`LimitsError`] for limits that make no sense.
pub fn ways_to_outlets(
    part: &LinePart,
    outlets: &[OutletPlace],
    land: &Land<'_>,
) -> Result<Vec<OutletWay>, LimitsError> {
    let mut found = Vec::new();
    for outlet in outlets.iter().enumerate() {
        for end in [DrainedEnd::Lower, DrainedEnd::Upper] {
            found.push(way_to_outlet(part, outlet, end, Bore::of_part(part), land)?);
        }
    }
    Ok(found)
}

/// The way of a part to one outlet by one end, with a pipe.
///
/// # Errors
/// [`LimitsError`] for limits that make no sense.
pub fn way_to_outlet(
    part: &LinePart,
    (outlet, place): (usize, &OutletPlace),
    end: DrainedEnd,
    bore: Bore,
    land: &Land<'_>,
) -> Result<OutletWay, LimitsError> {
    let limits = &land.limits;
    let mut path = towards(part, end);
    let from = path.0[path.0.len() - 1];
    let led = land.obstacles.lead(from, place.at);
    let is_shut = led.is_none();
    let lead = led.unwrap_or_else(|| LineString::new(vec![from, place.at]));
    path.0.extend(lead.0.iter().skip(1).filter(|&&at| at != from));
    let stations = stations_along(&path, limits.metres_per_unit, limits.step.as_m(), land.height);
    let known = ground_points(&stations);
    let length_m = stations.last().map_or(0.0, |s| s.station_m);
    let lead_m = (length_m - part.length.as_m()).max(0.0);
    let asked = limits_of(bore, place.outfall(), limits)?;
    // Along the part itself the trench holds stone, so that its cover runs out in the lead.
    let keep = known.as_ref().map_or(Ok(asked), |points| with_run_out(points, &asked, lead_m))?;
    let laid = match &known {
        None => LaidWay::GroundUnknown,
        Some(points) => match lay(points, &keep)? {
            Ok(profile) => LaidWay::Fits(profile),
            Err(refused) => LaidWay::DoesNotFit(refused),
        },
    };
    let invert_m = place.outfall().invert_m();
    Ok(OutletWay {
        outlet,
        end,
        kind: place.kind,
        length: Length::from_m(length_m),
        lead_length: Length::from_m(lead_m),
        drop_available_m: known
            .and_then(|points| Some(points[0].ground_m - keep.least_depth_m() - invert_m?)),
        drop_needed_m: length_m * limits.min_grade.get(),
        path,
        lead,
        is_shut,
        stations,
        bore,
        is_enlarged: false,
        limits: keep,
        laid,
    })
}

/// A part down its water's way.
pub(super) fn towards(part: &LinePart, end: DrainedEnd) -> LineString {
    let mut path = part.path.clone();
    if end == DrainedEnd::Upper {
        path.0.reverse();
    }
    path
}

/// The ground at stations, where all of it is known.
pub(super) fn ground_points(stations: &[Station]) -> Option<Vec<GroundPoint>> {
    stations.iter().map(|s| Some(GroundPoint { station_m: s.station_m, ground_m: s.ground_m? })).collect()
}

/// What a pipe must keep to on its way.
pub(super) fn limits_of(
    bore: Bore,
    outfall: Outfall,
    limits: &OutletLimits,
) -> Result<ProfileLimits, LimitsError> {
    let steepest = Grade::new(STEEPEST.max(limits.min_grade.get())).unwrap_or(limits.min_grade);
    ProfileLimits::new(
        limits.min_cover + bore.above_invert(),
        bore.wall + BED,
        limits.max_depth,
        [limits.min_grade, steepest],
        outfall,
    )?
    .with_crown(bore.above_invert() + SOD)
    .below_head(limits.head_m)?
    .passing_under(limits.under)
}

#[cfg(test)]
#[path = "outlet_tests.rs"]
mod tests;

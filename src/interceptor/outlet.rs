//! Ways of a part's water to an outlet: either way round, with the pipe that they take.

use super::part::{LinePart, Station};
use super::pipe::PipeSizing;
use super::profile::{GroundPoint, Infeasible, LimitsError, Lower, Outfall, Profile, ProfileLimits, lay};
use super::propose::stations_along;
use crate::units::{Grade, Length};
use geo::{Coord, LineString};
use serde::Serialize;

/// Dug below the pipe for a bed of stone, m (4 in). Common practice, no source.
pub(super) const BED_M: f64 = 0.1016;
/// Steeper than this no drain is laid. Common practice, no source.
const STEEPEST: f64 = 0.2;
/// Pipe that depths are worked out with where none is sized, m (4 in).
const USUAL_PIPE_M: f64 = 0.1016;

/// What an outlet is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OutletKind {
    /// A storm inlet or catch basin.
    StormInlet,
    /// A place that the user named.
    NamedPlace,
}

/// A place where a line may end.
#[derive(Debug, Clone, PartialEq)]
pub struct OutletPlace {
    /// What it is.
    pub kind: OutletKind,
    /// Its name.
    pub id: String,
    /// Its place, in the working coordinate system.
    pub at: Coord,
    /// The lowest level at which a pipe may come in, m.
    pub invert_m: f64,
    /// Level of the water that stands there in the storm, m, where it is known.
    pub tailwater_m: Option<f64>,
}

/// The end of a part that drains: the one where the ground is lower, or the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DrainedEnd {
    /// As the part is drawn.
    Lower,
    /// The other way round.
    Upper,
}

/// Whether a way serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum OutletVerdict {
    /// Water runs there by itself.
    #[serde(rename = "gravity")]
    Gravity,
    /// Only in a trench deeper than allowed.
    #[serde(rename = "too deep")]
    TooDeep,
    /// The outlet lies too high.
    #[serde(rename = "does not reach")]
    DoesNotReach,
}

/// The pipe along a way.
#[derive(Debug, Clone, PartialEq)]
pub enum LaidWay {
    /// It keeps every limit.
    Fits(Profile),
    /// None does.
    DoesNotFit(Infeasible),
    /// Ground along the way isn't known.
    GroundUnknown,
}

/// A way of one part to one outlet.
#[derive(Debug, Clone, PartialEq)]
pub struct OutletWay {
    /// Place of the outlet in the list.
    pub outlet: usize,
    /// Which end drains.
    pub end: DrainedEnd,
    /// The part and the lead, down the water's way, in the working coordinate system.
    pub path: LineString,
    /// The lead alone: straight from the part's end to the outlet.
    pub lead: LineString,
    /// Length of both.
    pub length: Length,
    /// Length of the lead.
    pub lead_length: Length,
    /// From the highest invert that the cover allows at the head down to the outlet, m; below 0 where the outlet is higher.
    pub drop_available_m: Option<f64>,
    /// Fall of the whole way at the least grade, m.
    pub drop_needed_m: f64,
    /// Places along part and lead at which the ground was looked at.
    pub stations: Vec<Station>,
    /// Height of the pipe's top above its invert: inside diameter and wall.
    pub above_invert: Length,
    /// The pipe's course.
    pub laid: LaidWay,
}

impl OutletWay {
    /// Whether it serves; nothing where the ground isn't known.
    #[must_use]
    pub fn verdict(&self) -> Option<OutletVerdict> {
        match &self.laid {
            LaidWay::Fits(_) => Some(OutletVerdict::Gravity),
            LaidWay::DoesNotFit(Infeasible { lower: Lower::Depth { .. }, remedies, .. })
                if remedies.greatest_cut_m.is_some() =>
            {
                Some(OutletVerdict::TooDeep)
            }
            LaidWay::DoesNotFit(_) => Some(OutletVerdict::DoesNotReach),
            LaidWay::GroundUnknown => None,
        }
    }

    /// The pipe, where one fits.
    #[must_use]
    pub const fn profile(&self) -> Option<&Profile> {
        match &self.laid {
            LaidWay::Fits(profile) => Some(profile),
            LaidWay::DoesNotFit(_) | LaidWay::GroundUnknown => None,
        }
    }
}

/// What pipes to outlets must keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutletLimits {
    /// Ground over the pipe, at the least.
    pub min_cover: Length,
    /// Depth of the trench, at the most.
    pub max_depth: Length,
    /// Least grade.
    pub min_grade: Grade,
    /// Distance of the places at which the ground is looked at.
    pub step: Length,
    /// True length of the working system's unit.
    pub metres_per_unit: f64,
}

/// Ways of a part to each outlet, by either end.
///
/// # Method
/// Straight from the end of the part to the outlet; along part and lead the pipe of [`lay`], which ends at or above the outlet's invert.
/// Its depth is the least cover over the top of the pipe that the part is sized for (4 in where none is, without a
/// wall), and the trench goes 0.1 m below it.
///
/// # Errors
/// [`LimitsError`] for limits that make no sense.
pub fn ways_to_outlets(
    part: &LinePart,
    outlets: &[OutletPlace],
    ground: &dyn Fn(Coord) -> Option<f64>,
    limits: &OutletLimits,
) -> Result<Vec<OutletWay>, LimitsError> {
    let mut found = Vec::new();
    for outlet in outlets.iter().enumerate() {
        for end in [DrainedEnd::Lower, DrainedEnd::Upper] {
            found.push(way(part, outlet, end, ground, limits)?);
        }
    }
    Ok(found)
}

fn way(
    part: &LinePart,
    (outlet, place): (usize, &OutletPlace),
    end: DrainedEnd,
    ground: &dyn Fn(Coord) -> Option<f64>,
    limits: &OutletLimits,
) -> Result<OutletWay, LimitsError> {
    let mut path = part.path.clone();
    if end == DrainedEnd::Upper {
        path.0.reverse();
    }
    let lead = LineString::new(vec![path.0[path.0.len() - 1], place.at]);
    path.0.push(place.at);
    let stations = stations_along(&path, limits.metres_per_unit, limits.step.as_m(), ground);
    let known: Option<Vec<GroundPoint>> = stations
        .iter()
        .map(|s| Some(GroundPoint { station_m: s.station_m, ground_m: s.ground_m? }))
        .collect();
    let sized = part.sizing.as_ref().map(|sizing| match &sizing.pipe {
        PipeSizing::Fits(pipe) | PipeSizing::NoneFits { best: pipe } => pipe,
    });
    let [inside_m, outside_m] =
        sized.map_or([USUAL_PIPE_M; 2], |pipe| [pipe.size.inside().as_m(), pipe.size.outside().as_m()]);
    let wall_m = 0.5 * (outside_m - inside_m);
    let above_invert_m = inside_m + wall_m;
    let least_depth_m = limits.min_cover.as_m() + above_invert_m;
    let length_m = stations.last().map_or(0.0, |s| s.station_m);
    let laid = match &known {
        None => LaidWay::GroundUnknown,
        Some(points) => {
            let keep = ProfileLimits::new(
                Length::from_m(least_depth_m),
                Length::from_m(BED_M + wall_m),
                limits.max_depth,
                [
                    limits.min_grade,
                    Grade::new(STEEPEST.max(limits.min_grade.get())).unwrap_or(limits.min_grade),
                ],
                Outfall::At(place.invert_m),
            )?;
            match lay(points, &keep)? {
                Ok(profile) => LaidWay::Fits(profile),
                Err(refused) => LaidWay::DoesNotFit(refused),
            }
        }
    };
    Ok(OutletWay {
        outlet,
        end,
        length: Length::from_m(length_m),
        lead_length: Length::from_m(length_m - part.length.as_m()),
        drop_available_m: known.map(|points| points[0].ground_m - least_depth_m - place.invert_m),
        drop_needed_m: length_m * limits.min_grade.get(),
        path,
        lead,
        stations,
        above_invert: Length::from_m(above_invert_m),
        laid,
    })
}

#[cfg(test)]
#[path = "outlet_tests.rs"]
mod tests;

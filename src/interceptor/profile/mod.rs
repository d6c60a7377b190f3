//! How a drain lies below the ground: the highest pipe that its limits allow, and one with few grades.
//!
//! Takes the ground along a line, its upper end first, and what the pipe must keep to. Gives stations with invert,
//! cover and cut and the grades that a crew sets, or says where and by how much the limits contradict each other, and
//! what would make them agree.

mod bounds;
mod design;
mod few_grades;
mod infeasible;
mod limits;
mod outfall;
mod run_out;
mod straight;

pub use design::{GradeReach, Profile, ProfileStation};
pub use infeasible::{Infeasible, Lower, Remedies};
pub use limits::{LimitsError, ProfileLimits, Under};
pub use outfall::{END_PIECE_M, OPEN_M, Outfall, RunOut};
pub use run_out::with_run_out;

use bounds::Bounds;
use few_grades::few_grades;

/// Digging that fewer grades may cost beyond the highest pipe's. Ours.
pub const MORE_DIGGING: f64 = 0.05;

/// Ground at a place of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundPoint {
    /// Metres along the line.
    pub station_m: f64,
    /// Level of the ground, m; straight between places.
    pub ground_m: f64,
}

/// Lays a pipe along a line.
///
/// # Method
/// The highest pipe is the greatest solution of the limits, found by one sweep down the line and one up it. Of all
/// pipes with one grade, then with two, and so on, the one with the least digging is looked for; the first counts
/// that digs no more than [`MORE_DIGGING`] beyond the highest pipe, else that of up to eight grades which digs least, see
/// `few_grades.rs`. Digging is the area between ground and trench bottom along the line.
///
/// # Errors
/// [`LimitsError`] for fewer than two places, or places that don't rise or aren't finite.
///
/// # Cost
/// In proportion to the places for the highest pipe. For few grades at most about 30 million steps for 2,000
/// places, and a tenth of that where one or two do: chains of more are looked for when those of fewer dig too much.
pub fn lay(
    ground: &[GroundPoint],
    limits: &ProfileLimits,
) -> Result<Result<Profile, Infeasible>, LimitsError> {
    limits::check_places(ground)?;
    let bounds = Bounds::of(ground, limits);
    if let Some(found) = infeasible::find(ground, limits, &bounds) {
        return Ok(Err(found));
    }
    let breaks = few_grades(ground, limits, &bounds);
    Ok(Ok(Profile::of(ground, limits, &breaks)))
}

/// Whether any pipe keeps the limits.
///
/// # Errors
/// As [`lay`].
pub fn fits(ground: &[GroundPoint], limits: &ProfileLimits) -> Result<bool, LimitsError> {
    limits::check_places(ground)?;
    Ok(infeasible::agrees(&Bounds::of(ground, limits)))
}

/// Area between ground and pipe invert along the line, m².
pub(super) fn area_above(ground: &[GroundPoint], invert_m: impl Fn(usize) -> f64) -> f64 {
    let depth = |i: usize| ground[i].ground_m - invert_m(i);
    (1..ground.len())
        .map(|i| 0.5 * (depth(i - 1) + depth(i)) * (ground[i].station_m - ground[i - 1].station_m))
        .sum()
}

#[cfg(test)]
mod tests;

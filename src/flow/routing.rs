//! The three ways of routing.

use super::deviation::least_deviation;
use super::error::FlowError;
use super::facets::{facet_directions, field};
use super::field::FlowField;
use super::flats::resolve_flats;
use super::order::Reach;
use super::steepest::steepest_directions;
use crate::grid::{CellSize, Grid};
use serde::{Deserialize, Serialize};

/// How a cell hands on its water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Routing {
    /// To the two ends of the steepest facet, by the tangent of the angle: right on average at every angle.
    #[default]
    Proportional,
    /// To one of the two ends, so that the path keeps closest to the fall (least transversal deviation).
    Single,
    /// To the steepest of eight neighbours: drifts, for comparison only.
    Steepest,
}

/// Directions on a filled surface. For [`Routing::Single`] these are the facets to choose from: see [`single_within`].
///
/// `is_outlet` says at which cells (row-by-row place) water may leave the data.
///
/// # Units
/// Elevations and cell size in metres.
///
/// # Errors
/// [`FlowError::NoWayOut`] if the surface isn't filled.
pub fn directions(
    filled: &Grid<f32>,
    cell: CellSize,
    routing: Routing,
    is_outlet: impl Fn(usize) -> bool,
) -> Result<FlowField, FlowError> {
    let (mut towards, mut share) = match routing {
        Routing::Proportional | Routing::Single => facet_directions(filled, cell),
        Routing::Steepest => (steepest_directions(filled, cell), Vec::new()),
    };
    resolve_flats(filled, &mut towards, &mut share, is_outlet)?;
    Ok(field(filled.shape(), towards, share))
}

/// One receiver per cell by least transversal deviation, for the cells of `reach` (which is closed towards donors, so
/// that the answer for them is that of the whole surface).
#[must_use]
pub fn single_within(facets: &FlowField, reach: &Reach, cell: CellSize) -> FlowField {
    least_deviation(facets, reach, cell)
}

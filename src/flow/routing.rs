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
    directions_from(f32::NEG_INFINITY, filled, cell, routing, is_outlet)
}

/// The same for the cells that lie no lower than a level; those below hand on nothing. Water never rises, so that
/// whatever comes to ground of that level comes as it does with all directions.
///
/// # Units
/// Elevations and cell size in metres.
///
/// # Errors
/// Those of [`directions`].
pub fn directions_from(
    lowest_m: f32,
    filled: &Grid<f32>,
    cell: CellSize,
    routing: Routing,
    is_outlet: impl Fn(usize) -> bool,
) -> Result<FlowField, FlowError> {
    let (mut towards, mut share) = match routing {
        Routing::Proportional | Routing::Single => facet_directions(filled, cell, lowest_m.into()),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::{Cell, GridShape};
    use crate::terrain::{Rim, fill};

    // Rough ground with ponds: scrambled whole numbers of centimetres on a slope.
    #[test]
    fn what_comes_to_a_cell_needs_no_directions_of_lower_ground() {
        let shape = GridShape { rows: 60, cols: 50 };
        #[expect(clippy::cast_precision_loss, reason = "small numbers")]
        let height = |i: usize| ((i * 7919 + i / 13 * 104_729) % 23) as f32 * 0.01 - (i / 50) as f32 * 0.02;
        let raw = Grid::new(shape, (0..shape.len()).map(height).collect());
        let filled = fill(&raw, &Rim::OPEN, &[]).unwrap();
        let size = CellSize { dx_m: 1.0, dy_m: 1.0 };
        let is_rim = |cell: usize| shape.is_rim(shape.cell(cell));
        for routing in [Routing::Proportional, Routing::Steepest] {
            let all = directions(&filled, size, routing, is_rim).unwrap();
            for (row, col) in [(30, 25), (12, 40), (50, 8)] {
                let seed = shape.index(Cell { row, col });
                let above = directions_from(filled.values()[seed], &filled, size, routing, is_rim).unwrap();
                let reaches = [&all, &above].map(|field| Reach::upstream_of(field, [seed]).unwrap());
                assert_eq!(reaches[0].cells(), reaches[1].cells());
                for &cell in reaches[0].cells() {
                    let [one, other] = [&all, &above].map(|field| field.receivers(cell as usize));
                    assert!(one.into_iter().eq(other), "{routing:?}, cell {cell}");
                }
            }
        }
        let lowest = filled.values()[shape.index(Cell { row: 30, col: 25 })];
        let above = directions_from(lowest, &filled, size, Routing::Proportional, is_rim).unwrap();
        assert!((0..shape.len()).any(|cell| !above.is_valid(cell)), "some ground is lower");
    }
}

//! The rasters that show how the answer came about.

use super::assess::Assessment;
use super::catchment::Routed;
use crate::error::Error;
use crate::flow::{FlowField, Reach, single_within, upstream_area};
use crate::grid::{Direction, Grid};

/// Grids of the window, NaN where there is nothing to say.
#[derive(Debug)]
pub struct Rasters {
    /// Filled surface, m.
    pub filled: Grid<f32>,
    /// Filled minus ground, m.
    pub pond_depth: Grid<f32>,
    /// Mean direction of flow, degrees clockwise from grid north.
    pub direction: Grid<f32>,
    /// Area above each cell, its own included, m²; at least, where it comes from the edge of the window.
    pub upstream_area: Grid<f32>,
    /// Share of each cell's water that reaches the lot.
    pub share_reaching_lot: Grid<f32>,
}

impl Rasters {
    /// Makes the rasters of an assessment.
    ///
    /// # Errors
    /// A fault of the routing.
    pub fn of(assessment: &Assessment<'_>) -> Result<Self, Error> {
        let routed = &assessment.routed;
        let ground = &routed.ground;
        let shape = ground.raw.shape();
        let field = whole_field(assessment)?;
        let depth = routed.filled.values().iter().zip(ground.raw.values()).map(|(f, r)| f - r).collect();
        #[expect(clippy::cast_possible_truncation, reason = "rasters are written as f32")]
        let area = upstream_area(&field, ground.cell)?.into_values().into_iter().map(|a| a as f32).collect();
        Ok(Self {
            filled: filled_ground(routed),
            pond_depth: Grid::new(shape, depth),
            direction: Grid::new(shape, (0..shape.len()).map(|i| azimuth(&field, ground.cell, i)).collect()),
            upstream_area: Grid::new(shape, area),
            share_reaching_lot: Grid::new(shape, shares(assessment)),
        })
    }
}

/// The filled surface with the ground below roofs.
fn filled_ground(routed: &Routed) -> Grid<f32> {
    let mut filled = routed.filled.clone();
    for (cell, level) in filled.values_mut().iter_mut().enumerate() {
        *level = routed.ground.roofs.ground_at(cell, *level);
    }
    filled
}

/// The field for all cells: the single routing is chosen within the lot's reach only and made whole here.
fn whole_field(assessment: &Assessment<'_>) -> Result<FlowField, Error> {
    use crate::flow::Routing;
    let routed = &assessment.routed;
    if assessment.settings.routing != Routing::Single {
        return Ok(routed.field.clone());
    }
    let facets = routed.other.as_ref().map_or(&routed.field, |(field, _, _)| field);
    let all = Reach::upstream_of(facets, 0..facets.shape().len())?;
    Ok(single_within(facets, &all, routed.ground.cell))
}

fn azimuth(field: &FlowField, cell: crate::grid::CellSize, index: usize) -> f32 {
    let Some((first, second_share)) = field.facet(index) else { return f32::NAN };
    let step = |direction: Direction| {
        let (down, right) = crate::grid::OFFSETS[direction.code() as usize];
        #[expect(clippy::cast_precision_loss, reason = "-1, 0 or 1")]
        let vector = (right as f64 * cell.dx_m, -(down as f64) * cell.dy_m);
        vector
    };
    let ((ax, ay), (bx, by)) = (step(first), step(first.clockwise()));
    let (east, north) = (ax + second_share * (bx - ax), ay + second_share * (by - ay));
    #[expect(clippy::cast_possible_truncation, reason = "rasters are written as f32")]
    let degrees = east.atan2(north).to_degrees().rem_euclid(360.0) as f32;
    degrees
}

fn shares(assessment: &Assessment<'_>) -> Vec<f32> {
    let routed = &assessment.routed;
    (0..routed.ground.raw.shape().len())
        .map(|cell| {
            if routed.ground.raw.values()[cell].is_nan() {
                return f32::NAN;
            }
            if routed.is_subject(cell) {
                return 1.0;
            }
            #[expect(clippy::cast_possible_truncation, reason = "rasters are written as f32")]
            let share = routed.reach.place(cell).map_or(0.0, |p| routed.arrival.at_place(p)) as f32;
            share
        })
        .collect()
}

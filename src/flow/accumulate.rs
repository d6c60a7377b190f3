//! Upstream area of every cell.

use super::error::FlowError;
use super::field::FlowField;
use super::order::Reach;
use crate::grid::{CellSize, Grid};

/// Area that drains through each cell, its own included; NaN where there is no elevation.
///
/// # Units
/// Square metres.
///
/// # Errors
/// [`FlowError::Cycle`] if the field has a cycle.
pub fn upstream_area(field: &FlowField, cell: CellSize) -> Result<Grid<f64>, FlowError> {
    let shape = field.shape();
    let all = Reach::upstream_of(field, 0..shape.len())?;
    let mut area: Vec<f64> =
        (0..shape.len()).map(|i| if field.is_valid(i) { cell.area_m2() } else { f64::NAN }).collect();
    for &from in all.cells() {
        let carried = area[from as usize];
        for (receiver, share) in field.receivers(from as usize) {
            area[receiver] += share * carried;
        }
    }
    Ok(Grid::new(shape, area))
}

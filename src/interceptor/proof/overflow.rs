//! The way of water that a part can't take, over the ground as it is.

use super::received::Spread;
use super::way::DischargeWay;
use crate::flow::{Course, FlowError};
use crate::lots::Scene;
use std::collections::BTreeMap;

/// A building that less than this share of the overflow comes to isn't told. Ours.
const TRACE: f64 = 1e-3;

/// Where water runs that a part doesn't take.
#[derive(Debug, Clone, PartialEq)]
pub struct OverflowWay {
    /// The main way from the cell at which most of it comes over.
    pub way: DischargeWay,
    /// Things that it comes to, with the share of it that ever does, the largest first.
    pub meets: Vec<(usize, f64)>,
}

/// Follows water down the ground from cells at which it comes over, with its amounts; nothing where there is none.
///
/// # Method
/// As the run-on without the line. `things` are lists of cells, rising; what of the water ever comes to one of them counts
/// once.
///
/// # Errors
/// [`FlowError::Cycle`] if the field has a cycle.
pub fn overflow_way(
    scene: &Scene<'_>,
    over: &[(usize, f64)],
    things: &BTreeMap<usize, Vec<usize>>,
) -> Result<Option<OverflowWay>, FlowError> {
    let valid = || over.iter().filter(|&&(cell, amount)| amount > 0.0 && scene.field.is_valid(cell));
    let Some(&(most, _)) = valid().reduce(|a, b| if b.1 > a.1 { b } else { a }) else { return Ok(None) };
    let course = Course::downstream_of(scene.field, valid().map(|&(cell, _)| cell))?;
    let spread = Spread::new(scene, &course);
    let mut water = vec![0.0; course.cells().len()];
    for &(cell, amount) in valid() {
        if let Some(place) = course.place(cell) {
            water[place] += amount;
        }
    }
    let all: f64 = valid().map(|over| over.1).sum();
    let mut meets: Vec<(usize, f64)> = things
        .iter()
        .map(|(&thing, cells)| {
            (thing, spread.coming(water.clone(), |cell| cells.binary_search(&cell).is_ok()) / all)
        })
        .filter(|&(_, share)| share > TRACE)
        .collect();
    meets.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    Ok(Some(OverflowWay { way: spread.way_from(most), meets }))
}

//! Lines within which water reaches the lot with a likelihood.

use super::error::OutputError;
use super::mark::{Mark, Shape, properties};
use super::style;
use crate::pipeline::{Assessment, LikelihoodMap};
use crate::wording::percent;
use contour::ContourBuilder;
use geo::MultiLineString;
use serde_json::json;

/// Likelihoods of the lines.
const LIKELIHOODS: [f64; 3] = [0.1, 0.5, 0.9];

/// A line for each likelihood; none where the repeats weren't made, or no ground is as likely.
pub(super) fn likelihood_lines(assessment: &Assessment<'_>) -> Result<Vec<Mark>, OutputError> {
    let Some(certainty) = &assessment.certainty else { return Ok(Vec::new()) };
    let mut found = Vec::new();
    for (likelihood, lines) in LIKELIHOODS.into_iter().zip(lines(&certainty.map)?) {
        let shape = Shape::Lines(lines);
        let mut map = properties(json!({
            "likelihood": likelihood,
            "realisations": certainty.realisations,
            "title": format!("Likelihood of {}", percent(likelihood)),
            "description": format!(
                "On the lot's side of this line the rain reaches the lot on more than {} of {} equally plausible surfaces.",
                percent(likelihood), certainty.realisations
            ),
        }));
        style::line(&mut map, style::LIKELIHOOD, style::likelihood_width(likelihood));
        found.push(Mark::new("likelihood-line", shape, map));
    }
    Ok(found)
}

/// Lines of the likelihoods, between the middles of cells; holes count as 0.
fn lines(map: &LikelihoodMap) -> Result<Vec<MultiLineString>, OutputError> {
    let LikelihoodMap { georef, values } = map;
    let shape = values.shape();
    let values: Vec<f64> =
        values.values().iter().map(|&p| if p.is_nan() { 0.0 } else { f64::from(p) }).collect();
    let found = ContourBuilder::new(shape.cols, shape.rows, true)
        .x_origin(georef.west)
        .x_step(georef.step_x)
        .y_origin(georef.north)
        .y_step(-georef.step_y)
        .lines(&values, &LIKELIHOODS);
    let found = found.map_err(|cause| OutputError::Lines { cause })?;
    Ok(found.into_iter().map(|line| line.into_inner().0).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::{Georef, Grid, GridShape};
    use geo::Coord;

    /// The likelihood rises by a fifth a column from 0, the middle of the first of which lies at 100 + 1: 0.1 is
    /// reached half a column on, at 102, 0.5 at 106 and 0.9 at 110.
    #[test]
    fn lines_lie_between_the_middles_of_cells() {
        let shape = GridShape { rows: 4, cols: 6 };
        let values = (0..24).map(|cell| [0.0, 0.2, 0.4, 0.6, 0.8, 1.0][cell % 6]).collect();
        let georef = Georef { west: 100.0, north: 50.0, step_x: 2.0, step_y: 3.0 };
        let found = lines(&LikelihoodMap { georef, values: Grid::new(shape, values) }).unwrap();
        for (lines, x) in found.iter().zip([102.0, 106.0, 110.0]) {
            let places: Vec<Coord> = lines.into_iter().flat_map(|line| line.0.clone()).collect();
            let inside = |at: &&Coord| at.x < 112.0 && at.y > 38.0 && at.y < 50.0;
            let west = places.iter().filter(inside).map(|at| at.x).fold(f64::INFINITY, f64::min);
            assert!((west - x).abs() < 1e-6, "{west} for {x}: {places:?}");
            let north = places.iter().map(|at| at.y).fold(f64::NEG_INFINITY, f64::max);
            assert!((48.0..=50.0).contains(&north), "{north}");
        }
    }

    #[test]
    fn a_hole_is_no_place_without_a_number() {
        let shape = GridShape { rows: 3, cols: 3 };
        let values = vec![1.0, 1.0, 1.0, 1.0, f32::NAN, 1.0, 1.0, 1.0, 1.0];
        let georef = Georef { west: 0.0, north: 3.0, step_x: 1.0, step_y: 1.0 };
        let found = lines(&LikelihoodMap { georef, values: Grid::new(shape, values) }).unwrap();
        let places = || found.iter().flatten().flat_map(|line| &line.0);
        assert!(places().all(|at| at.x.is_finite() && at.y.is_finite()));
        assert!(places().any(|at| (at.x - 1.5).abs() < 0.5 && (at.y - 1.5).abs() < 0.51), "around the hole");
    }
}

//! Ground water that the trenches of stone may meet besides the storm's water.

use super::catchment::Routed;
use super::drain::{Drains, PartDrain};
use super::settings::Settings;
use crate::grid::Cell;
use crate::interceptor::materials::Materials;
use crate::interceptor::quantities::Section;
use crate::interceptor::{
    GroundWater, InterceptionLine, InterceptorError, LinePart, WetTrench, ground_water,
};
use crate::terrain::slope_around;
use crate::units::{Grade, Length};

/// Ground that falls less counts as falling so much: a grade of nothing is none.
const LEAST_FALL: f64 = 1e-6;

/// By part; nothing where no stone is laid.
pub(super) fn ground_waters(
    routed: &Routed,
    interception: &InterceptionLine,
    drains: &Drains,
    settings: &Settings,
) -> Result<Vec<Option<GroundWater>>, InterceptorError> {
    let materials = Materials::built_in();
    let soil = materials.soil(&settings.drain.trench_soil)?;
    let of = |(part, drain): (&LinePart, &Option<PartDrain>)| {
        let Some([length, depth]) = drain.as_ref().and_then(stone) else { return Ok(None) };
        let fall = Grade::new(fall_along(routed, part).max(LEAST_FALL))?;
        let area = part.contributing_area + part.strip_area;
        Ok(Some(ground_water(&WetTrench { length, depth, fall, area }, soil)))
    };
    interception.parts.iter().zip(&drains.parts).map(of).collect()
}

/// Length and greatest depth of a drain's stone.
fn stone(drain: &PartDrain) -> Option<[Length; 2]> {
    let legs = drain.chosen()?.built.as_ref().ok()?.line.as_ref()?.legs();
    let legs = legs.iter().filter(|leg| matches!(leg.section, Section::Stone(_)));
    let found = legs.map(|leg| {
        let depths = leg.cuts.all().iter().map(|cut| cut.depth.as_m());
        (leg.cuts.to() - leg.cuts.from(), depths.fold(0.0, f64::max))
    });
    let (length, depth_m) = found.fold((Length::ZERO, 0.0_f64), |sum, leg| (sum.0 + leg.0, sum.1.max(leg.1)));
    (length > Length::ZERO).then(|| [length, Length::from_m(depth_m)])
}

/// Mean fall of the ground around the part's stations; 0 where it isn't known.
fn fall_along(routed: &Routed, part: &LinePart) -> f64 {
    let ground = &routed.ground;
    let shape = ground.raw.shape();
    let height = |cell: Cell| {
        let z = f64::from(ground.roofs.ground_at(shape.index(cell), *ground.raw.at(cell)));
        z.is_finite().then_some(z)
    };
    let falls: Vec<f64> = part
        .stations
        .iter()
        .filter_map(|station| routed.cell_at(station.point))
        .filter_map(|cell| slope_around(shape, ground.cell, shape.cell(cell), height))
        .collect();
    #[expect(clippy::cast_precision_loss, reason = "a few hundred stations")]
    let count = falls.len().max(1) as f64;
    falls.iter().sum::<f64>() / count
}

//! The levels that a drain is dug and laid to, place by place, and where stakes stand.

use super::super::outlet::OutletWay;
use super::super::profile::ProfileStation;
use super::option::DrainOption;
use crate::units::Length;

/// Places that lie so near to each other are one, m.
const SAME_M: f64 = 1e-6;

/// Levels at one place of the way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoursePlace {
    /// Down the way.
    pub station_m: f64,
    /// The ground.
    pub ground_m: f64,
    /// Invert of the pipe; nothing where none is laid.
    pub invert_m: Option<f64>,
    /// Depth of the trench, and the ground over the pipe, from the bed of a swale where one lies over it; nothing where there is none.
    pub trench: Option<[Length; 2]>,
    /// Bottom of the trench.
    pub bottom_m: Option<f64>,
    /// Bed of the swale; nothing beside it.
    pub swale_bed_m: Option<f64>,
}

/// All places of the way with the drain that is built; empty where no pipe is laid out.
#[must_use]
pub fn course(option: &DrainOption, way: &OutletWay) -> Vec<CoursePlace> {
    let Some(lawn) = way.profile() else { return Vec::new() };
    let laid = option.profile(lawn).stations();
    let place = |(at, laid): (&ProfileStation, &ProfileStation)| {
        let trench = option.trench_at(at.station_m);
        let has_pipe = trench.is_some() || option.is_beyond_trench(at.station_m);
        CoursePlace {
            station_m: at.station_m,
            ground_m: at.ground_m,
            invert_m: has_pipe.then_some(laid.invert_m),
            trench,
            bottom_m: trench.map(|[depth, _]| laid.ground_m - depth.as_m()),
            swale_bed_m: option.swale.as_ref().and_then(|swale| swale.bed.level_at(at.station_m)),
        }
    };
    lawn.stations().iter().zip(laid).map(place).collect()
}

/// Where stakes stand: at the head, at every change of grade, where a swale cuts deepest through the ground, at
/// the end, and between so that none is farther from the one before than that.
#[must_use]
pub fn stakes(option: &DrainOption, course: &[CoursePlace], farthest: Length) -> Vec<CoursePlace> {
    let works: Vec<&CoursePlace> =
        course.iter().filter(|place| place.invert_m.is_some() || place.swale_bed_m.is_some()).collect();
    let deepest = option.swale.as_ref().and_then(|swale| swale.bed.cut()).map(|cut| cut.station.as_m());
    let changes = |station_m: f64| {
        let ends = option.reaches.iter().flat_map(|sized| [sized.reach.from_m, sized.reach.to_m]);
        ends.chain(deepest).any(|end_m| (end_m - station_m).abs() <= SAME_M)
    };
    let mut found: Vec<CoursePlace> = Vec::new();
    for (i, place) in works.iter().enumerate() {
        let next = works.get(i + 1);
        let is_due = |before: &CoursePlace| {
            next.is_none_or(|next| next.station_m - before.station_m > farthest.as_m() + SAME_M)
        };
        if changes(place.station_m) || found.last().is_none_or(is_due) {
            found.push(**place);
        }
    }
    found
}

//! The levels that a drain is dug and laid to, place by place, and where stakes stand.

use super::super::outlet::OutletWay;
use super::super::profile::Profile;
use super::option::DrainOption;
use crate::units::Length;

/// Places that lie so near to each other are one, m.
const SAME_M: f64 = 1e-6;
/// Deeper, or less covered, by less than this is as deep. Ours: what a stake's level may be off by.
const LEVEL_M: f64 = 0.01;

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
    lawn.stations().iter().map(|at| place_at(option, lawn, at.station_m)).collect()
}

/// The levels at any station, straight between those at which the ground was looked at.
fn place_at(option: &DrainOption, lawn: &Profile, station_m: f64) -> CoursePlace {
    let laid = option.profile(lawn);
    let trench = option.trench_at(station_m);
    let has_pipe = trench.is_some() || option.is_beyond_trench(station_m);
    CoursePlace {
        station_m,
        ground_m: lawn.ground_at(station_m),
        invert_m: has_pipe.then_some(laid.invert_at(station_m)),
        trench,
        bottom_m: trench.map(|[depth, _]| laid.ground_at(station_m) - depth.as_m()),
        swale_bed_m: option.swale.as_ref().and_then(|swale| swale.bed.level_at(station_m)),
    }
}

/// Where stakes stand: at the head, where grade, pipe or trench change, where the trench is deepest, where its pipe has least to
/// spare of the depth that it asks for, where a swale cuts deepest through the ground, at the end, and between so that none is farther
/// from the one before than that.
#[must_use]
pub fn stakes(option: &DrainOption, way: &OutletWay, farthest: Length) -> Vec<CoursePlace> {
    let Some(lawn) = way.profile() else { return Vec::new() };
    let mut works = course(option, way);
    works.retain(CoursePlace::is_worked);
    let musts = musts(option, (way, lawn), &works);
    for &station_m in &musts {
        let after = works.partition_point(|place| place.station_m < station_m - SAME_M);
        let is_new = works.get(after).is_none_or(|next| next.station_m > station_m + SAME_M);
        let place = place_at(option, lawn, station_m);
        if is_new && place.is_worked() {
            works.insert(after, place);
        }
    }
    let changes = |station_m: f64| musts.iter().any(|must_m| (must_m - station_m).abs() <= SAME_M);
    let mut found: Vec<CoursePlace> = Vec::new();
    for (i, place) in works.iter().enumerate() {
        let next = works.get(i + 1);
        let is_due = |before: &CoursePlace| {
            next.is_none_or(|next| next.station_m - before.station_m > farthest.as_m() + SAME_M)
        };
        if changes(place.station_m) || found.last().is_none_or(is_due) {
            found.push(*place);
        }
    }
    found
}

impl CoursePlace {
    /// From the ground down to the bottom of the trench, else to the bed of the swale, m; nothing where nothing is dug.
    #[must_use]
    pub fn cut_from_ground_m(&self) -> Option<f64> {
        Some(self.ground_m - self.bottom_m.or(self.swale_bed_m)?)
    }

    /// Whether anything is laid or shaped there.
    const fn is_worked(&self) -> bool {
        self.invert_m.is_some() || self.swale_bed_m.is_some()
    }
}

/// Stations at which a stake stands whatever the distance.
fn musts(option: &DrainOption, (way, lawn): (&OutletWay, &Profile), works: &[CoursePlace]) -> Vec<f64> {
    let ends = option.reaches.iter().flat_map(|sized| [sized.reach.from_m, sized.reach.to_m]);
    let swale = option.swale.as_ref().and_then(|swale| swale.bed.cut()).map(|cut| cut.station.as_m());
    let cut_m = |place: &CoursePlace| Some(place.trench?[0].as_m());
    // What the pipe's depth is short of the one asked for there, which runs out before a mouth in the open.
    let short_m = |place: &CoursePlace| {
        let depth_m = place.bottom_m? + place.trench?[0].as_m() - place.invert_m?;
        Some(way.limits.least_depth_at_m(way.length.as_m() - place.station_m) - depth_m)
    };
    let mut musts: Vec<f64> = ends.chain(swale).collect();
    for measure in [&cut_m as &dyn Fn(&CoursePlace) -> Option<f64>, &short_m] {
        let there: Vec<CoursePlace> = musts.iter().map(|&at_m| place_at(option, lawn, at_m)).collect();
        musts.extend(most(works, &there, measure));
    }
    musts
}

/// The first station at which a measure is greatest, but for what is as good as it; nothing where it is as great at
/// a place that is `there` already.
fn most(
    works: &[CoursePlace],
    there: &[CoursePlace],
    measure: impl Fn(&CoursePlace) -> Option<f64>,
) -> Option<f64> {
    let greatest = works.iter().filter_map(&measure).reduce(f64::max)?;
    let is_as_great = |place: &&CoursePlace| measure(place).is_some_and(|m| m >= greatest - LEVEL_M);
    if there.iter().any(|place| is_as_great(&place)) {
        return None;
    }
    works.iter().find(is_as_great).map(|place| place.station_m)
}

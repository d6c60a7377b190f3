//! Limits that contradict each other: where, by how much, and what would make them agree.

use super::bounds::Bounds;
use super::{GroundPoint, Outfall, ProfileLimits};
use serde::Serialize;

/// Limits that differ by rounding agree, m.
const ROUNDING_M: f64 = 1e-9;
/// Halvings of a grade or a depth that is looked for: to a millionth.
const HALVINGS: usize = 40;

/// What keeps the pipe from lying lower.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Lower {
    /// The greatest depth of the trench at a station.
    Depth {
        /// Where, m.
        station_m: f64,
    },
    /// The outlet's invert.
    Outlet,
}

/// No pipe keeps the limits.
#[derive(Debug, Clone, PartialEq)]
pub struct Infeasible {
    /// How much lower the pipe would have to lie than it may, m.
    pub shortfall_m: f64,
    /// Station whose cover keeps the pipe from lying higher, m.
    pub cover_at_m: f64,
    /// What keeps it from lying lower.
    pub lower: Lower,
    /// The ground and the limits that contradict each other: most trials are given up, and nobody asks for their
    /// remedies.
    ground: Vec<GroundPoint>,
    limits: ProfileLimits,
}

impl Infeasible {
    /// What would make it fit. Looked for when it is asked.
    #[must_use]
    pub fn remedies(&self) -> Remedies {
        remedies(&self.ground, &self.limits, self.shortfall_m)
    }

    /// Whether a deeper trench alone would make it fit: not where the outlet is too high.
    #[must_use]
    pub fn fits_deeper(&self) -> bool {
        keeps(&self.ground, &self.limits.with_cut_m(f64::MAX))
    }
}

/// Each by itself makes a pipe fit; nothing where none of its kind does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Remedies {
    /// Least depth of the invert below the ground, m.
    pub least_depth_m: Option<f64>,
    /// Depth of the trench, m.
    pub greatest_cut_m: Option<f64>,
    /// Invert of the outlet, m.
    pub outlet_invert_m: Option<f64>,
    /// The steepest least grade that fits.
    pub least_grade: Option<f64>,
}

/// Whether limits with these bounds don't contradict each other.
pub(super) fn agrees(bounds: &Bounds) -> bool {
    bounds.worst().1 <= ROUNDING_M
}

/// Whether any pipe keeps the limits.
pub(super) fn keeps(ground: &[GroundPoint], limits: &ProfileLimits) -> bool {
    agrees(&Bounds::of(ground, limits))
}

/// The contradiction, if there is one.
pub(super) fn find(ground: &[GroundPoint], limits: &ProfileLimits, bounds: &Bounds) -> Option<Infeasible> {
    if agrees(bounds) {
        return None;
    }
    let (worst, shortfall_m) = bounds.worst();
    let [cover_at, floor_at] = holders(ground, limits, bounds, worst);
    let last = ground.len() - 1;
    let at_outlet = floor_at == last
        && limits.outfall().invert_m().is_some_and(|invert_m| bounds.above_floor[last] <= invert_m);
    let lower =
        if at_outlet { Lower::Outlet } else { Lower::Depth { station_m: ground[floor_at].station_m } };
    Some(Infeasible {
        shortfall_m,
        cover_at_m: ground[cover_at].station_m,
        lower,
        ground: ground.to_vec(),
        limits: *limits,
    })
}

/// Places whose cover and whose floor meet in the worst contradiction.
fn holders(ground: &[GroundPoint], limits: &ProfileLimits, bounds: &Bounds, worst: usize) -> [usize; 2] {
    let [least, greatest] = limits.grades();
    let run = |i: usize| ground[i].station_m - ground[worst].station_m;
    // What the limit of a place is worth at the worst one, down or up the line.
    let down = |i: usize| if run(i) < 0.0 { least * run(i) } else { greatest * run(i) };
    let up = |i: usize| if run(i) < 0.0 { greatest * run(i) } else { least * run(i) };
    let places = 0..ground.len();
    let cover = places.clone().map(|i| (bounds.below_cover[i] + down(i), i));
    let floor = places.map(|i| (bounds.above_floor[i] + up(i), i));
    let lowest = cover.reduce(|a, b| if b.0 < a.0 { b } else { a });
    let highest = floor.reduce(|a, b| if b.0 > a.0 { b } else { a });
    [lowest.map_or(worst, |found| found.1), highest.map_or(worst, |found| found.1)]
}

fn remedies(ground: &[GroundPoint], limits: &ProfileLimits, shortfall_m: f64) -> Remedies {
    let fits = |limits: &ProfileLimits| keeps(ground, limits);
    // Deeper trenches alone don't help where the outlet is too high.
    let unlimited = limits.with_cut_m(f64::MAX);
    let greatest_cut_m = fits(&unlimited).then(|| limits.greatest_cut_m() + deeper_by(ground, limits));
    let outlet_invert_m = limits.outfall().invert_m().and_then(|invert_m| {
        let free = limits.with_outfall(limits.outfall().lowered_to(f64::MIN));
        let highest = Bounds::of(ground, &free).highest;
        fits(&free).then(|| highest[highest.len() - 1].min(invert_m))
    });
    let is_plain = !matches!(limits.outfall(), Outfall::Open(_))
        && limits.head_m().is_none()
        && limits.under().is_none();
    let least_depth_m = if is_plain {
        Some(limits.least_depth_m() - shortfall_m)
    } else {
        most(limits.least_depth_m(), |depth_m| fits(&limits.with_depth_m(depth_m)))
    };
    let least_depth_m = least_depth_m.filter(|m| *m > 0.0);
    Remedies { least_depth_m, greatest_cut_m, outlet_invert_m, least_grade: flattest(limits, fits) }
}

/// How much deeper the trench must go than its limit where nothing but that limit is in the way, m.
fn deeper_by(ground: &[GroundPoint], limits: &ProfileLimits) -> f64 {
    let highest = Bounds::of(ground, &limits.with_cut_m(f64::MAX)).highest;
    let cuts = ground.iter().zip(highest).map(|(p, invert_m)| p.ground_m - invert_m + limits.below_m());
    (cuts.fold(0.0, f64::max) - limits.greatest_cut_m()).max(0.0)
}

/// The steepest least grade, down to level, with which a pipe fits.
fn flattest(limits: &ProfileLimits, fits: impl Fn(&ProfileLimits) -> bool) -> Option<f64> {
    most(limits.grades()[0], |grade| fits(&limits.with_least_grade(grade)))
}

/// The most of a number between 0 and one with which no pipe fits.
fn most(too_much: f64, fits: impl Fn(f64) -> bool) -> Option<f64> {
    if !fits(0.0) {
        return None;
    }
    let (mut fitting, mut not) = (0.0, too_much);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(fitting, not);
        if fits(middle) {
            fitting = middle;
        } else {
            not = middle;
        }
    }
    Some(fitting)
}

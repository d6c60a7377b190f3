//! What the ways of a catchment run over.

use super::super::ground_kind::GroundKind;
use super::WayPoint;
use crate::lots::WayTree;
use crate::units::{CurveNumber, RunoffCoefficient};

/// A way of the water, with what formulas for the whole of it take.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Its places, from the top down; two or more.
    pub points: Vec<WayPoint>,
    /// Mean runoff coefficient of the ground along it, by length; nothing where some has none.
    pub coefficient: Option<RunoffCoefficient>,
    /// Mean curve number, the same.
    pub curve_number: Option<CurveNumber>,
}

/// How far ahead along the way its fall is looked at, m. Ours: as far as the slope of the ground is taken over, so that cells'
/// own steps and the noise of the elevation even out.
pub const AHEAD_M: f64 = 15.0;

/// What a full pond counts as falling.
const POND_FALL: f32 = 1.0;

/// The surface that water runs over, by cells.
pub struct WaterSurface<'a> {
    /// Level of ground or filled pond, m; no number where it isn't known.
    pub level_m: &'a dyn Fn(usize) -> f32,
    /// Whether water stands there before it runs on.
    pub is_ponded: &'a dyn Fn(usize) -> bool,
}

/// The ground of a tree of ways, by its places.
#[derive(Debug)]
pub struct WayGround {
    tree: WayTree,
    level_m: Vec<f32>,
    fall: Vec<f32>,
    upstream_m2: Vec<f32>,
    kind: Vec<u32>,
}

impl WayGround {
    /// Levels, ponds, areas above whose water passes, and kinds of ground are asked for by cell. A level that isn't known is
    /// that of the next place, and so is one that is lower: water stands up to it.
    ///
    /// # Errors
    /// Those of `kind`.
    ///
    /// # Panics
    /// For a kind from 2^32 on.
    pub fn new<E>(
        tree: WayTree,
        surface: &WaterSurface<'_>,
        upstream_m2: impl Fn(usize) -> f64,
        mut kind: impl FnMut(usize) -> Result<usize, E>,
    ) -> Result<Self, E> {
        let mut found = Self {
            level_m: Vec::with_capacity(tree.len()),
            fall: Vec::with_capacity(tree.len()),
            upstream_m2: Vec::with_capacity(tree.len()),
            kind: Vec::with_capacity(tree.len()),
            tree,
        };
        for place in 0..found.tree.len() {
            let cell = found.tree.cell(place);
            let next_m = found.tree.next(place).map_or(f32::NEG_INFINITY, |next| found.level_m[next]);
            // The larger of both; `max` passes over what isn't a number.
            found.level_m.push((surface.level_m)(cell).max(next_m));
            let fall = found.fall_from(place, surface);
            found.fall.push(fall);
            #[expect(
                clippy::cast_possible_truncation,
                reason = "seven digits of an area are enough to compare"
            )]
            found.upstream_m2.push(upstream_m2(cell) as f32);
            found.kind.push(u32::try_from(kind(cell)?).expect("there are fewer kinds than cells"));
        }
        Ok(found)
    }

    /// Fall by length over the next [`AHEAD_M`] of dry way, which goes on inside the lot as water does. A full pond is passed in
    /// next to no time, as if it fell steeply.
    #[expect(clippy::cast_possible_truncation, reason = "seven digits of a fall are enough")]
    fn fall_from(&self, place: usize, surface: &WaterSurface<'_>) -> f32 {
        if (surface.is_ponded)(self.tree.cell(place)) {
            return POND_FALL;
        }
        let mut dry_m = 0.0;
        let mut to_m = self.level_m[place];
        let mut add = |from: usize, step_m: f64, level_m: f32| {
            if !(surface.is_ponded)(from) {
                dry_m += step_m;
            }
            // Ground that isn't known, or that rises, tells nothing.
            to_m = to_m.min(level_m);
            dry_m >= AHEAD_M
        };
        let mut way = self.tree.down(place).filter_map(|at| Some((at, self.tree.next(at)?)));
        let is_far = way.any(|(at, next)| {
            let step_m = self.tree.to_end_m(at) - self.tree.to_end_m(next);
            add(self.tree.cell(at), step_m, self.level_m[next])
        });
        if !is_far {
            let end = self.tree.end(place);
            let (mut from, mut before_m) = (self.tree.cell(end), 0.0);
            for (cell, past_m) in self.tree.inside(end) {
                if add(from, past_m - before_m, (surface.level_m)(cell)) {
                    break;
                }
                (from, before_m) = (cell, past_m);
            }
        }
        let fall = f64::from(self.level_m[place] - to_m) / dry_m;
        if fall.is_finite() { fall as f32 } else { 0.0 }
    }

    /// The ways.
    #[must_use]
    pub const fn tree(&self) -> &WayTree {
        &self.tree
    }

    /// The kind of ground at a place.
    pub(super) fn kind<'a>(&self, kinds: &'a [GroundKind], place: usize) -> &'a GroundKind {
        &kinds[self.kind[place] as usize]
    }

    /// Level at a place, m.
    pub(super) fn level_m(&self, place: usize) -> f64 {
        f64::from(self.level_m[place])
    }

    /// Area above a place whose water passes, m².
    pub(super) fn upstream_m2(&self, place: usize) -> f64 {
        f64::from(self.upstream_m2[place])
    }

    /// A place of the way from `top` on.
    pub(super) fn point(&self, kinds: &[GroundKind], top: usize, place: usize) -> WayPoint {
        WayPoint {
            at_m: self.tree.to_end_m(top) - self.tree.to_end_m(place),
            level_m: self.level_m(place),
            fall: f64::from(self.fall[place]),
            upstream_m2: self.upstream_m2(place),
            surface: self.kind(kinds, place).surface,
        }
    }

    /// The way from a place.
    #[must_use]
    pub fn way(&self, kinds: &[GroundKind], top: usize) -> Way {
        let points = self.tree.down(top).map(|place| self.point(kinds, top, place)).collect();
        let mean = |of: &dyn Fn(&GroundKind) -> Option<f64>| -> Option<f64> {
            let steps = self.tree.down(top).filter_map(|place| Some((place, self.tree.next(place)?)));
            let parts: Option<Vec<f64>> = steps.map(|step| self.weighted(kinds, step, of)).collect();
            Some(parts?.iter().sum::<f64>() / self.tree.to_end_m(top))
        };
        Way {
            points,
            coefficient: coefficient(mean(&coefficient_of)),
            curve_number: number(mean(&number_of)),
        }
    }

    /// A figure of the ground times the length of a step over it.
    pub(super) fn weighted(
        &self,
        kinds: &[GroundKind],
        (place, next): (usize, usize),
        of: &dyn Fn(&GroundKind) -> Option<f64>,
    ) -> Option<f64> {
        Some(of(self.kind(kinds, place))? * (self.tree.to_end_m(place) - self.tree.to_end_m(next)))
    }
}

/// Its coefficient.
pub(super) fn coefficient_of(kind: &GroundKind) -> Option<f64> {
    kind.coefficient.map(RunoffCoefficient::get)
}

/// Its curve number.
pub(super) fn number_of(kind: &GroundKind) -> Option<f64> {
    kind.curve_number.map(CurveNumber::get)
}

/// A mean of coefficients; rounding may take one of ones just above one.
pub(super) fn coefficient(mean: Option<f64>) -> Option<RunoffCoefficient> {
    RunoffCoefficient::new(mean?.min(1.0)).ok()
}

/// A mean of curve numbers; the same. Rounding must not take the mean of equal ones out of the range of a formula.
pub(super) fn number(mean: Option<f64>) -> Option<CurveNumber> {
    const CLOSELY: f64 = 1e9;
    CurveNumber::new((mean? * CLOSELY).round() / CLOSELY).ok()
}

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

/// The ground of a tree of ways, by its places.
#[derive(Debug)]
pub struct WayGround {
    tree: WayTree,
    level_m: Vec<f32>,
    upstream_m2: Vec<f32>,
    kind: Vec<u32>,
}

impl WayGround {
    /// Levels, areas above whose water passes, and kinds of ground are asked for by cell. A level that isn't known is that
    /// of the next place, and so is one that is lower: water stands up to it.
    ///
    /// # Errors
    /// Those of `kind`.
    pub fn new<E>(
        tree: WayTree,
        level_m: impl Fn(usize) -> f32,
        upstream_m2: impl Fn(usize) -> f64,
        mut kind: impl FnMut(usize) -> Result<usize, E>,
    ) -> Result<Self, E> {
        let mut found = Self {
            level_m: Vec::with_capacity(tree.len()),
            upstream_m2: Vec::with_capacity(tree.len()),
            kind: Vec::with_capacity(tree.len()),
            tree,
        };
        for place in 0..found.tree.len() {
            let cell = found.tree.cell(place);
            let next_m = found.tree.next(place).map_or(f32::NEG_INFINITY, |next| found.level_m[next]);
            // The larger of both; `max` passes over what isn't a number.
            found.level_m.push(level_m(cell).max(next_m));
            #[expect(
                clippy::cast_possible_truncation,
                reason = "seven digits of an area are enough to compare"
            )]
            found.upstream_m2.push(upstream_m2(cell) as f32);
            found.kind.push(u32::try_from(kind(cell)?).unwrap_or(u32::MAX));
        }
        Ok(found)
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

/// A mean of curve numbers; the same.
pub(super) fn number(mean: Option<f64>) -> Option<CurveNumber> {
    CurveNumber::new(mean?.min(100.0)).ok()
}

//! What is left of the run-on, by where its rain fell: from the ends of the water's ways upwards.

use super::{LinedGround, Stepped};
use crate::lots::{Entry, Label, origins};

/// For each place of the course the share of run-on there that is left on the lot.
pub(super) struct Fates<'a> {
    /// Of run-on that has been in front of the line only, and of run-on that has come onto the lot's other ground.
    shares: Vec<[f64; 2]>,
    /// By part, the share of what it lets out that comes back.
    comes_back: &'a [f64],
}

/// Run-on that has been in front of the line only.
const FRONT: usize = 0;
/// Run-on that has come onto the lot's other ground.
const INSIDE: usize = 1;

impl<'a> Fates<'a> {
    /// Receivers before donors.
    pub(super) fn new(ground: &LinedGround<'_>, comes_back: &'a [f64]) -> Self {
        let field = ground.basis.scene.field;
        let cells = ground.course.cells();
        let mut fates = Self { shares: vec![[0.0; 2]; cells.len()], comes_back };
        for (place, &cell) in cells.iter().enumerate().rev() {
            let cell = cell as usize;
            if field.leaves(cell) {
                fates.shares[place][INSIDE] = 1.0;
                continue;
            }
            for (to, share) in field.receivers(cell) {
                let stepped = ground.step(cell, to);
                for state in [FRONT, INSIDE] {
                    fates.shares[place][state] += share * fates.after(ground, stepped, state, to);
                }
            }
        }
        fates
    }

    fn after(&self, ground: &LinedGround<'_>, stepped: Stepped, state: usize, to: usize) -> f64 {
        let at = |state: usize| ground.course.place(to).map_or(0.0, |place| self.shares[place][state]);
        match stepped {
            Stepped::Crosses { part, takes, .. } => 1.0 - takes + takes * self.comes_back[part],
            Stepped::Inside { .. } => at(INSIDE),
            Stepped::Goes => at(state),
        }
    }

    /// Of each entry, what is left on the lot, m².
    pub(super) fn left_by_entry(&self, ground: &LinedGround<'_>) -> Vec<f64> {
        let left = |entry: &Entry| {
            let stepped = ground.entry(entry.from, entry.into);
            entry.area_m2 * self.after(ground, stepped, FRONT, entry.into)
        };
        ground.basis.entries.iter().map(left).collect()
    }

    /// Area by lot whose rain is left on the lot, m², the largest first.
    pub(super) fn left_by_lot(&self, ground: &LinedGround<'_>) -> Vec<(Label, f64)> {
        let weight = |from: usize, into: usize| self.after(ground, ground.entry(from, into), FRONT, into);
        let left = ground.basis.arrival.weighted(ground.basis.scene, weight);
        let mut found = origins(ground.basis.scene, &left);
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        found
    }
}

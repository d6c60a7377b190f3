//! The share of each cell's water that ever reaches the lot.
//!
//! One pass from the lot upwards (receivers before donors): a cell's share is the sum over its receivers of the part
//! that each gets, times one if the receiver is the lot's, else times the receiver's own share. That is the chance of
//! first passage, so water that leaves the lot and comes back is not counted twice.

use super::scene::Scene;

/// A step of the water, from a cell into a cell of the lot.
pub type Step = (usize, usize);

/// Shares for the cells of a reach, by place.
///
/// For cells of the lot itself the share stands for the part of the cell that lies outside the lot line.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrival {
    shares: Vec<f64>,
}

impl Arrival {
    /// Shares of all water that reaches the lot.
    #[must_use]
    pub fn of(scene: &Scene<'_>) -> Self {
        let mut arrival = Self { shares: vec![0.0; scene.reach.cells().len()] };
        for (place, &cell) in scene.reach.cells().iter().enumerate().rev() {
            let share = arrival.of_cell(scene, cell as usize, |_| 1.0);
            arrival.shares[place] = if share < scene.least_share { 0.0 } else { share };
        }
        arrival
    }

    /// Of these shares, what reaches the lot by some steps only, or by a part of them: from a cell, into a cell of the lot,
    /// with the part that counts; sorted by step. A sliver of the lot's own cells counts as the step from the cell into
    /// itself.
    ///
    /// The parts by a complete set of steps add up to the whole.
    #[must_use]
    pub fn restricted(&self, scene: &Scene<'_>, steps: &[(Step, f64)]) -> Self {
        self.weighted(scene, |from, into| {
            steps.binary_search_by_key(&(from, into), |step| step.0).map_or(0.0, |place| steps[place].1)
        })
    }

    /// Of these shares, what reaches the lot with each step onto it counted by a weight.
    ///
    /// `weight` is asked for the steps from a cell into a cell of the lot; a sliver of the lot's own cells counts as the
    /// step from the cell into itself.
    #[must_use]
    pub fn weighted(&self, scene: &Scene<'_>, weight: impl Fn(usize, usize) -> f64) -> Self {
        let mut part = Self { shares: vec![0.0; self.shares.len()] };
        for (place, &cell) in scene.reach.cells().iter().enumerate().rev() {
            let cell = cell as usize;
            if self.shares[place] <= 0.0 {
                continue;
            }
            part.shares[place] = if scene.is_subject(cell) {
                // A sliver is one entry, wherever its water comes in further down.
                self.shares[place] * weight(cell, cell)
            } else {
                part.of_cell(scene, cell, |into| weight(cell, into))
            };
        }
        part
    }

    /// Of these shares, what arrives when only a part of the water goes on over some steps.
    ///
    /// `passes` is the part, from 0 to 1, that goes on from a cell outside the lot to another cell: below 1 where the
    /// step leads out of a pond that holds water back. Where it is 1 throughout, the shares are these to the last bit.
    #[must_use]
    pub fn in_storm(&self, scene: &Scene<'_>, passes: impl Fn(usize, usize) -> f64) -> Self {
        let mut part = Self { shares: vec![0.0; self.shares.len()] };
        for (place, &cell) in scene.reach.cells().iter().enumerate().rev() {
            let cell = cell as usize;
            if self.shares[place] <= 0.0 {
                continue;
            }
            part.shares[place] = if scene.is_subject(cell) {
                part.of_own_cell(scene, cell)
            } else {
                let receivers = scene.field.receivers(cell).into_iter();
                receivers
                    .map(|(to, share)| {
                        let arriving = if scene.is_subject(to) { 1.0 } else { part.at(scene, to) };
                        share * passes(cell, to) * arriving
                    })
                    .sum()
            };
        }
        part
    }

    fn of_cell(&self, scene: &Scene<'_>, cell: usize, counts: impl Fn(usize) -> f64) -> f64 {
        if scene.is_subject(cell) {
            return self.of_own_cell(scene, cell);
        }
        let receivers = scene.field.receivers(cell).into_iter();
        receivers
            .map(|(receiver, part)| {
                let share =
                    if scene.is_subject(receiver) { counts(receiver) } else { self.at(scene, receiver) };
                part * share
            })
            .sum()
    }

    /// The part of a straddling cell outside the lot line: its water enters the lot where the next cell has less
    /// ground outside the line than this one, and else stays outside alongside the line.
    fn of_own_cell(&self, scene: &Scene<'_>, cell: usize) -> f64 {
        let outside = if scene.lots.is_shared(cell) { scene.share_outside(cell) } else { 0.0 };
        if outside <= 0.0 {
            return 0.0;
        }
        scene
            .field
            .receivers(cell)
            .into_iter()
            .map(|(receiver, part)| {
                if !scene.is_subject(receiver) {
                    return part * self.at(scene, receiver);
                }
                let entering = entering_share(outside, scene.share_outside(receiver));
                part * (entering + (1.0 - entering) * self.at(scene, receiver))
            })
            .sum()
    }

    fn at(&self, scene: &Scene<'_>, cell: usize) -> f64 {
        scene.reach.place(cell).map_or(0.0, |place| self.shares[place])
    }

    /// Share at a place of the reach.
    #[must_use]
    pub fn at_place(&self, place: usize) -> f64 {
        self.shares[place]
    }

    /// All shares, by place.
    #[must_use]
    pub fn shares(&self) -> &[f64] {
        &self.shares
    }
}

/// How much of the water on the outside part of a straddling cell enters the lot at the step to the next cell.
#[must_use]
pub(super) fn entering_share(outside_here: f64, outside_next: f64) -> f64 {
    ((outside_here - outside_next) / outside_here).max(0.0)
}

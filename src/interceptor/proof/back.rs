//! What of let-out water comes back to the lot.

use super::received::Spread;
use crate::flow::{Course, FlowError};
use crate::lots::Scene;

/// So near to its outlet water on the lot's ground hasn't come back yet, m: where it leaves the lot from
/// there it has wetted no more than the ground around the pipe's end. Ours.
pub const APRON_M: f64 = 5.0;
/// In cells, where these are large: the outlet's own and those that touch it.
const APRON_CELLS: f64 = 1.5;

/// What becomes of water let out at a cell, by share; together 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutFate {
    /// Comes to the lot, or runs over it for more than the ground around the outlet.
    pub comes_back: f64,
    /// Leaves the ground otherwise: measured where it leaves.
    pub stays_away: f64,
}

impl OutFate {
    /// Of water let out at a cell of known ground.
    ///
    /// # Method
    /// The water is followed down the field, without the line. It has come back when it comes to a cell of
    /// the lot that lies more than [`APRON_M`] from the outlet, be the outlet on the lot or beyond it.
    /// Water in `channels`, rising cells of ditches that were given, hasn't come back.
    ///
    /// # Errors
    /// [`FlowError::Cycle`] if the field has a cycle.
    pub fn of(scene: &Scene<'_>, channels: &[usize], cell: usize) -> Result<Self, FlowError> {
        let course = Course::downstream_of(scene.field, [cell])?;
        Ok(Spread::new(scene, &course).fate_of(channels, cell))
    }
}

impl Spread<'_> {
    pub(super) fn fate_of(&self, channels: &[usize], outlet: usize) -> OutFate {
        let mut fate = OutFate { comes_back: 0.0, stays_away: 0.0 };
        let apron_m = APRON_M.max(APRON_CELLS * self.scene.cell.longer_m());
        let is_back = |cell: usize| {
            let (east_m, south_m) = self.scene.displacement(outlet, cell);
            self.scene.is_subject(cell)
                && east_m.hypot(south_m) > apron_m
                && channels.binary_search(&cell).is_err()
        };
        self.follow(
            self.unit_at(outlet),
            |cell, _| is_back(cell),
            |cell, amount| {
                if is_back(cell) {
                    fate.comes_back += amount;
                } else {
                    fate.stays_away += amount;
                }
            },
        );
        fate
    }
}

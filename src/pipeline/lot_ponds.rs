//! Ponds that have to do with the lot, and the lots that they spill to.

use super::catchment::Routed;
use crate::grid::Cell;
use crate::lots::Leaving;
use crate::terrain::{Pond, ponds};

/// Shallower ponds are within the noise of elevation data, m.
pub(super) const LEAST_POND_DEPTH_M: f32 = 0.05;

/// A pond on the lot or on ground that drains onto it.
#[derive(Debug, Clone)]
pub struct LotPond {
    /// The pond.
    pub pond: Pond,
    /// Where it passes water on to once it is full.
    pub spills_to: Leaving,
}

/// Ponds that lie on the lot or on ground that sends water to it.
pub(super) fn ponds_of(routed: &Routed) -> Vec<LotPond> {
    let ground = &routed.ground;
    let shape = ground.raw.shape();
    let concerns = |cell: Cell| {
        let index = shape.index(cell);
        routed.is_subject(index)
            || routed.reach.place(index).is_some_and(|place| routed.arrival.at_place(place) > 0.0)
    };
    ponds(&ground.raw, &routed.filled, ground.cell, LEAST_POND_DEPTH_M)
        .into_iter()
        .filter(|pond| pond.cells().any(concerns))
        .map(|pond| {
            let spills_to = spill_target(routed, &pond);
            LotPond { pond, spills_to }
        })
        .collect()
}

/// The lot of the first cell that the overflow comes to outside the pond.
fn spill_target(routed: &Routed, pond: &Pond) -> Leaving {
    let ground = &routed.ground;
    let Some(spill) = pond.spill else { return Leaving::OffTheData };
    let spill = ground.raw.shape().index(spill);
    if routed.field.leaves(spill) {
        return routed.scene().leaving_at(spill);
    }
    let next = routed.field.receivers(spill).main();
    next.map_or(Leaving::OffTheData, |cell| Leaving::Onto(ground.lots.label(cell)))
}

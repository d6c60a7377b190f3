//! Where water goes that comes out in the open.

use super::Search;
use geo::Coord;

/// How far a way is followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DownstreamEnd {
    /// Into the inlet at this place of the ground's list.
    Inlet(usize),
    /// To the edge of the ground that is read.
    Edge,
    /// Its start isn't on known ground.
    Unknown,
}

/// The way of water from a place on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Downstream {
    /// Places in the set of parcels, the subject left out, in the order in which it comes to them.
    pub parcels: Vec<usize>,
    /// Where it ends.
    pub end: DownstreamEnd,
}

impl Search<'_> {
    /// Follows the larger share of the water, as the surface lies today.
    pub(super) fn downstream(&self, at: Coord) -> Downstream {
        let ground = &self.routed.ground;
        let mut parcels: Vec<usize> = Vec::new();
        let Some(mut cell) = self.routed.cell_at(at) else {
            return Downstream { parcels, end: DownstreamEnd::Unknown };
        };
        loop {
            let owner = ground.lots.label(cell).place().and_then(|place| ground.parcels.get(place).copied());
            if let Some(owner) =
                owner.filter(|&owner| owner != self.site.parcels.subject() && !parcels.contains(&owner))
            {
                parcels.push(owner);
            }
            let Some(next) = self.routed.field.receivers(cell).main() else { break };
            cell = next;
        }
        let inlet = ground.inlets.cells().binary_search(&cell).ok();
        Downstream { parcels, end: inlet.map_or(DownstreamEnd::Edge, DownstreamEnd::Inlet) }
    }
}

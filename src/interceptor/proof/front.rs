//! The strip in front of the line: ground of the lot between the lot line and the line.

use super::fence::Fence;
use crate::lots::{LotLine, Scene};
use geo::{Coord, LineString};

/// Metres beyond the line's greatest distance from the lot line at which it is still looked for.
const BEYOND_M: f64 = 0.01;

/// The lot's cells in front of the line.
///
/// # Invariants
/// Cells rise.
#[derive(Debug, Clone)]
pub(super) struct Front {
    cells: Vec<usize>,
}

impl Front {
    /// The lot's cells whose middle lies between the next place of the lot line and the line: straight from that place one
    /// comes to the middle first and to the line after it.
    pub(super) fn new(scene: &Scene<'_>, line: &LotLine, fence: &Fence, paths: &[&LineString]) -> Self {
        let depth_m = paths.iter().flat_map(|path| path.0.iter()).map(|&at| line.nearest(at).distance_m);
        let depth_m = depth_m.fold(0.0, f64::max) + BEYOND_M;
        let cells = depth_m / scene.cell.dx_m.min(scene.cell.dy_m) + 1.0;
        let mut found = fence.cells_within(cells);
        found.retain(|&cell| scene.is_subject(cell) && is_in_front(line, fence, fence.middle(cell), depth_m));
        Self { cells: found }
    }

    pub(super) fn has(&self, cell: usize) -> bool {
        self.cells.binary_search(&cell).is_ok()
    }
}

fn is_in_front(line: &LotLine, fence: &Fence, at: Coord, depth_m: f64) -> bool {
    let nearest = line.nearest(at);
    let Some(ring) = line.ring(nearest.ring).filter(|_| nearest.distance_m < depth_m) else { return false };
    // At right angles to the lot line: the foot of a middle that lies on it gives no direction.
    let inward = ring.inward_normal_at(nearest.chainage_m);
    let foot = ring.point_at(nearest.chainage_m);
    let beyond = at + inward * ((depth_m - nearest.distance_m) / line.metres_per_unit());
    fence.straight(foot, at).is_none() && fence.straight(at, beyond).is_some()
}

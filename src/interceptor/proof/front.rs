//! The strip in front of the line: ground of the lot between the line and the lot line.

use super::fence::Fence;
use crate::lots::{LotLine, Scene};
use geo::{Closest, ClosestPoint, Coord, LineString, Point};

/// Metres beyond the line's greatest distance from the lot line at which that is still looked for.
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
    /// The lot's cells whose middle lies between the line and the lot line: straight from the next place of the line one
    /// comes to the middle first and to the lot line after it, within the line's greatest distance from it.
    pub(super) fn new(scene: &Scene<'_>, line: &LotLine, fence: &Fence, paths: &[&LineString]) -> Self {
        let places = paths.iter().flat_map(|path| places_along(path, 1.0 / line.metres_per_unit()));
        let depth_m = places.map(|at| line.nearest(at).distance_m);
        let depth_m = depth_m.fold(0.0, f64::max) + BEYOND_M;
        let cells = depth_m / scene.cell.dx_m.min(scene.cell.dy_m) + 1.0;
        let mut found = fence.cells_within(cells);
        let depth = depth_m / line.metres_per_unit();
        found.retain(|&cell| {
            let at = fence.middle(cell);
            scene.is_subject(cell) && paths.iter().any(|path| is_in_front(line, fence, path, at, depth))
        });
        Self { cells: found }
    }

    pub(super) fn has(&self, cell: usize) -> bool {
        self.cells.binary_search(&cell).is_ok()
    }
}

/// `depth` in units of the coordinates.
fn is_in_front(line: &LotLine, fence: &Fence, path: &LineString, at: Coord, depth: f64) -> bool {
    let (Closest::SinglePoint(foot) | Closest::Intersection(foot)) = path.closest_point(&Point::from(at))
    else {
        return false;
    };
    let away = at - Coord::from(foot);
    let distance = away.x.hypot(away.y);
    if distance <= 0.0 || distance >= depth {
        return false;
    }
    let end = at + away * ((depth - distance) / distance);
    line.last_crossing(end, at).is_some() && fence.straight(at, end).is_none()
}

/// Places along a path, no farther apart than a step: a path may start and end at the lot line.
fn places_along(path: &LineString, step: f64) -> impl Iterator<Item = Coord> + '_ {
    path.lines().flat_map(move |line| {
        let along = line.end - line.start;
        let count = (along.x.hypot(along.y) / step).ceil().max(1.0);
        let numbers = std::iter::successors(Some(0.0), move |k| (k + 1.0 <= count).then_some(k + 1.0));
        numbers.map(move |k| line.start + along * (k / count))
    })
}

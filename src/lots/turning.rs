//! What would turn water another way: the least rise from the way it takes to ground that drains elsewhere.

use super::scene::Scene;
use crate::grid::{Direction, Grid};
use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

/// Rises closer to each other than this are the same, m.
const SAME_M: f64 = 5e-4;

/// A way over the ground by which dammed water would leave.
#[derive(Debug, Clone, PartialEq)]
pub struct Turning {
    /// How much the highest cell of it stands above its first one, m.
    pub rise_m: f64,
    /// From the dammed cell to the first cell that drains elsewhere.
    pub cells: Vec<usize>,
    /// The highest of them, the nearest of equal ones.
    pub sill: usize,
    /// Length, m.
    pub length_m: f64,
    /// Whether it climbs no more than the ground falls in one step from the dammed cell: only the slope decides.
    pub open_slope: bool,
}

impl Turning {
    /// Whether it is the lower of two, of equal ones the shorter.
    #[must_use]
    pub fn is_before(&self, other: &Self) -> bool {
        let apart_m = self.rise_m - other.rise_m;
        if apart_m.abs() > SAME_M { apart_m < 0.0 } else { self.length_m < other.length_m }
    }
}

/// Looks for ways out of dammed water, one dam after another on the same ground.
///
/// # Method
/// Water that is dammed at a cell rises over ground that isn't lower than the cell (lower ground lies below the dam, or is
/// reached only over a sill) until it comes to a goal. Ground lower by less than the fall of the water's next step counts as
/// level: no row of cells follows a slope's contour. The way is the one whose highest cell is lowest, of equal ones a
/// short one: a flood from the cell, lowest level first.
///
/// # Source
/// Lowest highest cell by a flood from the lowest up: the minimax path problem, textbooks on algorithms. Its use: ours.
#[derive(Debug)]
pub struct TurningSearch<'a> {
    scene: Scene<'a>,
    surface: &'a Grid<f32>,
    came_from: Vec<u32>,
    touched: Vec<u32>,
}

/// Not met yet.
const NONE: u32 = u32::MAX;

/// A cell that the water comes to, at a level and after a length.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Met {
    level: f32,
    length_m: f64,
    cell: u32,
    from: u32,
}

impl Eq for Met {}

impl Ord for Met {
    fn cmp(&self, other: &Self) -> Ordering {
        let levels = self.level.total_cmp(&other.level);
        levels.then(self.length_m.total_cmp(&other.length_m)).then(self.cell.cmp(&other.cell))
    }
}

impl PartialOrd for Met {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<'a> TurningSearch<'a> {
    /// On a filled surface.
    #[must_use]
    pub fn on(scene: Scene<'a>, surface: &'a Grid<f32>) -> Self {
        let cells = surface.shape().len();
        Self { scene, surface, came_from: vec![NONE; cells], touched: Vec::new() }
    }

    /// The way from one cell to the nearest goal, through cells that are open; nothing where it would climb more
    /// than `most_m`.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "grids have fewer than 2^32 cells; levels are single"
    )]
    pub fn dammed_at(
        &mut self,
        cell: usize,
        most_m: f64,
        is_goal: impl Fn(usize) -> bool,
        is_open: impl Fn(usize) -> bool,
    ) -> Option<Turning> {
        let level = |cell: usize| self.surface.values()[cell];
        let fall = self.fall(cell);
        let (start, highest) = (level(cell), (f64::from(level(cell)) + most_m + SAME_M) as f32);
        let mut queue = BinaryHeap::new();
        queue.push(Reverse(Met { level: start, length_m: 0.0, cell: cell as u32, from: cell as u32 }));
        let mut end = None;
        while let Some(Reverse(met)) = queue.pop() {
            let at = met.cell as usize;
            if self.came_from[at] != NONE {
                continue;
            }
            self.came_from[at] = met.from;
            self.touched.push(met.cell);
            if at != cell && is_goal(at) {
                end = Some(met);
                break;
            }
            let shape = self.surface.shape();
            for next in Direction::ALL.into_iter().filter_map(|d| shape.neighbour(shape.cell(at), d)) {
                let next = shape.index(next);
                let height = self.surface.values()[next];
                let goal = is_goal(next);
                let is_ground =
                    height <= highest && (goal || (is_open(next) && Self::holds(height, start, fall)));
                if is_ground && self.came_from[next] == NONE {
                    queue.push(Reverse(Met {
                        level: met.level.max(height),
                        length_m: met.length_m + self.scene.step_length(at, next),
                        cell: next as u32,
                        from: met.cell,
                    }));
                }
            }
        }
        let found = end.map(|met| self.turning(cell, &met, f64::from(fall)));
        for touched in self.touched.drain(..) {
            self.came_from[touched as usize] = NONE;
        }
        found
    }

    /// Whether water dammed at a level stands on such ground.
    fn holds(height: f32, start: f32, fall: f32) -> bool {
        height >= start || start - height < fall
    }

    /// Fall of the surface to the lowest cell that takes a cell's water.
    fn fall(&self, cell: usize) -> f32 {
        let here = self.surface.values()[cell];
        let falls =
            self.scene.field.receivers(cell).into_iter().map(|(to, _)| here - self.surface.values()[to]);
        falls.fold(0.0, f32::max)
    }

    fn turning(&self, start: usize, end: &Met, fall_m: f64) -> Turning {
        let mut cells = vec![end.cell as usize];
        while let Some(&last) = cells.last()
            && last != start
        {
            cells.push(self.came_from[last] as usize);
        }
        cells.reverse();
        let level = |cell: usize| self.surface.values()[cell];
        let sill = cells
            .iter()
            .copied()
            .fold(start, |best, cell| if level(cell) > level(best) { cell } else { best });
        let rise_m = f64::from(level(sill)) - f64::from(level(start));
        let open_slope = rise_m <= fall_m.max(SAME_M);
        Turning { rise_m, cells, sill, length_m: end.length_m, open_slope }
    }
}

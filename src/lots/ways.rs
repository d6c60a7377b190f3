//! The ways that water takes down to the lot, or to a part of the line in it: one from each cell that it comes from.

use super::goal::Goal;
use super::scene::Scene;
use crate::flow::Receivers;
use std::collections::BTreeMap;

/// Routed ground that ways to a goal are looked for on.
#[derive(Debug, Clone, Copy)]
pub struct WayField<'a, G> {
    /// The ground.
    pub scene: Scene<'a>,
    /// Where they lead.
    pub goal: &'a G,
}

/// A step of a way.
struct WayStep {
    to: usize,
    /// Length that counts, m.
    length_m: f64,
}

impl<G: Goal> WayField<'_, G> {
    /// The step that the way takes from a cell; nothing where none of its water arrives.
    fn step(&self, cell: usize) -> Option<WayStep> {
        let receivers = self.scene.field.receivers(cell);
        let arriving = |(to, part): (usize, f64)| {
            Some((to, part * self.goal.arriving(cell, to))).filter(|(_, share)| *share > 0.0)
        };
        let choose = |first: (usize, f64), second: (usize, f64)| {
            if self.draw(cell) * (first.1 + second.1) < first.1 { first } else { second }
        };
        // There are two at the most.
        let (to, _) = receivers.into_iter().filter_map(arriving).reduce(choose)?;
        Some(WayStep { to, length_m: self.progress_m(cell, to, receivers) })
    }

    /// A number from 0 to 1 that hangs on the cell's place alone, evenly spread along every way.
    fn draw(&self, cell: usize) -> f64 {
        let at = self.scene.lots.shape().cell(cell);
        #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
        let (row, col) = ((at.row + self.scene.origin.row) as f64, (at.col + self.scene.origin.col) as f64);
        (row * EVENLY[0] + col * EVENLY[1]).fract()
    }

    /// How far a step leads in the direction in which the cell's water runs.
    fn progress_m(&self, cell: usize, to: usize, receivers: Receivers) -> f64 {
        let mean = receivers.into_iter().fold((0.0, 0.0), |sum, (receiver, part)| {
            let (x, y) = self.scene.displacement(cell, receiver);
            (sum.0 + part * x, sum.1 + part * y)
        });
        let (x, y) = self.scene.displacement(cell, to);
        (x * mean.0 + y * mean.1) / mean.0.hypot(mean.1)
    }
}

/// One way from every cell whose water reaches the goal.
///
/// # Method
/// A way takes one of a cell's receivers whose water gets there. Of two, each is taken as often as its part of what
/// arrives, by a number that hangs on the cell's own place and is evenly spread (the sequence of the plastic number): so ways run
/// in the direction of the water, and no ground above changes the way of any below. A step counts as long as it leads on in that direction.
/// Where they wind from cell to cell, or run in stair steps, which are up to 8 % too long, each step counts by how straight the way is over the eight from there on.
///
/// # Source
/// Evenly spread numbers: Roberts, M., "The unreasonable effectiveness of quasirandom sequences" (2018; from memory). Their use: ours.
///
/// # Invariants
/// Every place's next one comes before it in the list; the roots are their own next ones. Lengths to the end never fall
/// upwards.
#[derive(Debug)]
pub struct WayTree {
    cells: Vec<u32>,
    next: Vec<u32>,
    end: Vec<u32>,
    to_end_m: Vec<f64>,
    /// Place of each cell of the reach.
    of_reach: Vec<u32>,
    /// Where water goes on past the goal: cells with their way from the root, m.
    inside: BTreeMap<u32, Vec<(u32, f32)>>,
}

/// No place.
const NONE: u32 = u32::MAX;
/// Steps over which it is seen how straight a way is.
const STRAIGHTENED: usize = 8;
/// Stair steps are no longer than the straight line by more than this: the cosine of 22.5 degrees.
const STEEPEST_STAIRS: f64 = 0.923_879_532_511_286_7;
/// The inverse of the plastic number, and that of its square.
const EVENLY: [f64; 2] = [0.754_877_666_246_692_7, 0.569_840_290_998_053_3];

impl WayTree {
    /// Follows the water of all cells; past the goal for `inside_m`.
    ///
    /// # Cost
    /// Linear in the cells.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "grids have fewer than 2^32 cells")]
    pub fn of<G: Goal>(field: &WayField<'_, G>, inside_m: f64) -> Self {
        let cells = field.scene.reach.cells();
        let mut tree = Self {
            cells: Vec::with_capacity(cells.len()),
            next: Vec::with_capacity(cells.len()),
            end: Vec::with_capacity(cells.len()),
            to_end_m: Vec::with_capacity(cells.len()),
            of_reach: vec![NONE; cells.len()],
            inside: BTreeMap::new(),
        };
        // Of each place the length of its step before it is straightened.
        let mut steps_m: Vec<f32> = Vec::with_capacity(cells.len());
        // A cell past the goal may have a way of its own: water that falls there comes to the goal once more.
        let mut roots: BTreeMap<u32, u32> = BTreeMap::new();
        // Receivers come first.
        for (place, &cell) in cells.iter().enumerate().rev() {
            if !field.goal.starts(place, cell as usize) {
                continue;
            }
            let Some(step) = field.step(cell as usize) else { continue };
            let is_reached = field.goal.is_reached(cell as usize, step.to);
            let next = field.scene.reach.place(step.to).filter(|_| !is_reached);
            let on_way = next.map(|next| tree.of_reach[next]).filter(|&next| next != NONE);
            let below = on_way.unwrap_or_else(|| {
                *roots.entry(step.to as u32).or_insert_with(|| {
                    steps_m.push(0.0);
                    tree.push_root(&field.scene, step.to as u32, inside_m)
                })
            });
            tree.of_reach[place] = tree.cells.len() as u32;
            tree.push(&field.scene, cell, below, &mut steps_m, step.length_m);
        }
        tree
    }

    #[expect(clippy::cast_possible_truncation, reason = "grids have fewer than 2^32 cells")]
    fn push_root(&mut self, scene: &Scene<'_>, cell: u32, inside_m: f64) -> u32 {
        let place = self.cells.len() as u32;
        self.inside.insert(place, onwards(scene, cell as usize, inside_m));
        self.next.push(place);
        self.end.push(place);
        self.cells.push(cell);
        self.to_end_m.push(0.0);
        place
    }

    fn push(&mut self, scene: &Scene<'_>, cell: u32, next: u32, steps_m: &mut Vec<f32>, step_m: f64) {
        let straight = self.straightness(scene, cell as usize, next as usize, steps_m, step_m);
        #[expect(clippy::cast_possible_truncation, reason = "seven digits of a length are enough")]
        steps_m.push(step_m as f32);
        self.to_end_m.push(self.to_end_m[next as usize] + step_m * straight);
        self.end.push(self.end[next as usize]);
        self.cells.push(cell);
        self.next.push(next);
    }

    /// Straight line by steps, from a cell some steps down.
    fn straightness(
        &self,
        scene: &Scene<'_>,
        cell: usize,
        next: usize,
        steps_m: &[f32],
        first_m: f64,
    ) -> f64 {
        let (mut at, mut along_m) = (next, first_m);
        for _ in 1..STRAIGHTENED {
            let Some(to) = self.next(at) else { break };
            along_m += f64::from(steps_m[at]);
            at = to;
        }
        (scene.step_length(cell, self.cell(at)) / along_m).clamp(STEEPEST_STAIRS, 1.0)
    }

    /// Cells that the water comes by past the goal, with the way to each from the end of a way, m.
    pub fn inside(&self, end: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let cells = u32::try_from(end).ok().and_then(|end| self.inside.get(&end));
        cells.into_iter().flatten().map(|&(cell, past_m)| (cell as usize, f64::from(past_m)))
    }

    /// How many places there are.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.cells.len()
    }

    /// Whether no water comes from anywhere.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }

    /// The cell at a place.
    #[must_use]
    pub fn cell(&self, place: usize) -> usize {
        self.cells[place] as usize
    }

    /// The place that follows; nothing at the end of a way.
    #[must_use]
    pub fn next(&self, place: usize) -> Option<usize> {
        let next = self.next[place] as usize;
        (next != place).then_some(next)
    }

    /// The last place of its way: the first cell past the goal.
    #[must_use]
    pub fn end(&self, place: usize) -> usize {
        self.end[place] as usize
    }

    /// Length of the way from a place to its end, m.
    #[must_use]
    pub fn to_end_m(&self, place: usize) -> f64 {
        self.to_end_m[place]
    }

    /// Where the way starts from the cell at a place of the reach; nothing where none is looked for, and where none of its
    /// water arrives.
    #[must_use]
    pub fn start(&self, reach_place: usize) -> Option<usize> {
        Some(self.of_reach[reach_place])
            .filter(|&place| place != NONE)
            .map(|place| place as usize)
            .filter(|&place| self.next(place).is_some())
    }

    /// Places of the way from a place on, down to its end.
    pub fn down(&self, place: usize) -> impl Iterator<Item = usize> + '_ {
        std::iter::successors(Some(place), |&at| self.next(at))
    }

    /// The way from a place.
    #[must_use]
    pub fn way(&self, place: usize) -> LongestWay {
        LongestWay {
            cells: self.down(place).map(|at| self.cell(at)).collect(),
            length_m: self.to_end_m(place),
        }
    }
}

/// The cells of a way, the highest first; the last is the lot's cell that it enters.
#[derive(Debug, Clone, PartialEq)]
pub struct LongestWay {
    /// Cells.
    pub cells: Vec<usize>,
    /// Its length, m.
    pub length_m: f64,
}

/// The way of most of the water from a cell on.
#[expect(
    clippy::cast_possible_truncation,
    reason = "seven digits of a length are enough; grids have fewer than 2^32 cells"
)]
fn onwards(scene: &Scene<'_>, from: usize, most_m: f64) -> Vec<(u32, f32)> {
    let mut found = Vec::new();
    let (mut at, mut past_m) = (from, 0.0);
    while past_m < most_m {
        let parts = scene.field.receivers(at).into_iter();
        let Some((to, _)) = parts.reduce(|a, b| if b.1 > a.1 { b } else { a }) else { break };
        past_m += scene.step_length(at, to);
        found.push((to as u32, past_m as f32));
        at = to;
    }
    found
}

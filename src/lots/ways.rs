//! The ways that water takes down to the lot: one from each cell that it comes from.

use super::arrival::Arrival;
use super::scene::Scene;

/// Routed ground that ways are looked for on.
#[derive(Debug, Clone, Copy)]
pub struct WayField<'a> {
    /// The ground.
    pub scene: Scene<'a>,
    /// Shares that reach the lot on it.
    pub arrival: &'a Arrival,
}

impl WayField<'_> {
    /// The receiver that hands most of a cell's water on to the lot; of equal ones the first.
    fn main_arriving(&self, cell: usize) -> Option<usize> {
        let arriving = |(to, part): (usize, f64)| {
            let place = self.scene.reach.place(to)?;
            let share = if self.scene.is_subject(to) { 1.0 } else { self.arrival.at_place(place) };
            Some((part * share, to))
        };
        let receivers = self.scene.field.receivers(cell).into_iter().filter_map(arriving);
        let most = receivers.reduce(|a, b| if b.0 > a.0 { b } else { a })?;
        (most.0 > 0.0).then_some(most.1)
    }
}

/// One way from every cell whose water reaches the lot.
///
/// # Method
/// A way takes the receiver that hands most of a cell's water on to the lot, on the first of the fields on which the cell's
/// water reaches it. Give the single routing first, whose ways keep to the fall: the larger part of a proportional one runs
/// aside of it, as the steepest of eight does. Ways join and never part, so they are kept as a tree with its roots at the
/// cells of the lot that they enter. Lengths are straightened: along its stair steps a way would be up to 8 % too long, so
/// each step counts by how straight the way is from there on.
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
    /// Place of each cell of the last field's reach.
    of_reach: Vec<u32>,
}

/// No place.
const NONE: u32 = u32::MAX;
/// Steps over which it is seen how straight a way is.
const STRAIGHTENED: usize = 8;
/// Stair steps are no longer than the straight line by more than this: the cosine of 22.5 degrees.
const STEEPEST_STAIRS: f64 = 0.923_879_532_511_286_7;

impl WayTree {
    /// Follows the water of all cells.
    ///
    /// # Panics
    /// Without a field.
    ///
    /// # Cost
    /// Linear in the cells, and four bytes for every cell of the grid while it is made.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "grids have fewer than 2^32 cells")]
    pub fn of(fields: &[WayField<'_>]) -> Self {
        let last = fields.last().expect("there is a field");
        let mut place_of = vec![NONE; last.scene.lots.shape().len()];
        let places = last.scene.reach.cells().len();
        let mut tree = Self {
            cells: Vec::with_capacity(places),
            next: Vec::with_capacity(places),
            end: Vec::with_capacity(places),
            to_end_m: Vec::with_capacity(places),
            of_reach: Vec::new(),
        };
        for field in fields {
            // Receivers come first.
            for (place, &cell) in field.scene.reach.cells().iter().enumerate().rev() {
                let at = cell as usize;
                if place_of[at] != NONE || field.scene.is_subject(at) || field.arrival.at_place(place) <= 0.0
                {
                    continue;
                }
                let Some(to) = field.main_arriving(at) else { continue };
                if place_of[to] == NONE {
                    place_of[to] = tree.cells.len() as u32;
                    tree.push_root(to as u32);
                }
                place_of[at] = tree.cells.len() as u32;
                tree.push(&field.scene, cell, place_of[to]);
            }
        }
        tree.of_reach = last.scene.reach.cells().iter().map(|&cell| place_of[cell as usize]).collect();
        tree
    }

    #[expect(clippy::cast_possible_truncation, reason = "grids have fewer than 2^32 cells")]
    fn push_root(&mut self, cell: u32) {
        self.next.push(self.cells.len() as u32);
        self.end.push(self.cells.len() as u32);
        self.cells.push(cell);
        self.to_end_m.push(0.0);
    }

    fn push(&mut self, scene: &Scene<'_>, cell: u32, next: u32) {
        let step_m = scene.step_length(cell as usize, self.cells[next as usize] as usize);
        let straight = self.straightness(scene, cell as usize, step_m, next as usize);
        self.to_end_m.push(self.to_end_m[next as usize] + step_m * straight);
        self.end.push(self.end[next as usize]);
        self.cells.push(cell);
        self.next.push(next);
    }

    /// Straight line by steps, from a cell some steps down.
    fn straightness(&self, scene: &Scene<'_>, cell: usize, first_step_m: f64, next: usize) -> f64 {
        let (mut at, mut along_m) = (next, first_step_m);
        for _ in 1..STRAIGHTENED {
            let Some(to) = self.next(at) else { break };
            along_m += scene.step_length(self.cell(at), self.cell(to));
            at = to;
        }
        (scene.step_length(cell, self.cell(at)) / along_m).clamp(STEEPEST_STAIRS, 1.0)
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

    /// The last place of its way: a cell of the lot.
    #[must_use]
    pub fn end(&self, place: usize) -> usize {
        self.end[place] as usize
    }

    /// Length of the way from a place to its end, m.
    #[must_use]
    pub fn to_end_m(&self, place: usize) -> f64 {
        self.to_end_m[place]
    }

    /// Where the way starts from the cell at a place of the last field's reach; nothing for the lot's own cells, and where
    /// none of its water arrives.
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

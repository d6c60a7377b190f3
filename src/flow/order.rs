//! The cells that can send water somewhere, donors before receivers.

use super::error::FlowError;
use super::field::FlowField;
use crate::grid::CellSet;
use std::collections::BTreeMap;

/// A set of cells closed towards donors, in an order in which every donor comes before its receivers.
///
/// # Invariants
/// Every cell that hands water to a cell of the set is in the set. The order depends on the field and the seeds only.
#[derive(Debug, Clone)]
pub struct Reach {
    cells: Vec<u32>,
    ranks: Ranks,
    /// Place in `cells` of the cell with each rank.
    places: Vec<u32>,
}

impl Reach {
    /// All cells whose water can pass one of the `seeds`, the seeds included.
    ///
    /// # Errors
    /// [`FlowError::Cycle`] if the field has a cycle.
    ///
    /// # Cost
    /// Linear in the cells found, and a bit and a half for every cell of the grid.
    pub fn upstream_of(field: &FlowField, seeds: impl IntoIterator<Item = usize>) -> Result<Self, FlowError> {
        let mut set = CellSet::none_of(field.shape().len());
        let found = climb(field, seeds, &mut set);
        Self::ordered(field, found, set)
    }

    /// All cells of a set, which are those `found`, in order.
    fn ordered(field: &FlowField, found: Vec<u32>, set: CellSet) -> Result<Self, FlowError> {
        let ranks = Ranks::of(set);
        let cells = donors_first(field, found, &ranks)?;
        let mut places = vec![0; cells.len()];
        for (place, &cell) in (0_u32..).zip(&cells) {
            if let Some(rank) = ranks.rank(cell as usize) {
                places[rank] = place;
            }
        }
        Ok(Self { cells, ranks, places })
    }

    /// The cells, donors before receivers.
    #[must_use]
    pub fn cells(&self) -> &[u32] {
        &self.cells
    }

    /// Place of a cell in the order, if it belongs to the set.
    #[must_use]
    pub fn place(&self, cell: usize) -> Option<usize> {
        self.ranks.rank(cell).map(|rank| self.places[rank] as usize)
    }
}

/// The cells that water from some cells can come to, in an order in which every donor comes before its receivers.
///
/// # Invariants
/// Every receiver of a cell of the set is in the set. The order depends on the field and the seeds only.
#[derive(Debug, Clone)]
pub struct Course(Reach);

impl Course {
    /// All cells that water from the `seeds` can pass, the seeds included.
    ///
    /// # Errors
    /// [`FlowError::Cycle`] if the field has a cycle.
    ///
    /// # Cost
    /// Linear in the cells found, and a bit and a half for every cell of the grid.
    pub fn downstream_of(
        field: &FlowField,
        seeds: impl IntoIterator<Item = usize>,
    ) -> Result<Self, FlowError> {
        let mut set = CellSet::none_of(field.shape().len());
        let found = descend(field, seeds, &mut set);
        Reach::ordered(field, found, set).map(Self)
    }

    /// The same as a plain ordered set. It is closed towards receivers, not towards donors.
    #[must_use]
    pub const fn as_ordered(&self) -> &Reach {
        &self.0
    }

    /// The cells, donors before receivers.
    #[must_use]
    pub fn cells(&self) -> &[u32] {
        self.0.cells()
    }

    /// Place of a cell in the order, if it belongs to the set.
    #[must_use]
    pub fn place(&self, cell: usize) -> Option<usize> {
        self.0.place(cell)
    }
}

/// A set of cells that knows how many of them come before each.
#[derive(Debug, Clone)]
struct Ranks {
    set: CellSet,
    /// Cells of the set before each word of it.
    before: Vec<u32>,
}

impl Ranks {
    fn of(set: CellSet) -> Self {
        let mut count = 0;
        let before = set
            .words()
            .iter()
            .map(|word| {
                count += word.count_ones();
                count - word.count_ones()
            })
            .collect();
        Self { set, before }
    }

    /// How many cells of the set come before this one, if it belongs to it.
    fn rank(&self, cell: usize) -> Option<usize> {
        let word = self.set.words()[cell / 64];
        let bit = 1_u64 << (cell % 64);
        (word & bit != 0).then(|| self.before[cell / 64] as usize + (word & (bit - 1)).count_ones() as usize)
    }
}

/// Collects the set from the seeds upwards.
fn climb(field: &FlowField, seeds: impl IntoIterator<Item = usize>, set: &mut CellSet) -> Vec<u32> {
    spread(field, seeds, set, |cell, reached| field.for_each_donor(cell, reached))
}

/// Collects the set from the seeds downwards.
fn descend(field: &FlowField, seeds: impl IntoIterator<Item = usize>, set: &mut CellSet) -> Vec<u32> {
    spread(field, seeds, set, |cell, reached| {
        field.receivers(cell).into_iter().for_each(|(receiver, _)| reached(receiver));
    })
}

/// Collects the seeds and all that `beside` reaches from them, cell after cell.
#[expect(
    clippy::cast_possible_truncation,
    reason = "grids have fewer than 2^32 cells, checked when they are filled"
)]
fn spread(
    field: &FlowField,
    seeds: impl IntoIterator<Item = usize>,
    set: &mut CellSet,
    beside: impl Fn(usize, &mut dyn FnMut(usize)),
) -> Vec<u32> {
    let mut found: Vec<u32> = seeds
        .into_iter()
        .filter(|&seed| field.is_valid(seed) && set.insert(seed))
        .map(|seed| seed as u32)
        .collect();
    let mut next = 0;
    while let Some(&cell) = found.get(next) {
        next += 1;
        beside(cell as usize, &mut |reached| {
            if set.insert(reached) {
                found.push(reached as u32);
            }
        });
    }
    found
}

/// Donors that haven't come yet: a byte a cell, and a list of the few cells that many roofs drain to.
struct Missing {
    few: Vec<u8>,
    many: BTreeMap<usize, u32>,
}

impl Missing {
    fn none(cells: usize) -> Self {
        Self { few: vec![0; cells], many: BTreeMap::new() }
    }

    fn add(&mut self, rank: usize) {
        if self.few[rank] < u8::MAX {
            self.few[rank] += 1;
        } else {
            *self.many.entry(rank).or_default() += 1;
        }
    }

    fn take(&mut self, rank: usize) {
        match self.many.get_mut(&rank) {
            Some(more) if *more > 0 => *more -= 1,
            _ => self.few[rank] -= 1,
        }
    }

    fn is_none_of(&self, rank: usize) -> bool {
        self.few[rank] == 0
    }
}

/// Orders the set by counting donors: at most eight that touch a cell, and any number of roofs.
#[expect(
    clippy::cast_possible_truncation,
    reason = "grids have fewer than 2^32 cells, checked when they are filled"
)]
fn donors_first(field: &FlowField, found: Vec<u32>, ranks: &Ranks) -> Result<Vec<u32>, FlowError> {
    let mut missing = Missing::none(found.len());
    for &cell in &found {
        for (receiver, _) in field.receivers(cell as usize) {
            if let Some(rank) = ranks.rank(receiver) {
                missing.add(rank);
            }
        }
    }
    let mut order: Vec<u32> = Vec::with_capacity(found.len());
    let is_top = |cell: u32| ranks.rank(cell as usize).is_some_and(|rank| missing.is_none_of(rank));
    order.extend(found.iter().copied().filter(|&cell| is_top(cell)));
    let count = found.len();
    drop(found);
    let mut next = 0;
    while let Some(&cell) = order.get(next) {
        next += 1;
        for (receiver, _) in field.receivers(cell as usize) {
            if let Some(rank) = ranks.rank(receiver) {
                missing.take(rank);
                if missing.is_none_of(rank) {
                    order.push(receiver as u32);
                }
            }
        }
    }
    if order.len() == count { Ok(order) } else { Err(FlowError::Cycle { cells: count - order.len() }) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flow::{Routing, directions};
    use crate::grid::{CellSize, Grid, GridShape};

    // On a plane that falls south, what starts in a column stays in it.
    #[test]
    fn a_course_runs_down_its_column() {
        let shape = GridShape { rows: 5, cols: 4 };
        let z = [9.0_f32, 7.0, 5.0, 3.0, 1.0];
        let raw = Grid::new(shape, (0..20).map(|i| z[i / 4]).collect());
        let size = CellSize { dx_m: 1.0, dy_m: 1.0 };
        let field = directions(&raw, size, Routing::Proportional, |i| shape.is_rim(shape.cell(i))).unwrap();
        let course = Course::downstream_of(&field, [9, 2]).unwrap();
        let places: Vec<usize> = [2, 6, 10, 14, 18].map(|cell| course.place(cell).unwrap()).to_vec();
        assert!(places.windows(2).all(|pair| pair[0] < pair[1]), "{places:?}");
        let mut cells = course.cells().to_vec();
        cells.sort_unstable();
        assert_eq!(cells, [2, 6, 9, 10, 13, 14, 17, 18]);
        assert_eq!(course.place(5), None);
    }
}

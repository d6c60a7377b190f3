//! The cells that can send water somewhere, donors before receivers.

use super::error::FlowError;
use super::field::FlowField;

/// A set of cells closed towards donors, in an order in which every donor comes before its receivers.
///
/// # Invariants
/// Every cell that hands water to a cell of the set is in the set. The order depends on the field and the seeds only.
#[derive(Debug, Clone)]
pub struct Reach {
    cells: Vec<u32>,
    /// Place in `cells` plus one, 0 for cells that are not in the set.
    slot: Vec<u32>,
}

impl Reach {
    /// All cells whose water can pass one of the `seeds`, the seeds included.
    ///
    /// # Errors
    /// [`FlowError::Cycle`] if the field has a cycle.
    ///
    /// # Cost
    /// Linear in the cells found, and four bytes for every cell of the grid.
    pub fn upstream_of(field: &FlowField, seeds: impl IntoIterator<Item = usize>) -> Result<Self, FlowError> {
        let mut slot = vec![0_u32; field.shape().len()];
        let found = climb(field, seeds, &mut slot);
        let cells = donors_first(field, &found, &mut slot)?;
        for (place, &cell) in (1_u32..).zip(&cells) {
            slot[cell as usize] = place;
        }
        Ok(Self { cells, slot })
    }

    /// The cells, donors before receivers.
    #[must_use]
    pub fn cells(&self) -> &[u32] {
        &self.cells
    }

    /// Place of a cell in the order, if it belongs to the set.
    #[must_use]
    pub fn place(&self, cell: usize) -> Option<usize> {
        (self.slot[cell] as usize).checked_sub(1)
    }
}

/// Collects the set from the seeds upwards; leaves 1 in `slot` for its cells.
#[expect(
    clippy::cast_possible_truncation,
    reason = "grids have fewer than 2^32 cells, checked when they are filled"
)]
fn climb(field: &FlowField, seeds: impl IntoIterator<Item = usize>, slot: &mut [u32]) -> Vec<u32> {
    let mut found: Vec<u32> = Vec::new();
    for seed in seeds {
        if slot[seed] == 0 && field.is_valid(seed) {
            slot[seed] = 1;
            found.push(seed as u32);
        }
    }
    let mut next = 0;
    while let Some(&cell) = found.get(next) {
        next += 1;
        field.for_each_donor(cell as usize, |donor| {
            if slot[donor] == 0 {
                slot[donor] = 1;
                found.push(donor as u32);
            }
        });
    }
    found
}

/// Orders the set by counting donors; uses `slot` as the counter (donors still missing, plus one).
#[expect(
    clippy::cast_possible_truncation,
    reason = "grids have fewer than 2^32 cells, checked when they are filled"
)]
fn donors_first(field: &FlowField, found: &[u32], slot: &mut [u32]) -> Result<Vec<u32>, FlowError> {
    for &cell in found {
        for (receiver, _) in field.receivers(cell as usize) {
            if slot[receiver] > 0 {
                slot[receiver] += 1;
            }
        }
    }
    let mut order: Vec<u32> = Vec::with_capacity(found.len());
    order.extend(found.iter().copied().filter(|&cell| slot[cell as usize] == 1));
    let mut next = 0;
    while let Some(&cell) = order.get(next) {
        next += 1;
        for (receiver, _) in field.receivers(cell as usize) {
            if slot[receiver] > 1 {
                slot[receiver] -= 1;
                if slot[receiver] == 1 {
                    order.push(receiver as u32);
                }
            }
        }
    }
    if order.len() == found.len() {
        Ok(order)
    } else {
        Err(FlowError::Cycle { cells: found.len() - order.len() })
    }
}

//! The number of a lot for every cell, as narrow as the number of lots allows.

use crate::grid::{Grid, GridShape};

/// Most lots that can be told apart: one number is for land without a lot, one bit for cells that several share.
pub(super) const MOST_LOTS: usize = (1 << 31) - 2;
/// Lots up to which two bytes a cell are enough.
const FEW_LOTS: usize = (1 << 15) - 2;
/// Marks a shared cell in two bytes.
const SHARED_16: u16 = 1 << 15;
/// Marks a shared cell in four bytes.
const SHARED_32: u32 = 1 << 31;

/// Numbers of cells from 0 upwards, each with a mark for cells that several lots share.
#[derive(Debug, Clone)]
pub(super) enum Numbers {
    /// The lots of a window: two bytes a cell.
    Narrow(Grid<u16>),
    /// Those of a town: four bytes.
    Wide(Grid<u32>),
}

impl Numbers {
    /// All 0, none shared, with room for a number of lots; nothing where those are too many.
    pub(super) fn zero(shape: GridShape, lots: usize) -> Option<Self> {
        match lots {
            0..=FEW_LOTS => Some(Self::Narrow(Grid::filled(shape, 0))),
            _ if lots <= MOST_LOTS => Some(Self::Wide(Grid::filled(shape, 0))),
            _ => None,
        }
    }

    pub(super) const fn shape(&self) -> GridShape {
        match self {
            Self::Narrow(grid) => grid.shape(),
            Self::Wide(grid) => grid.shape(),
        }
    }

    pub(super) fn number(&self, cell: usize) -> u32 {
        match self {
            Self::Narrow(grid) => u32::from(grid.values()[cell] & !SHARED_16),
            Self::Wide(grid) => grid.values()[cell] & !SHARED_32,
        }
    }

    pub(super) fn is_shared(&self, cell: usize) -> bool {
        match self {
            Self::Narrow(grid) => grid.values()[cell] & SHARED_16 != 0,
            Self::Wide(grid) => grid.values()[cell] & SHARED_32 != 0,
        }
    }

    /// Gives a cell its number. Comes before the marks.
    #[expect(clippy::cast_possible_truncation, reason = "the grid was chosen by the number of lots")]
    pub(super) fn set(&mut self, cell: usize, number: u32) {
        match self {
            Self::Narrow(grid) => grid.values_mut()[cell] = number as u16,
            Self::Wide(grid) => grid.values_mut()[cell] = number,
        }
    }

    pub(super) fn mark_shared(&mut self, cell: usize) {
        match self {
            Self::Narrow(grid) => grid.values_mut()[cell] |= SHARED_16,
            Self::Wide(grid) => grid.values_mut()[cell] |= SHARED_32,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_number_of_either_width_survives_the_mark() {
        let shape = GridShape { rows: 1, cols: 2 };
        for (lots, last) in [(FEW_LOTS, 0x7FFE), (FEW_LOTS + 1, 0x7FFF), (70_000, 70_000)] {
            let mut numbers = Numbers::zero(shape, lots).unwrap();
            numbers.set(1, last);
            numbers.mark_shared(1);
            assert_eq!((numbers.number(0), numbers.is_shared(0)), (0, false));
            assert_eq!((numbers.number(1), numbers.is_shared(1)), (last, true));
        }
        assert!(Numbers::zero(shape, MOST_LOTS + 1).is_none());
    }
}

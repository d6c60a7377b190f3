//! A set of cells, one bit each.

/// Cells of a grid, by their place row by row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellSet {
    words: Vec<u64>,
}

impl CellSet {
    /// No cell of a grid of so many.
    #[must_use]
    pub fn none_of(cells: usize) -> Self {
        Self { words: vec![0; cells.div_ceil(64)] }
    }

    /// Whether a cell belongs to the set.
    #[must_use]
    pub fn contains(&self, cell: usize) -> bool {
        self.words[cell / 64] >> (cell % 64) & 1 == 1
    }

    /// Adds a cell; says whether it is new.
    pub fn insert(&mut self, cell: usize) -> bool {
        let (word, bit) = (&mut self.words[cell / 64], 1 << (cell % 64));
        let is_new = *word & bit == 0;
        *word |= bit;
        is_new
    }

    /// Takes a cell out.
    pub fn remove(&mut self, cell: usize) {
        self.words[cell / 64] &= !(1 << (cell % 64));
    }

    /// Sixty-four cells at a time, the first in the lowest bit.
    pub(crate) fn words(&self) -> &[u64] {
        &self.words
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_is_new_once() {
        let mut set = CellSet::none_of(130);
        assert!(!set.contains(129));
        assert!(set.insert(129) && set.insert(63) && set.insert(64));
        assert!(!set.insert(129));
        let found: Vec<usize> = (0..130).filter(|&cell| set.contains(cell)).collect();
        assert_eq!(found, [63, 64, 129]);
        set.remove(64);
        assert!(set.contains(63) && !set.contains(64) && set.insert(64));
    }
}

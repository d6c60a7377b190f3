//! Comparing whole rows at once.

use super::link::MET;

/// Three rows of the ground with a hole on either end, so that cells at the edge need no care of their own.
pub(super) struct Window<'a> {
    raw: &'a [f32],
    cols: usize,
    padded: [Vec<f32>; 3],
    row: usize,
}

impl<'a> Window<'a> {
    /// A window on the row `row` and its neighbours.
    pub(super) fn new(raw: &'a [f32], cols: usize, row: usize) -> Self {
        let mut window = Self { raw, cols, padded: std::array::from_fn(|_| vec![f32::NAN; cols + 2]), row };
        for slot in 0..3 {
            window.load(slot, (row + slot).checked_sub(1));
        }
        window
    }

    /// Moves one row down.
    pub(super) fn advance(&mut self) {
        self.row += 1;
        self.padded.rotate_left(1);
        self.load(2, Some(self.row + 1));
    }

    fn load(&mut self, slot: usize, row: Option<usize>) {
        let inner = &mut self.padded[slot][1..=self.cols];
        match row.and_then(|row| self.raw.get(row * self.cols..(row + 1) * self.cols)) {
            Some(values) => inner.copy_from_slice(values),
            None => inner.fill(f32::NAN),
        }
    }

    /// Writes the mask of lower neighbours of every cell of the row; holes have none and are none.
    ///
    /// Of two level cells the one met first, row by row, is the lower. Returns whether all elevations are finite.
    pub(super) fn lower_neighbours(&self, masks: &mut [u8]) -> bool {
        let n = self.cols;
        let [above, middle, below] = &self.padded;
        let (nw, north, ne) = (&above[..n], &above[1..=n], &above[2..n + 2]);
        let (west, mid, east) = (&middle[..n], &middle[1..=n], &middle[2..n + 2]);
        let (sw, south, se) = (&below[..n], &below[1..=n], &below[2..n + 2]);
        for (x, mask) in masks[..n].iter_mut().enumerate() {
            let z = mid[x];
            *mask = u8::from(north[x] <= z)
                | u8::from(ne[x] <= z) << 1
                | u8::from(east[x] < z) << 2
                | u8::from(se[x] < z) << 3
                | u8::from(south[x] < z) << 4
                | u8::from(sw[x] < z) << 5
                | u8::from(west[x] <= z) << 6
                | u8::from(nw[x] <= z) << 7;
        }
        // Counted rather than searched: a loop that never ends early handles many cells at once.
        mid.iter().map(|z| u32::from(z.is_finite())).sum::<u32>() as usize == n
    }

    /// The elevations of the row.
    pub(super) fn middle(&self) -> &[f32] {
        &self.padded[1][1..=self.cols]
    }
}

const _: () = assert!(MET == 0b1100_0011, "the cells met before are those compared with <=");

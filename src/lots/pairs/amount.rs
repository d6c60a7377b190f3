//! Ground counted in whole parts of a cell.

use crate::grid::CellSize;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub, SubAssign};

/// Ground, or its rain, as a whole number of parts of a cell.
///
/// Sums of whole numbers are exact and don't hang on their order, and a small rest of two large sums keeps all its digits: a
/// lot beside a river gets the water of a few cells out of that of millions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Amount(i64);

/// Parts of a cell: small enough that no sum of shares is off by a billionth of a cell, and large enough for 2^31 cells.
const PARTS: f64 = 4_294_967_296.0;

impl Amount {
    /// Nothing.
    pub(super) const NONE: Self = Self(0);

    /// A share of one cell.
    #[expect(clippy::cast_possible_truncation, reason = "a share of a cell is no more than about one")]
    pub(super) fn of_share(share: f64) -> Self {
        Self((share * PARTS).round() as i64)
    }

    /// How many cells it is.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "sixteen digits of an area are enough")]
    pub fn cells(self) -> f64 {
        self.0 as f64 / PARTS
    }

    /// Area, m².
    #[must_use]
    pub fn m2(self, cell: CellSize) -> f64 {
        self.cells() * cell.area_m2()
    }

    /// Whether there is any.
    #[must_use]
    pub const fn is_some(self) -> bool {
        self.0 > 0
    }
}

impl Add for Amount {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Amount {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl AddAssign for Amount {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl SubAssign for Amount {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Sum for Amount {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::NONE, Add::add)
    }
}

//! The eight neighbours.

/// Steps (rows down, columns right) to the eight neighbours, clockwise from north.
///
/// This one order decides every tie, so that results don't depend on threads or on the order of work.
pub const OFFSETS: [(isize, isize); 8] =
    [(-1, 0), (-1, 1), (0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1)];

/// One of the eight neighbours, counted clockwise from north: even ones share a side, odd ones a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Direction(u8);

impl Direction {
    /// All eight, clockwise from north.
    pub const ALL: [Self; 8] = [Self(0), Self(1), Self(2), Self(3), Self(4), Self(5), Self(6), Self(7)];

    /// The direction `code` eighths of a turn clockwise from north (whole turns are taken off).
    #[must_use]
    pub const fn from_code(code: u8) -> Self {
        Self(code & 7)
    }

    /// Eighths of a turn clockwise from north, 0 to 7.
    #[must_use]
    pub const fn code(self) -> u8 {
        self.0
    }

    /// The next direction clockwise.
    #[must_use]
    pub const fn clockwise(self) -> Self {
        Self((self.0 + 1) & 7)
    }

    /// The opposite direction.
    #[must_use]
    pub const fn reverse(self) -> Self {
        Self((self.0 + 4) & 7)
    }

    /// Whether the neighbour shares only a corner.
    #[must_use]
    pub const fn is_diagonal(self) -> bool {
        self.0 & 1 == 1
    }
}

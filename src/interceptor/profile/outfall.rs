//! Where a pipe ends, and how its depth runs out before a mouth in the open.

/// Where the pipe ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outfall {
    /// At or above this invert, m: a pipe may fall into its structure.
    At(f64),
    /// In the open, at or above this invert, m: before it the cover may run out, see [`RunOut`].
    Open(f64),
    /// Anywhere below its cover.
    Free,
}

impl Outfall {
    /// The lowest level at which the pipe may end, m.
    pub(crate) const fn invert_m(self) -> Option<f64> {
        match self {
            Self::At(invert_m) | Self::Open(invert_m) => Some(invert_m),
            Self::Free => None,
        }
    }

    /// The same kind of end at another level.
    pub(super) const fn lowered_to(self, invert_m: f64) -> Self {
        match self {
            Self::Open(_) => Self::Open(invert_m),
            Self::At(_) | Self::Free => Self::Free,
        }
    }
}

/// Length over which the cover of a pipe that ends in the open runs out evenly, m, where that is enough.
/// Ours: with 0.3 m of cover it serves on slopes of 5 % and more.
pub const OPEN_M: f64 = 10.0;

/// Longest piece of pipe whose top may stand out of the ground before a mouth in the open, m: an end piece of one stick of 10 ft, solid and
/// with a guard. Ours. It holds at the places of the ground, so that between two of them a little more may stand out.
pub const END_PIECE_M: f64 = 3.0;

/// Longest piece of pipe that may stand out of the ground, in a bank of earth, where its depth runs out over a longer piece, m.
/// Ours: a longer bank is a work of its own.
pub(super) const BANK_M: f64 = 10.0;

/// How the depth of a pipe runs out before a mouth in the open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RunOut {
    /// Evenly over the last [`OPEN_M`], and no more than [`END_PIECE_M`] of pipe stand out of the ground.
    Short,
    /// Evenly over a longer piece, m, at whose end the pipe lies in a bank of earth: on gentle ground it
    /// gains no more on it.
    Long(f64),
}

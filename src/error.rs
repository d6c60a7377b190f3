//! One error for the whole library, and what it means for a batch script.

use crate::flow::FlowError;
use crate::input::InputError;
use crate::lots::TooManyLots;
use crate::output::OutputError;
use crate::terrain::TerrainError;

/// What kind of failure it was; each has its exit status.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExitClass {
    /// Our fault, or not classified.
    Internal,
    /// Wrong usage.
    Usage,
    /// Input unreadable, incomplete, or in need of a codec that this build lacks.
    Unreadable,
    /// Coordinate system or unit unresolved.
    Unresolved,
    /// No or too little overlap.
    NoOverlap,
    /// Subject lot not found or ambiguous.
    Subject,
    /// Output exists or can't be written.
    Output,
    /// A warning where none was allowed.
    Strict,
    /// Broken installation.
    Installation,
    /// Interrupted.
    Interrupted,
}

impl ExitClass {
    /// The exit status.
    #[must_use]
    pub const fn status(self) -> u8 {
        match self {
            Self::Internal => 1,
            Self::Usage => 2,
            Self::Unreadable => 3,
            Self::Unresolved => 4,
            Self::NoOverlap => 5,
            Self::Subject => 6,
            Self::Output => 7,
            Self::Strict => 8,
            Self::Installation => 9,
            Self::Interrupted => 130,
        }
    }
}

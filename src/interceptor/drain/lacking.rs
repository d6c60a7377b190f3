//! Why an arrangement can't be worked out at all.

/// What an arrangement lacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Lacking {
    /// No pipe comes into a swale.
    #[error("the pipe of another part comes in along the part, and none can come into a swale")]
    PipeJoins,
    /// Stone without a pipe that lets water in.
    #[error("the catalogue has no pipe with holes for it, or none as large as what comes into it")]
    NoHoledPipe,
    /// Nothing leads its water away.
    #[error("the catalogue has no pipe for it, or none as large as what comes into it")]
    NoPipe,
    /// A swale follows the ground.
    #[error("the ground along the part isn't known, which its swale would follow")]
    GroundUnknown,
}

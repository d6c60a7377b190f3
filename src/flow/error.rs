//! What can go wrong while water is routed.

/// A fault of the routing itself.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum FlowError {
    /// Cells hand their water round in a circle; the surface given wasn't filled.
    #[error(
        "{cells} cells hand their water round in a circle: the surface was not filled before it was routed"
    )]
    Cycle {
        /// Cells that couldn't be ordered.
        cells: usize,
    },
    /// A flat without a way out; the surface given wasn't filled.
    #[error("{cells} cells have no way out: the surface was not filled before it was routed")]
    NoWayOut {
        /// Cells without a direction.
        cells: usize,
    },
}

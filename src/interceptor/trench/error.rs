//! What can be wrong with a trench.

use crate::units::OutOfRange;

/// A trench that can't be built.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum TrenchError {
    /// A measure outside its range.
    #[error("the trench: {0}")]
    Measure(#[from] OutOfRange),
    /// A pipe that lets no water in.
    #[error("the pipe {pipe} has no holes, so that it can't be the pipe of a stone trench")]
    #[diagnostic(help("choose a pipe with inlet_cm2_per_m above 0"))]
    NoHoles {
        /// The pipe's name in price lists.
        pipe: String,
    },
    /// Not deep enough for what goes into it.
    #[error("the trench is {depth_m:.3} m deep; pipe, stone and finish take {least_m:.3} m")]
    #[diagnostic(help("dig deeper, or choose a thinner finish or a smaller pipe"))]
    Shallow {
        /// Depth found.
        depth_m: f64,
        /// Least depth.
        least_m: f64,
    },
}

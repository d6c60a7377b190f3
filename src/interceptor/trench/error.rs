//! What can be wrong with a trench.

use crate::units::OutOfRange;

/// A trench that can't be built.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum TrenchError {
    /// A measure outside its range.
    #[error("the trench: {0}")]
    Measure(#[from] OutOfRange),
    /// A pipe that can't be.
    #[error("the pipe {pipe}: {cause}")]
    Pipe {
        /// The pipe's name in price lists.
        pipe: String,
        /// Its figure.
        cause: OutOfRange,
    },
    /// A pipe that lets no water in.
    #[error("the pipe {pipe} has no holes, so that it can't be the pipe of a stone trench")]
    #[diagnostic(help("choose a pipe with inlet_cm2_per_m above 0"))]
    NoHoles {
        /// The pipe's name in price lists.
        pipe: String,
    },
    /// A surface that a trench full of soil can't have.
    #[error("a solid pipe's trench is filled with soil up to the surface, which can't be stone")]
    #[diagnostic(help("choose a finish with sod or seed for the way to the outlet"))]
    StoneSurface,
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

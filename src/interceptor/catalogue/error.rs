//! What can be wrong with a catalogue.

use super::super::shown::place;
use crate::units::OutOfRange;

/// A catalogue that can't be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
#[error("{path}{}: {fault}", place(*line))]
#[diagnostic(forward(fault))]
pub struct CatalogueError {
    /// The file as typed.
    pub path: String,
    /// Line, from 1; 0 when what is wrong has no line of its own.
    pub line: usize,
    /// What is wrong.
    pub fault: CatalogueFault,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum CatalogueFault {
    /// Not in the form that is expected.
    #[error("the pipe catalogue could not be read: {message}")]
    #[diagnostic(help(
        "each [[pipe]] needs nominal_mm, nominal_in, inside_mm, outside_mm, wall (\"smooth\" or \"corrugated\"), manning_n, solid_n, inlet_cm2_per_m (0 without holes), piece_m, piece (\"stick\" or \"coil\"), joint (\"bell\" or \"coupling\") and source"
    ))]
    Form {
        /// What is wrong, from the reader of the form.
        message: String,
    },
    /// No pipe in it.
    #[error("the pipe catalogue has no pipe")]
    Empty,
    /// A figure that can't be.
    #[error("pipe {number}: {cause}")]
    Figure {
        /// Which pipe, from 1.
        number: usize,
        /// The figure.
        cause: OutOfRange,
    },
    /// A pipe without a source.
    #[error("pipe {number} doesn't say where its figures come from")]
    #[diagnostic(help("give it source = \"...\"; common practice is a source if it says so"))]
    Source {
        /// Which pipe, from 1.
        number: usize,
    },
    /// A label that can't be part of a name.
    #[error("pipe {number} has the label {label:?}; expected letters, digits and hyphens")]
    Label {
        /// Which pipe, from 1.
        number: usize,
        /// The label found.
        label: String,
    },
    /// Two pipes that nothing tells apart.
    #[error("pipes {first} and {second} are both {name}; expected one of each")]
    #[diagnostic(help(
        "give one of them a label, as label = \"thick\": prices go by nominal_mm, wall and label"
    ))]
    Twice {
        /// The first of them, from 1.
        first: usize,
        /// The second.
        second: usize,
        /// What both are called.
        name: String,
    },
}

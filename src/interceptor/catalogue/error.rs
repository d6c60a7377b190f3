//! What can be wrong with a catalogue.

/// A catalogue that can't be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum CatalogueError {
    /// Not in the form that is expected.
    #[error("the pipe catalogue could not be read: {message}")]
    #[diagnostic(help(
        "each [[pipe]] needs nominal_mm, nominal_in, inside_mm, outside_mm, wall (\"smooth\" or \"corrugated\"), manning_n, solid_n, inlet_cm2_per_m (0 without holes), piece_m, piece (\"stick\" or \"coil\"), joint (\"bell\" or \"coupling\") and source"
    ))]
    Form {
        /// What is wrong and where, from the reader of the form.
        message: String,
    },
    /// No pipe in it.
    #[error("the pipe catalogue has no pipe")]
    Empty,
    /// A diameter that can't be.
    #[error(
        "pipe {number} of the catalogue has an inside diameter of {inside_mm} mm; expected 10 to 5000 mm"
    )]
    Diameter {
        /// Which pipe, from 1.
        number: usize,
        /// The diameter found.
        inside_mm: f64,
    },
    /// Another figure that can't be.
    #[error("pipe {number} of the catalogue has {what} {found}; expected {range}")]
    Figure {
        /// Which pipe, from 1.
        number: usize,
        /// Name of the figure.
        what: &'static str,
        /// The figure found.
        found: f64,
        /// What it may be, in words.
        range: &'static str,
    },
    /// A label that can't be part of a name.
    #[error("pipe {number} of the catalogue has the label {label:?}; expected letters, digits and hyphens")]
    Label {
        /// Which pipe, from 1.
        number: usize,
        /// The label found.
        label: String,
    },
    /// Two pipes that nothing tells apart.
    #[error("pipes {first} and {second} of the catalogue are both {name}; expected one of each")]
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

//! What can be wrong with a table of materials.

use super::super::shown::place;
use super::check::Faults;
use crate::units::OutOfRange;

/// A table of materials that can't be used, or an entry that it lacks.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum MaterialError {
    /// Not in the form that is expected.
    #[error("{path}{}: {message}", place(*line))]
    #[diagnostic(help(
        "`lotshed size --tables materials` prints the built-in file, whose head names every key"
    ))]
    Form {
        /// The file as typed.
        path: String,
        /// Line, from 1; 0 where the reader names none.
        line: usize,
        /// What is wrong, from the reader of the form.
        message: String,
    },
    /// A figure outside its range.
    #[error("{path}: {entry}: {faults}")]
    Figure {
        /// The file as typed.
        path: String,
        /// The entry, as `stone.57`.
        entry: String,
        /// The figures.
        faults: Faults,
    },
    /// Several of these, of several entries.
    #[error("{}", in_a_row(all))]
    #[diagnostic(help(
        "`lotshed size --tables materials` prints the built-in file, whose head names every key"
    ))]
    Several {
        /// All of them.
        all: Vec<MaterialError>,
    },
    /// A name by which nothing can be asked for.
    #[error("{path}: {entry:?} has a name that is not made of small letters, digits and hyphens")]
    Name {
        /// The file as typed.
        path: String,
        /// The entry.
        entry: String,
    },
    /// A grass that two entries stand for.
    #[error("{path}: {entry} stands for {alias}, which {first} is or stands for already")]
    Alias {
        /// The file as typed.
        path: String,
        /// The entry.
        entry: String,
        /// The grass.
        alias: String,
        /// The entry that has it.
        first: String,
    },
    /// An entry without a source.
    #[error("{path}: {entry} doesn't say where its figures come from")]
    #[diagnostic(help("give it source = \"...\"; common practice is a source if it says so"))]
    Source {
        /// The file as typed.
        path: String,
        /// The entry.
        entry: String,
    },
    /// Fabrics that leave some soil out.
    #[error("{path}: fabric {number}: {reason}")]
    #[diagnostic(help(
        "give each fabric one of fines_below_percent and fines_up_to_percent, rising, the last with fines_up_to_percent = 100"
    ))]
    Fabric {
        /// The file as typed.
        path: String,
        /// Which fabric, from 1.
        number: usize,
        /// What is wrong.
        reason: &'static str,
    },
    /// A finish with a surface that isn't there.
    #[error("{path}: finish.{finish} names the top \"{top}\", which there is not; there are {known}")]
    Top {
        /// The file as typed.
        path: String,
        /// The finish.
        finish: String,
        /// The top that it names.
        top: String,
        /// All tops.
        known: String,
    },
    /// An entry that isn't there.
    #[error("there is no {kind} \"{name}\"; there are {known}")]
    #[diagnostic(help("add it to a file of your own"))]
    Missing {
        /// Kind of entry.
        kind: &'static str,
        /// The name asked for.
        name: String,
        /// All names.
        known: String,
    },
    /// A share of fines that is none.
    #[error("{0}")]
    Fines(OutOfRange),
}

fn in_a_row(all: &[MaterialError]) -> String {
    all.iter().map(MaterialError::to_string).collect::<Vec<_>>().join("; ")
}

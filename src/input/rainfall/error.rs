//! What can be wrong with a rainfall table, and where.

use miette::Diagnostic;
use std::path::PathBuf;

/// A rainfall table that can't be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error, Diagnostic)]
#[error("{}{}: {fault}", path.display(), in_line(*line))]
#[diagnostic(code("rain-table"), help("{}", fault.remedy()))]
pub struct RainTableError {
    /// The file as typed.
    pub path: PathBuf,
    /// The line, from 1, where it is about one.
    pub line: Option<usize>,
    /// What is wrong.
    pub fault: RainFault,
}

fn in_line(line: Option<usize>) -> String {
    line.map_or_else(String::new, |number| format!(", line {number}"))
}

/// What is wrong with a rainfall table.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RainFault {
    /// Larger than any such table.
    #[error("{bytes} bytes are more than a rainfall table has (at most {limit})")]
    TooLarge {
        /// Its size.
        bytes: usize,
        /// The largest that is read.
        limit: usize,
    },
    /// Nothing but white space.
    #[error("the file is empty")]
    Empty,
    /// No layout that is known.
    #[error("no rainfall table was found; it begins with \"{begins}\"")]
    NoTable {
        /// Its first words.
        begins: String,
    },
    /// The service's way of saying that it has nothing for the place.
    #[error("the file holds no figures for the place; it says \"{says}\"")]
    OutsideCoverage {
        /// The first words of the answer.
        says: String,
    },
    /// The unit is missing, not known or contradicts itself.
    #[error("the unit can't be told: {reason}")]
    Unit {
        /// What was found.
        reason: String,
    },
    /// The line of return periods can't be used.
    #[error("the header can't be used: {reason}")]
    Header {
        /// What was found.
        reason: String,
    },
    /// A comma where a point belongs.
    #[error("decimal comma in \"{text}\"")]
    DecimalComma {
        /// What was found.
        text: String,
    },
    /// A duration that can't be read.
    #[error("\"{text}\" is not a duration")]
    Duration {
        /// What was found.
        text: String,
    },
    /// A figure that can't be read.
    #[error("\"{text}\" is not a plain number (row {row}, column {column})")]
    NotANumber {
        /// Label of the row.
        row: String,
        /// Label of the column.
        column: String,
        /// What was found.
        text: String,
    },
    /// A figure is not there.
    #[error("no figure in row {row}, column {column}")]
    Missing {
        /// Label of the row.
        row: String,
        /// Label of the column.
        column: String,
    },
    /// More figures than return periods.
    #[error("row {row} has {found} figures for {expected} return periods")]
    TooManyCells {
        /// Label of the row.
        row: String,
        /// Figures found.
        found: usize,
        /// Figures that belong there.
        expected: usize,
    },
    /// Zero or less, or not finite.
    #[error("{found} is not a depth of rain (row {row}, column {column})")]
    NotPositive {
        /// Label of the row.
        row: String,
        /// Label of the column.
        column: String,
        /// What was found.
        found: f64,
    },
    /// Durations don't rise from row to row.
    #[error("row {row} is not longer than row {before} above it")]
    DurationOrder {
        /// Label of the row.
        row: String,
        /// Label of the row above.
        before: String,
    },
    /// Return periods don't rise from column to column.
    #[error("column {column} is not rarer than column {before} to its left")]
    PeriodOrder {
        /// Label of the column.
        column: String,
        /// Label of the column to the left.
        before: String,
    },
    /// Less rain in a longer time.
    #[error("depth falls with duration: column {column}, {before} in row {before_row}, {found} in row {row}")]
    FallsWithDuration {
        /// Label of the column.
        column: String,
        /// Label of the row.
        row: String,
        /// Depth there.
        found: String,
        /// Label of the row above.
        before_row: String,
        /// Depth there.
        before: String,
    },
    /// Less rain in a rarer storm.
    #[error(
        "depth falls with return period: row {row}, {before} in column {before_column}, {found} in column {column}"
    )]
    FallsWithPeriod {
        /// Label of the row.
        row: String,
        /// Label of the column.
        column: String,
        /// Depth there.
        found: String,
        /// Label of the column to the left.
        before_column: String,
        /// Depth there.
        before: String,
    },
    /// More rain in a longer time than so many shorter ones can bring.
    #[error(
        "column {column}: {found} in row {row} can't be, as row {before_row} brings at most {before} at a time; depths may have been taken for intensities"
    )]
    RisesTooFast {
        /// Label of the column.
        column: String,
        /// Label of the row.
        row: String,
        /// Depth there.
        found: String,
        /// Label of the row above.
        before_row: String,
        /// Depth there.
        before: String,
    },
    /// A depth beyond anything on Earth.
    #[error("{found} (row {row}, column {column}) is {reason}: the unit {unit} may be wrong")]
    Implausible {
        /// Label of the row.
        row: String,
        /// Label of the column.
        column: String,
        /// The depth.
        found: String,
        /// Why it can't be.
        reason: &'static str,
        /// The unit that was taken.
        unit: &'static str,
    },
    /// Intensities rounded so coarsely that they say nothing.
    #[error("the intensities of row {row} are rounded too coarsely to use ({found} in column {column})")]
    TooCoarse {
        /// Label of the row.
        row: String,
        /// Label of the column.
        column: String,
        /// The figure.
        found: f64,
    },
    /// A header and no rows, or too few.
    #[error("the table has {found} rows of figures; at least 2 are needed")]
    TooFewRows {
        /// Rows found.
        found: usize,
    },
    /// The last line stops before its end.
    #[error("the file ends within row {row}")]
    CutOff {
        /// Label of the row.
        row: String,
    },
    /// The bounds don't go with the estimates.
    #[error("the {which} bounds don't have the rows and columns of the estimates")]
    BoundsDiffer {
        /// Which of the two.
        which: &'static str,
    },
}

impl RainFault {
    /// What to do about it.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::DecimalComma { .. } => "write figures with a decimal point",
            Self::TooManyCells { .. } => {
                "correct the row; where commas stand for decimal points, write points"
            }
            Self::OutsideCoverage { .. } => "check latitude and longitude, or use another source of rainfall",
            Self::TooCoarse { .. } => "download depths in place of intensities",
            Self::Unit { .. } | Self::Implausible { .. } | Self::RisesTooFast { .. } => {
                "check the unit at the head of the table, and whether it holds depths or intensities"
            }
            Self::NoTable { .. } | Self::Header { .. } => {
                "see docs/rainfall.md for the layouts that are read"
            }
            Self::Missing { .. } | Self::CutOff { .. } | Self::TooFewRows { .. } | Self::Empty => {
                "download or copy the table again, whole"
            }
            _ => "correct the table at this place; a downloaded one may have been damaged",
        }
    }
}

/// A fault and its line, before the file is known.
#[derive(Debug)]
pub(super) struct Placed {
    pub(super) line: Option<usize>,
    pub(super) fault: RainFault,
}

impl RainFault {
    pub(super) const fn at(self, line: usize) -> Placed {
        Placed { line: Some(line), fault: self }
    }

    pub(super) const fn of_file(self) -> Placed {
        Placed { line: None, fault: self }
    }
}

//! What can be wrong with a bill of quantities.

use super::super::trench::TrenchError;
use crate::units::OutOfRange;

/// Works whose quantities can't be told.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum QuantityError {
    /// Too few places to have a length.
    #[error("a trench has {found} station; expected two or more")]
    Stations {
        /// Number found.
        found: usize,
    },
    /// A place or depth that can't be.
    #[error(
        "station {station_m:.2} m, {depth_m:.3} m deep: expected rising stations and depths above 0, up to 20 m"
    )]
    Cut {
        /// The station.
        station_m: f64,
        /// The depth there.
        depth_m: f64,
    },
    /// Not deep enough for what goes in.
    #[error("at station {station_m:.1} m: {cause}")]
    Shallow {
        /// The station.
        station_m: f64,
        /// What is wrong there.
        cause: TrenchError,
    },
    /// A line without a trench.
    #[error("a line has no trench")]
    NoLeg,
    /// Trenches of a line that don't follow each other.
    #[error("a trench ends at station {ends_m:.3} m, but the next begins at {begins_m:.3} m")]
    Gap {
        /// Where the first ends.
        ends_m: f64,
        /// Where the next begins.
        begins_m: f64,
    },
    /// A bend that doesn't lie within its line.
    #[error(
        "a bend lies at station {bend_m:.2} m; expected rising stations within {from_m:.2} to {to_m:.2} m"
    )]
    Bend {
        /// The bend.
        bend_m: f64,
        /// Start of the line.
        from_m: f64,
        /// Its end.
        to_m: f64,
    },
    /// A price in a unit that doesn't measure its item.
    #[error("{item} has a price by the {unit}, which doesn't measure it")]
    Unit {
        /// The item.
        item: String,
        /// The unit.
        unit: &'static str,
    },
    /// A setting outside its range.
    #[error("{0}")]
    Setting(#[from] OutOfRange),
}
